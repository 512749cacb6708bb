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
			y.ents[d.Index] = entity{kind: unknown}
		}
	}
}

// pending is a fit that has a name but is not in place yet.
var pending = entity{kind: unknown, id: -1}

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

// isClaim reports whether a statement of the kind claims something, with a name that
// stands by itself.
func isClaim(k schema.ID) bool { return kinds[k].claim != nil }

// twin finds an earlier definition of the same name that is there too.
func (b *builder) twin(y *body, d *name.Def) *name.Def {
	if d.Twin == nil {
		if first := y.scope.Own(d.Name); first == d {
			return nil
		}
	}
	for t := y.scope.Own(d.Name); t != nil; t = t.Twin {
		if t != d && t.Index < d.Index && y.ents[t.Index].kind != schema.None {
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
	switch d.Kind {
	case schema.Fit:
		return pending // until all others have their place
	case schema.Use, schema.Part:
		return entity{kind: d.Kind}
	case schema.Takes:
		return y.ents[d.Index] // as it was put there when the part was put in place
	}
	switch k := &kinds[d.Kind]; {
	case k.declare != nil:
		return k.declare(b, y, it, d)
	case k.table != nil:
		return b.newThing(y, d)
	}
	return entity{kind: unknown}
}

// newThing enters a thing in the table of its kind.
func (b *builder) newThing(y *body, d *name.Def) entity {
	k := &kinds[d.Kind]
	id := int32(k.table.add(b.d, b.info(y, d)))
	if k.controller != nil {
		*k.controller(b.d, id) = y.controller
	}
	return entity{kind: d.Kind, id: id}
}

// declareNode enters a point.
func (b *builder) declareNode(y *body, _ *name.Item, d *name.Def) entity {
	n := b.newNode(b.info(y, d))
	b.d.Nodes[n].IsPin = d.Kind == schema.Pin
	if d.Kind == schema.Ground {
		b.declareGround(y, d, n)
	}
	return entity{kind: schema.Node, id: int32(n)}
}

// declareSupply enters a supply and the terminals that only its own ends name.
func (b *builder) declareSupply(y *body, _ *name.Item, d *name.Def) entity {
	first := model.NodeID(len(b.d.Nodes))
	if d.Inner != nil {
		for _, t := range d.Inner.Defs {
			i := b.info(y, d)
			i.Path, i.Name, i.Kind, i.NamePlace, i.Doc = y.prefix+d.Name+"."+t.Name, t.Name, "terminal", t.NamePlace, ""
			b.d.Nodes[b.newNode(i)].IsPin = true
		}
	}
	b.terminal = append(b.terminal, first)
	return b.newThing(y, d)
}

// declareOrigin enters an origin with its port.
func (b *builder) declareOrigin(y *body, _ *name.Item, d *name.Def) entity {
	x := b.newThing(y, d)
	b.d.Ports = append(b.d.Ports, model.Port{Info: b.info(y, d), Origin: model.OriginID(x.id)})
	b.d.Origins[x.id].Port = model.PortID(len(b.d.Ports) - 1)
	return x
}

func (b *builder) declareHose(y *body, _ *name.Item, d *name.Def) entity {
	x := b.newThing(y, d)
	b.d.Passages[x.id].Hose = true
	return x
}

func (b *builder) declareArmature(y *body, _ *name.Item, d *name.Def) entity {
	x := b.newThing(y, d)
	b.d.Armatures[x.id].Memory = b.newMemory(b.info(y, d), model.MemArmature, int(x.id), "released", "energised")
	return x
}

func (b *builder) declareInput(y *body, it *name.Item, d *name.Def) entity {
	x := b.newThing(y, d)
	r := &b.d.Readings[x.id]
	if it.Stmt.Has(schema.InputReadsVolts) {
		r.Level = b.newMemory(r.Info, model.MemLevel, int(x.id), "low", "high")
	}
	return x
}

func (b *builder) declareThreshold(y *body, _ *name.Item, d *name.Def) entity {
	x := b.newThing(y, d)
	t := &b.d.Thresholds[x.id]
	t.Memory = b.newMemory(t.Info, model.MemThreshold, int(x.id), "clear", "set")
	return x
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
		Why:     "two grounds would have no resistance between them, although a strap or a body panel lies there",
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
			Why:     "with two supplies it is not clear which of them powers it",
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
