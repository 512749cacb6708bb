package elaborate

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// clause is one clause of a statement.
type clause = *syntax.Clause

// declareWire enters a wire. How many `each` makes is known when all fits have been
// declared, see repeatWires.
func (b *builder) declareWire(y *body, it *name.Item, d *name.Def) entity {
	if c := it.Stmt.Clause(schema.WireEnds); c != nil {
		from, to := c.Ref("from"), c.Ref("to")
		if from != nil && from.Each || to != nil && to.Each {
			b.wires = append(b.wires, nil)
			return entity{kind: wireGroup, id: int32(len(b.wires) - 1)}
		}
	}
	return entity{kind: schema.Wire, id: int32(b.newWire(b.info(y, d)))}
}

func (b *builder) newWire(i model.Info) int {
	return kinds[schema.Wire].table.add(b.d, i)
}

// declareConnector enters a connector with two nodes for each way: its two halves. Of
// one that plugs onto a component the other half is the component's pins, and wires
// written to and from it end at the same half.
func (b *builder) declareConnector(y *body, it *name.Item, d *name.Def) entity {
	c := it.Stmt.Clause(schema.ConnectorWays)
	if c == nil {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	ways, ok := b.count(y, it, c, "ways", "ways of a connector")
	if !ok {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	id := model.ConnectorID(len(b.d.Connectors))
	b.d.Connectors = append(b.d.Connectors, model.Connector{Info: b.info(y, d), Ways: ways})
	halves := 2
	if it.Stmt.Has(schema.ConnectorPlugsOnto) {
		halves = 1
	}
	b.wayNodes = append(b.wayNodes, wayNodes{model.NodeID(len(b.d.Nodes)), halves})
	for w := 1; w <= ways; w++ {
		i := b.info(y, d)
		i.Name = itoa(w)
		i.Path += "." + i.Name
		i.Kind = "way"
		for half := range halves {
			n := b.newNode(i)
			b.d.Nodes[n].Connector, b.d.Nodes[n].Way, b.d.Nodes[n].Half = id, w, half
		}
	}
	return entity{kind: schema.Connector, id: int32(id)}
}

// wayNodes are the nodes of the ways of a connector: the first, and how many each way has.
type wayNodes struct {
	first  model.NodeID
	halves int
}

// way is the node of a half of a way, counted from 1.
func (w wayNodes) way(n, half int) model.NodeID {
	return w.first + model.NodeID((n-1)*w.halves+min(half, w.halves-1))
}

// declareFit puts a part, several of it, or a one-off in place.
func (b *builder) declareFit(y *body, it *name.Item, d *name.Def) entity {
	st := it.Stmt
	i := b.info(y, d)
	if d.Inner != nil { // a one-off, or elsewhere
		f := b.newFit(model.Fit{Info: i, Parent: y.fit, Elsewhere: st.Has(schema.FitElsewhere)})
		inner := b.newBody(d.Inner, y, f, i.Path+".")
		inner.elsewhere = b.d.Fits[f].Elsewhere || y.elsewhere
		b.d.Fits[f].Elsewhere = inner.elsewhere
		return entity{kind: schema.Fit, id: int32(inner.number)}
	}
	call := name.CallOf(d)
	if call == nil {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	part := b.part(y, call.Part)
	if part == nil {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	many := st.Clause(schema.FitMany)
	if many == nil {
		inner := b.place(y, it, part, call, i, "", 0)
		if inner == nil {
			b.incomplete(y, it)
			return entity{kind: unknown}
		}
		return entity{kind: schema.Fit, id: int32(inner.number)}
	}
	n, ok := b.count(y, it, many, "count", "fits of one line")
	if !ok {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	group := make([]*body, 0, n)
	for k := 1; k <= n; k++ {
		j := i
		j.Name = itoa(k)
		j.Path += "." + j.Name
		inner := b.place(y, it, part, call, j, i.Path, k)
		if inner == nil {
			b.incomplete(y, it)
			return entity{kind: unknown}
		}
		group = append(group, inner)
	}
	b.groups = append(b.groups, group)
	return entity{kind: fitGroup, id: int32(len(b.groups) - 1)}
}

func (b *builder) newFit(f model.Fit) model.FitID {
	f.Controller = model.None
	b.d.Fits = append(b.d.Fits, f)
	return model.FitID(len(b.d.Fits) - 1)
}

// place puts a part in place once; nil if that would never end.
func (b *builder) place(y *body, it *name.Item, part *name.Def, call *syntax.Call, i model.Info, group string, index int) *body {
	if ring := b.partRing(y, part); ring != "" {
		b.report(y, it.Stmt, diag.Finding{
			Rule: "part-cycle", Place: it.Stmt.Place(call.Part.Span), Subject: i.Path,
			Message: "the part contains itself: " + ring,
			Why:     "building it would never end",
			Help:    "take this fit out of the part",
		})
		return nil
	}
	if len(b.bodies) >= MaxBodies {
		b.elaboration.report(diag.Finding{
			Rule: "too-many-fits", Place: it.Stmt.Place(it.Stmt.Line),
			Message: "the design would have more than " + itoa(MaxBodies) + " fits",
			Why:     "the rest of the design is not checked",
			Help:    "repeat less, or split the design into several",
		})
		return nil
	}
	b.checked[part.Inner] = true
	f := b.newFit(model.Fit{Info: i, Parent: y.fit, Part: part.Name, PartPlace: part.NamePlace, Group: group, Index: index, Elsewhere: y.elsewhere})
	inner := b.newBody(part.Inner, b.fileBody(part.In), f, i.Path+".")
	inner.elsewhere = y.elsewhere
	b.takeArgs(inner, part, call.Args, it.Stmt.Place(call.Part.Span), y)
	return inner
}

// partRing names the parts from one that is being put in place back to itself.
func (b *builder) partRing(y *body, part *name.Def) string {
	var names []string
	for z := y; z != nil; z = z.around() {
		if z.scope.Kind != name.OfPart {
			continue
		}
		names = append(names, z.scope.Owner.Name)
		if z.scope == part.Inner {
			names = append([]string{part.Name}, names...)
			slices.Reverse(names)
			return joinWords(names, " contains ")
		}
	}
	return ""
}

// around is the body that a body was put in place by.
func (y *body) around() *body {
	switch y.scope.Kind {
	case name.OfPart:
		return y.caller
	case name.OfBench:
		return nil // its part is not in it but beside it
	}
	return y.outer
}

// repeatWires makes the wires of `each`, one for each fit behind it.
func (b *builder) repeatWires(y *body) {
	for _, it := range y.live {
		if it.Stmt.Kind.ID != schema.Wire || len(it.Defs) == 0 {
			continue
		}
		d := it.Defs[0]
		x := y.ents[d.Index]
		if x.kind != wireGroup {
			continue
		}
		n, ok := b.eachCount(y, it)
		if !ok {
			y.ents[d.Index] = entity{kind: unknown}
			b.incomplete(y, it)
			continue
		}
		ids := make([]int, n)
		for k := range n {
			i := b.info(y, d)
			i.Name = itoa(k + 1)
			i.Path += "." + i.Name
			ids[k] = b.newWire(i)
		}
		b.wires[x.id] = ids
	}
}

// eachCount is how many fits stand behind the `each` of a wire's ends. Two ends with
// `each` have to agree.
func (b *builder) eachCount(y *body, it *name.Item) (int, bool) {
	c := it.Stmt.Clause(schema.WireEnds)
	count := -1
	for _, role := range [...]string{"from", "to"} {
		r := c.Ref(role)
		if r == nil || !r.Each {
			continue
		}
		group, _, ok := b.groupOf(y, r)
		if !ok {
			return 0, false
		}
		if count >= 0 && count != len(group) {
			b.report(y, it.Stmt, diag.Finding{
				Rule: "wrong-kind", Place: it.Stmt.Place(c.Span), Subject: y.prefix + it.Defs[0].Name,
				Message: "one end repeats " + itoa(count) + " times, the other " + itoa(len(group)) + " times",
				Why:     "it is not clear which pins the wires join",
				Help:    "write wires by hand where the numbers differ",
			})
			return 0, false
		}
		count = len(group)
	}
	return count, true
}
