package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
)

// declare gives every name of a body but its fits a place in a table. Nothing that a
// name stands for is looked up here.
func (b *builder) declare(y *body) {
	y.live = make([]*name.Item, 0, len(y.scope.Items))
	for i := range y.scope.Items {
		it := &y.scope.Items[i]
		switch b.holds(it.Guard, y) {
		case isFalse:
			continue
		case notKnown:
			b.lose(y, it)
			continue
		}
		y.live = append(y.live, it)
		if it.Stmt.Kind.ID == schema.Powered {
			b.declareController(y, it)
		}
	}
	for _, it := range y.live {
		for _, d := range it.Defs {
			if d.In != y.scope || d.Kind == schema.Bench || isClaim(d.Kind) {
				continue
			}
			if twin := b.twin(y, d); twin != nil {
				b.duplicate(y, d, twin)
				continue
			}
			y.ents[d.Index] = b.declareThing(y, it, d)
		}
	}
}

// lose makes what stands under an `only when` that can't be understood unknown.
func (b *builder) lose(y *body, it *name.Item) {
	b.incomplete(y, it)
	for _, d := range it.Defs {
		if d.In == y.scope && !isClaim(d.Kind) && d.Kind != schema.Bench {
			y.ents[d.Index] = entity{what: unknown}
		}
	}
}

// pending is a fit that has a name but is not in place yet.
var pending = entity{what: unknown, id: -1}

// declareFits puts in place what a body fits. The names of all files are declared by
// then, so that parts and how many of them can be looked up.
func (b *builder) declareFits(y *body) {
	for _, it := range y.live {
		if it.Stmt.Kind.ID != schema.Fit || len(it.Defs) == 0 {
			continue
		}
		if d := it.Defs[0]; y.ents[d.Index] == pending {
			y.ents[d.Index] = b.declareFit(y, it, d)
		}
	}
}

func isClaim(k schema.ID) bool {
	switch k {
	case schema.Assume, schema.Require, schema.Drive, schema.Symptom, schema.Noticed, schema.Fault:
		return true
	}
	return false
}

// twin finds an earlier definition of the same name that is there too.
func (b *builder) twin(y *body, d *name.Def) *name.Def {
	if d.Twin == nil {
		if first := y.scope.Own(d.Name); first == d {
			return nil
		}
	}
	for t := y.scope.Own(d.Name); t != nil; t = t.Twin {
		if t != d && t.Index < d.Index && y.ents[t.Index].what != absent {
			return t
		}
	}
	return nil
}

func (b *builder) duplicate(y *body, d, first *name.Def) {
	b.report(y, d.Stmt, diag.Finding{
		Rule: "duplicate-name", Place: d.NamePlace, Subject: y.prefix + d.Name,
		Message: "`" + d.Name + "` is already the name of " + article(first.Word()),
		Why:     "a line that names it could mean either of the two",
		Help:    "give one of them another name",
		Related: []diag.Related{{Place: first.NamePlace, Note: "first declared here"}},
	})
}

func (b *builder) declareThing(y *body, it *name.Item, d *name.Def) entity {
	m := b.d
	at := func(w what, n int) entity { return entity{what: w, id: int32(n)} }
	switch d.Kind {
	case schema.Fit:
		return pending // until all others have their place
	case schema.Use:
		return at(aFile, 0)
	case schema.Part:
		return at(aPart, 0)
	case schema.Takes:
		return y.ents[d.Index] // as it was put there when the part was put in place
	case schema.Pin, schema.Node, schema.Splice, schema.Ground:
		n := b.newNode(b.info(y, d))
		m.Nodes[n].IsPin = d.Kind == schema.Pin
		if d.Kind == schema.Ground {
			b.declareGround(y, d, n)
		}
		return at(aNode, int(n))
	case schema.Port:
		m.Ports = append(m.Ports, model.Port{Info: b.info(y, d), Origin: model.None})
		return at(aPort, len(m.Ports)-1)
	case schema.Quantity:
		return b.declareQuantity(y, it, d)
	case schema.Setting:
		return b.declareSetting(y, it, d)
	case schema.Option:
		return b.declareOption(y, d)
	case schema.Supply:
		m.Supplies = append(m.Supplies, model.Supply{Info: b.info(y, d), Element: model.None, Minus: model.None, Plus: model.None})
		first := model.NodeID(len(m.Nodes))
		if d.Inner != nil {
			for _, t := range d.Inner.Defs {
				i := b.info(y, d)
				i.Path, i.Name, i.Kind, i.NamePlace, i.Doc = y.prefix+d.Name+"."+t.Name, t.Name, "terminal", t.NamePlace, ""
				m.Nodes[b.newNode(i)].IsPin = true
			}
		}
		b.terminal = append(b.terminal, first)
		return at(aSupply, len(m.Supplies)-1)
	case schema.Origin:
		m.Ports = append(m.Ports, model.Port{Info: b.info(y, d), Origin: model.OriginID(len(m.Origins))})
		m.Origins = append(m.Origins, model.Origin{Info: b.info(y, d), Port: model.PortID(len(m.Ports) - 1)})
		return at(anOrigin, len(m.Origins)-1)
	case schema.Wire:
		return b.declareWire(y, it, d)
	case schema.Connector:
		return b.declareConnector(y, it, d)
	case schema.Hose, schema.Passage:
		m.Passages = append(m.Passages, model.Passage{Info: b.info(y, d), A: model.None, B: model.None, Hose: d.Kind == schema.Hose})
		if d.Kind == schema.Hose {
			return at(aHose, len(m.Passages)-1)
		}
		return at(aPassage, len(m.Passages)-1)
	}
	if x := b.declareDevice(y, d); x.what != absent {
		return x
	}
	return b.declareLogic(y, d)
}

// declareDevice is for what conducts or tells in a body.
func (b *builder) declareDevice(y *body, d *name.Def) entity {
	m := b.d
	at := func(w what, n int) entity { return entity{what: w, id: int32(n)} }
	i := b.info(y, d)
	switch d.Kind {
	case schema.Coil:
		m.Coils = append(m.Coils, model.Coil{Info: i, Element: model.None, A: model.None, B: model.None, Memory: model.None, Armature: model.None})
		return at(aCoil, len(m.Coils)-1)
	case schema.Armature:
		mem := b.newMemory(i, model.MemArmature, len(m.Armatures), "released", "energised")
		m.Armatures = append(m.Armatures, model.Armature{Info: i, Set: model.None, Release: model.None, Memory: mem})
		return at(anArmature, len(m.Armatures)-1)
	case schema.Contact:
		m.Contacts = append(m.Contacts, model.Contact{Info: i, Common: model.None, Rest: model.None, Work: model.None,
			RestElem: model.None, WorkElem: model.None, By: model.None})
		return at(aContact, len(m.Contacts)-1)
	case schema.Chart:
		m.Charts = append(m.Charts, model.Chart{Info: i, Setting: model.None})
		return at(aChart, len(m.Charts)-1)
	case schema.Load:
		m.Loads = append(m.Loads, model.Load{Info: i, Element: model.None, A: model.None, B: model.None})
		return at(aLoad, len(m.Loads)-1)
	case schema.Resistor:
		m.Resistors = append(m.Resistors, model.Plain{Info: i, Element: model.None})
		return at(aResistor, len(m.Resistors)-1)
	case schema.Diode:
		m.Diodes = append(m.Diodes, model.Plain{Info: i, Element: model.None})
		return at(aDiode, len(m.Diodes)-1)
	case schema.Fuse:
		m.Fuses = append(m.Fuses, model.Fuse{Info: i, Element: model.None})
		return at(aFuse, len(m.Fuses)-1)
	case schema.Sender:
		m.Senders = append(m.Senders, model.Sender{Info: i, Pin: model.None, Quantity: model.None})
		return at(aSender, len(m.Senders)-1)
	case schema.Input:
		level := model.MemoryID(model.None)
		if d.Stmt.Has(schema.InputReadsVolts) {
			level = b.newMemory(i, model.MemLevel, len(m.Readings), "low", "high")
		}
		m.Readings = append(m.Readings, model.Reading{Info: i, Controller: y.controller, Pin: model.None, CountsHigh: -1,
			Pull: model.None, Level: level, Quantity: model.None})
		return at(anInput, len(m.Readings)-1)
	case schema.Driver:
		m.Drivers = append(m.Drivers, model.Driver{Info: i, Controller: y.controller, Element: model.None, Pin: model.None, From: model.None})
		return at(aDriver, len(m.Drivers)-1)
	}
	return entity{}
}

// declareLogic is for what decides.
func (b *builder) declareLogic(y *body, d *name.Def) entity {
	m := b.d
	at := func(w what, n int) entity { return entity{what: w, id: int32(n)} }
	i := b.info(y, d)
	switch d.Kind {
	case schema.Threshold:
		mem := b.newMemory(i, model.MemThreshold, len(m.Thresholds), "clear", "set")
		m.Thresholds = append(m.Thresholds, model.Threshold{Info: i, Memory: mem, Controller: y.controller, Quantity: model.None, Reading: model.None})
		return at(aThreshold, len(m.Thresholds)-1)
	case schema.Timer:
		m.Timers = append(m.Timers, model.Timer{Info: i, Controller: y.controller})
		return at(aTimer, len(m.Timers)-1)
	case schema.Beat:
		m.Beats = append(m.Beats, model.Beat{Info: i, Controller: y.controller})
		return at(aBeat, len(m.Beats)-1)
	case schema.Condition:
		m.Conditions = append(m.Conditions, model.Named{Info: i, Controller: y.controller})
		return at(aCondition, len(m.Conditions)-1)
	case schema.Result:
		m.Results = append(m.Results, model.Result{Info: i})
		return at(aResult, len(m.Results)-1)
	case schema.Modes:
		m.Machines = append(m.Machines, model.Machine{Info: i, Controller: y.controller})
		return at(aMachine, len(m.Machines)-1)
	case schema.Bands:
		m.Bands = append(m.Bands, model.Bands{Info: i, Quantity: model.None, Reading: model.None, Memory: model.None})
		return at(aBands, len(m.Bands)-1)
	}
	return entity{what: unknown}
}

// newMemory enters a memory that has no rules yet and starts in its first state.
func (b *builder) newMemory(i model.Info, kind model.MemoryKind, of int, states ...string) model.MemoryID {
	i.Used = 0
	b.d.Memories = append(b.d.Memories, model.Memory{Info: i, MemKind: kind, States: states, Of: of})
	return model.MemoryID(len(b.d.Memories) - 1)
}

func (b *builder) newNode(i model.Info) model.NodeID {
	b.d.Nodes = append(b.d.Nodes, model.Node{Info: i, Connector: model.None})
	return model.NodeID(len(b.d.Nodes) - 1)
}

func (b *builder) declareGround(y *body, d *name.Def, n model.NodeID) {
	if b.d.Ground == model.None {
		b.d.Ground = n
		return
	}
	first := &b.d.Nodes[b.d.Ground]
	b.report(y, d.Stmt, diag.Finding{
		Rule: "duplicate-name", Place: d.Place, Subject: y.prefix + d.Name,
		Message: "a design has one ground, and `" + first.Path + "` is it",
		Why:     "two zeros would mean that nothing lies between them, though there is a strap or a body panel",
		Help:    "make this a `node` and join it to `" + first.Path + "` by a wire",
		Related: []diag.Related{{Place: first.Place, Note: "the ground"}},
	})
}

// declareController makes the body a controller before anything in it is declared that
// belongs to one; a `powered` line may stand anywhere.
func (b *builder) declareController(y *body, it *name.Item) {
	if y.controller != model.None {
		c := &b.d.Controllers[y.controller]
		b.report(y, it.Stmt, diag.Finding{
			Rule: "duplicate-name", Place: it.Stmt.Place(it.Stmt.Line), Subject: c.Path,
			Message: "a controller has one `powered` line",
			Why:     "with two supplies it would not be said which of them keeps it at work",
			Help:    "make two fits of it, or join the pins by a wire",
			Related: []diag.Related{{Place: c.Place, Note: "the first"}},
		})
		return
	}
	b.newController(y, it)
}

// newController enters a controller named after its fit.
func (b *builder) newController(y *body, it *name.Item) {
	var i model.Info
	if y.fit != model.None {
		i = b.d.Fits[y.fit].Info
	}
	i.Kind, i.Place, i.Fit = "powered", it.Stmt.Place(it.Stmt.Line), y.fit
	i.Broken = it.Stmt.Broken
	i.Used = 0
	mem := b.newMemory(i, model.MemPowered, len(b.d.Controllers), "off", "on")
	b.d.Controllers = append(b.d.Controllers, model.Controller{Info: i, Plus: model.None, Minus: model.None, Powered: mem, Draw: model.None})
	y.controller = model.ControllerID(len(b.d.Controllers) - 1)
	if y.fit != model.None {
		b.d.Fits[y.fit].Controller = y.controller
	}
}

// declareGlobals declares of a file only what every part sees: parts, other files and
// options.
func (b *builder) declareGlobals(y *body) {
	for i := range y.scope.Items {
		it := &y.scope.Items[i]
		for _, d := range it.Defs {
			if d.In == y.scope && d.Global() && b.holds(it.Guard, y) == isTrue && b.twin(y, d) == nil {
				y.ents[d.Index] = b.declareThing(y, it, d)
			}
		}
	}
}
