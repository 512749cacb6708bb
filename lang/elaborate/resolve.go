package elaborate

import (
	"strconv"

	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// thing is what a path stands for.
type thing struct {
	entity
	def  *name.Def
	home *body // in which it is declared
}

// resolve follows a path from a body and notes its use. ok is false where it leads to
// nothing, or to something unknown; whoever is to blame has then been reported.
func (b *builder) resolve(y *body, ref *syntax.Ref) (thing, bool) {
	return b.walk(y, ref, -1, false)
}

// resolveEach is resolve for a path through a repeated fit without its number: the
// number-th of the group is taken, counted from 0.
func (b *builder) resolveEach(y *body, ref *syntax.Ref, number int) (thing, bool) {
	return b.walk(y, ref, number, false)
}

// resolveAnything is resolve for faults and acceptances, which speak of hardware and
// may name what a part does not show.
func (b *builder) resolveAnything(y *body, ref *syntax.Ref) (thing, bool) {
	return b.walk(y, ref, -1, true)
}

// walk follows a path part by part; see the three ways to call it.
func (b *builder) walk(y *body, ref *syntax.Ref, number int, anything bool) (thing, bool) {
	if ref == nil || len(ref.Parts) == 0 {
		return thing{}, false
	}
	t, ok := b.lookup(y, ref.Parts[0])
	if !ok {
		return t, false
	}
	for i := 1; i < len(ref.Parts); i++ {
		if t.what == fitGroup && number >= 0 {
			if g := b.groups[t.id]; number < len(g) {
				t = thing{entity: entity{what: aFit, id: int32(g[number].number)}, def: t.def, home: t.home}
			}
		}
		if t, ok = b.member(y, ref, i, t, anything); !ok {
			return t, false
		}
	}
	if t.what == unknown {
		return t, false
	}
	b.use(t)
	return t, true
}

// lookup finds the first name of a path in a body and around it.
func (b *builder) lookup(y *body, w syntax.Word) (thing, bool) {
	inPart := false
	var hidden, gone *name.Def
	for z := y; z != nil; z = z.outer {
		for d := z.scope.Own(w.Text); d != nil; d = d.Twin {
			if inPart && !d.Global() {
				hidden = d
				continue
			}
			if x := z.ents[d.Index]; x.what != absent {
				b.note(y, w.Span, d)
				return b.arrive(thing{x, d, z})
			}
			gone = d
		}
		for _, u := range z.scope.Uses {
			f := b.fileBody(u)
			for d := u.Own(w.Text); d != nil; d = d.Twin {
				if d.Sort == name.Short {
					continue
				}
				if inPart && !d.Global() {
					hidden = d
					continue
				}
				if x := f.ents[d.Index]; x.what != absent {
					b.note(y, w.Span, d)
					return b.arrive(thing{x, d, f})
				}
				gone = d
			}
		}
		inPart = inPart || z.scope.Kind == name.OfPart
	}
	b.notKnown(y, w, hidden, gone)
	return thing{}, false
}

// arrive looks through the arguments that stand for a quantity or a setting.
func (b *builder) arrive(t thing) (thing, bool) {
	if t.what == anArg {
		a := &b.args[t.id]
		a.used++
		switch a.kind {
		case argUnknown:
			t.entity = entity{what: unknown}
		case argQuantity, argSetting:
			b.linkArg(a)
			t.entity = a.ent
		}
	}
	return t, t.what != unknown
}

// note tells the index that a name in the text of a body stands for a definition.
func (b *builder) note(y *body, span source.Span, d *name.Def) {
	if y.notes && span.End > span.Start {
		y.sink.Add(span, d)
	}
}

// member follows the i-th part of a path from a thing.
func (b *builder) member(y *body, ref *syntax.Ref, i int, t thing, anything bool) (thing, bool) {
	w := ref.Parts[i]
	number, err := strconv.Atoi(w.Text)
	isNumber := err == nil
	switch t.what {
	case aFile:
		f := t.def.File()
		if f == nil {
			return t, false // its file is missing, which has been reported
		}
		z := b.fileBody(f)
		return b.own(y, ref, i, z, true)
	case aFit:
		b.d.Fits[b.bodies[t.id].fit].Used++
		return b.own(y, ref, i, b.bodies[t.id], anything)
	case fitGroup:
		g := b.groups[t.id]
		if isNumber && number >= 1 && number <= len(g) {
			return thing{entity{what: aFit, id: int32(g[number-1].number)}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, len(g), "fits")
	case wireGroup:
		g := b.wires[t.id]
		if isNumber && number >= 1 && number <= len(g) {
			return thing{entity{what: aWire, id: int32(g[number-1])}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, len(g), "wires")
	case aConnector:
		n := b.d.Connectors[t.id].Ways
		if isNumber && number >= 1 && number <= n {
			return thing{entity{what: aWay, id: t.id, way: int32(number)}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, n, "ways")
	case aSupply:
		if t.def.Inner != nil {
			if d := t.def.Inner.Own(w.Text); d != nil {
				b.note(y, w.Span, d)
				return thing{entity{what: aNode, id: int32(b.terminal[t.id]) + int32(d.Index)}, d, t.home}, true
			}
		}
		b.noSuchMember(y, ref, i, t.def.Inner, nil)
	default:
		b.nothingInside(y, ref, i, t)
	}
	return thing{}, false
}

// own finds a name that is declared in a body, as seen from outside.
func (b *builder) own(y *body, ref *syntax.Ref, i int, z *body, anything bool) (thing, bool) {
	w := ref.Parts[i]
	var gone *name.Def
	for d := z.scope.Own(w.Text); d != nil; d = d.Twin {
		x := z.ents[d.Index]
		if x.what == absent || d.Sort == name.Short {
			gone = d
			continue
		}
		b.note(y, w.Span, d)
		if !anything && !z.scope.SeenFromOutside(d) {
			b.notShown(y, ref, i, z, d)
			return thing{}, false
		}
		return b.arrive(thing{x, d, z})
	}
	b.noSuchMember(y, ref, i, z.scope, gone)
	return thing{}, false
}

// part finds the part that a fit names.
func (b *builder) part(y *body, ref *syntax.Ref) *name.Def {
	t, ok := b.resolve(y, ref)
	if !ok {
		return nil
	}
	if t.what != aPart {
		b.wrongThing(y, ref, t, "a part")
		return nil
	}
	if t.def.Inner == nil {
		return nil
	}
	return t.def
}

// groupOf finds the repeated fit that a path leads through without a number, and the whole
// path as it is called in the design.
func (b *builder) groupOf(y *body, ref *syntax.Ref) (group []*body, path string, ok bool) {
	t, ok := b.lookup(y, ref.Parts[0])
	if !ok {
		return nil, "", false
	}
	i := 1
	for ; t.what != fitGroup && i < len(ref.Parts); i++ {
		if t, ok = b.member(y, ref, i, t, false); !ok {
			return nil, "", false
		}
	}
	if t.what != fitGroup {
		b.notRepeated(y, ref, t)
		return nil, "", false
	}
	path = t.home.prefix + t.def.Name
	for _, w := range ref.Parts[i:] {
		path += "." + w.Text
	}
	return b.groups[t.id], path, true
}

// node finds the electrical point that a path stands for. The second of a connector's
// two halves is taken when half is 1.
func (b *builder) node(y *body, ref *syntax.Ref, half int) (model.NodeID, bool) {
	return b.nodeEach(y, ref, half, -1)
}

func (b *builder) nodeEach(y *body, ref *syntax.Ref, half, number int) (model.NodeID, bool) {
	t, ok := b.resolveEach(y, ref, number)
	if !ok {
		return model.None, false
	}
	switch t.what {
	case aNode:
		return t.node(), true
	case aWay:
		return b.wayNodes[t.id].way(int(t.way), half), true
	}
	b.notANode(y, ref, t)
	return model.None, false
}

// port finds the port that a path stands for; an origin is its own port.
func (b *builder) port(y *body, ref *syntax.Ref) (model.PortID, bool) {
	t, ok := b.resolve(y, ref)
	if !ok {
		return model.None, false
	}
	switch t.what {
	case aPort:
		return model.PortID(t.id), true
	case anOrigin:
		return b.d.Origins[t.id].Port, true
	}
	b.wrongThing(y, ref, t, "a port or an origin")
	return model.None, false
}

// use counts that a thing is named.
func (b *builder) use(t thing) {
	if i := b.infoOf(t.entity); i != nil {
		i.Used++
	}
}

// infoOf returns what the thing in a table carries, or nil where it has nothing.
func (b *builder) infoOf(x entity) *model.Info {
	m := b.d
	switch x.what {
	case aNode:
		return &m.Nodes[x.id].Info
	case aPort:
		return &m.Ports[x.id].Info
	case aQuantity:
		return &m.Quantities[x.id].Info
	case aSetting:
		return &m.Settings[x.id].Info
	case anOption:
		return &m.Options[x.id].Info
	case aSupply:
		return &m.Supplies[x.id].Info
	case anOrigin:
		return &m.Origins[x.id].Info
	case aWire:
		return &m.Wires[x.id].Info
	case aConnector:
		return &m.Connectors[x.id].Info
	case aWay:
		return &m.Nodes[b.wayNodes[x.id].way(int(x.way), 0)].Info
	case aHose, aPassage:
		return &m.Passages[x.id].Info
	case aFit:
		if f := b.bodies[x.id].fit; f != model.None {
			return &m.Fits[f].Info
		}
	case aCoil:
		return &m.Coils[x.id].Info
	case anArmature:
		return &m.Armatures[x.id].Info
	case aContact:
		return &m.Contacts[x.id].Info
	case aChart:
		return &m.Charts[x.id].Info
	case aLoad:
		return &m.Loads[x.id].Info
	case aResistor:
		return &m.Resistors[x.id].Info
	case aDiode:
		return &m.Diodes[x.id].Info
	case aFuse:
		return &m.Fuses[x.id].Info
	case aSender:
		return &m.Senders[x.id].Info
	case anInput:
		return &m.Readings[x.id].Info
	case aDriver:
		return &m.Drivers[x.id].Info
	case aThreshold:
		return &m.Thresholds[x.id].Info
	case aTimer:
		return &m.Timers[x.id].Info
	case aBeat:
		return &m.Beats[x.id].Info
	case aCondition:
		return &m.Conditions[x.id].Info
	case aResult:
		return &m.Results[x.id].Info
	case aMachine:
		return &m.Machines[x.id].Info
	case aBands:
		return &m.Bands[x.id].Info
	}
	return nil
}

// wordOf says in a word what a thing is.
func wordOf(t thing) string {
	switch t.what {
	case aWay:
		return "way of a connector"
	case fitGroup:
		return "repeated fit"
	case wireGroup:
		return "group of wires"
	case anArg:
		return "argument"
	case aFile:
		return "file"
	case aNode:
		if t.def != nil && t.def.Kind == schema.Supply {
			return "terminal"
		}
	}
	if t.def != nil {
		return t.def.Word()
	}
	return "thing"
}
