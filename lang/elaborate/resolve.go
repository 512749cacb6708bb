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
		if t.kind == fitGroup && number >= 0 {
			if g := b.groups[t.id]; number < len(g) {
				t = thing{entity: entity{kind: schema.Fit, id: int32(g[number].number)}, def: t.def, home: t.home}
			}
		}
		if t, ok = b.member(y, ref, i, t, anything); !ok {
			return t, false
		}
	}
	if t.kind == unknown {
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
			if x := z.ents[d.Index]; x.kind != schema.None {
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
				if x := f.ents[d.Index]; x.kind != schema.None {
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
	if t.kind == schema.Takes {
		a := &b.args[t.id]
		a.used++
		switch a.kind {
		case argUnknown:
			t.entity = entity{kind: unknown}
		case argQuantity, argSetting:
			b.linkArg(a)
			t.entity = a.ent
		}
	}
	return t, t.kind != unknown
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
	switch t.kind {
	case schema.Use:
		f := t.def.File()
		if f == nil {
			return t, false // its file is missing, which has been reported
		}
		z := b.fileBody(f)
		return b.own(y, ref, i, z, true)
	case schema.Fit:
		b.d.Fits[b.bodies[t.id].fit].Used++
		return b.own(y, ref, i, b.bodies[t.id], anything)
	case fitGroup:
		g := b.groups[t.id]
		if isNumber && number >= 1 && number <= len(g) {
			return thing{entity{kind: schema.Fit, id: int32(g[number-1].number)}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, len(g), "fits")
	case wireGroup:
		g := b.wires[t.id]
		if isNumber && number >= 1 && number <= len(g) {
			return thing{entity{kind: schema.Wire, id: int32(g[number-1])}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, len(g), "wires")
	case schema.Connector:
		n := b.d.Connectors[t.id].Ways
		if isNumber && number >= 1 && number <= n {
			return thing{entity{kind: aWay, id: t.id, way: int32(number)}, t.def, t.home}, true
		}
		b.noSuchNumber(y, ref, i, n, "ways")
	case schema.Supply:
		if t.def.Inner != nil {
			if d := t.def.Inner.Own(w.Text); d != nil {
				b.note(y, w.Span, d)
				return thing{entity{kind: schema.Node, id: int32(b.terminal[t.id]) + int32(d.Index)}, d, t.home}, true
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
		if x.kind == schema.None || d.Sort == name.Short {
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
	if t.kind != schema.Part {
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
	for ; t.kind != fitGroup && i < len(ref.Parts); i++ {
		if t, ok = b.member(y, ref, i, t, false); !ok {
			return nil, "", false
		}
	}
	if t.kind != fitGroup {
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
	switch t.kind {
	case schema.Node:
		return t.node(), true
	case aWay:
		return b.wayNodes[t.id].way(int(t.way), half), true
	}
	b.notANode(y, ref, t)
	return model.None, false
}

// port finds the port in a slot; an origin is its own port.
func (r *reader) port(form schema.FormID, role string) model.PortID {
	if c := r.st.Clause(form); c != nil {
		switch t, ok := r.b.find(r.y, c, role); {
		case ok && t.kind == schema.Origin:
			return r.b.d.Origins[t.id].Port
		case ok:
			return model.PortID(t.id)
		}
	}
	r.lost = true
	return model.None
}

// use counts that a thing is named.
func (b *builder) use(t thing) {
	if i := b.infoOf(t.entity); i != nil {
		i.Used++
	}
}

// infoOf returns what the thing in a table carries, or nil where it has nothing.
func (b *builder) infoOf(x entity) *model.Info {
	switch x.kind {
	case aWay:
		return &b.d.Nodes[b.wayNodes[x.id].way(int(x.way), 0)].Info
	case schema.Fit:
		if f := b.bodies[x.id].fit; f != model.None {
			return &b.d.Fits[f].Info
		}
		return nil
	}
	if t := tableOf(x.kind); t != nil {
		return t.info(b.d, x.id)
	}
	return nil
}

// tableOf is the table that the things of a kind are in, or nil.
func tableOf(k schema.ID) *table {
	if int(k) < len(kinds) {
		return kinds[k].table
	}
	return nil
}

// wordOf says in a word what a thing is.
func wordOf(t thing) string {
	switch t.kind {
	case aWay:
		return "way of a connector"
	case fitGroup:
		return "repeated fit"
	case wireGroup:
		return "group of wires"
	case schema.Takes:
		return "argument"
	case schema.Use:
		return "file"
	case schema.Node:
		if t.def != nil && t.def.Kind == schema.Supply {
			return "terminal"
		}
	}
	if t.def != nil {
		return t.def.Word()
	}
	return "thing"
}
