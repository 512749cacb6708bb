package wiring

import (
	"pintle/checker/rule"
	"pintle/lang/model"
)

// loom is how wires and nodes hang together, whatever is switched.
type loom struct {
	wires [][]int             // by node: wires that end there, in Design.Wires
	other [][]model.ElementID // by node: elements that are no wires
}

// looms is shared by the rules about ends and colours.
var looms = rule.Share(func(p *rule.Pass) *loom {
	d := p.Design
	l := &loom{wires: make([][]int, len(d.Nodes)), other: make([][]model.ElementID, len(d.Nodes))}
	for i := range d.Elements {
		e := &d.Elements[i]
		for _, n := range []model.NodeID{e.A, e.B} {
			if e.Type == model.ElemWire {
				l.wires[n] = append(l.wires[n], e.Of)
			} else {
				l.other[n] = append(l.other[n], model.ElementID(i))
			}
		}
	}
	return l
})

// netsOf joins nodes by those pieces of metal that a filter takes, and reports which net a
// node lies in.
func netsOf(d *model.Design, take func(model.ElementID) bool) func(model.NodeID) int {
	root := make([]int, len(d.Nodes))
	for i := range root {
		root[i] = i
	}
	find := func(n model.NodeID) int {
		i := int(n)
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range d.Elements {
		if e := &d.Elements[i]; e.Metal && !e.Broken && take(model.ElementID(i)) {
			a, b := find(e.A), find(e.B)
			root[max(a, b)] = min(a, b)
		}
	}
	return find
}

// heldTogether joins nodes by metal that always conducts.
func heldTogether(d *model.Design) func(model.NodeID) int {
	return netsOf(d, func(id model.ElementID) bool { return d.Elements[id].Closed == nil })
}

// canConduct reports whether an element conducts in some state of the switches.
func (v *view) canConduct(id model.ElementID) bool {
	_, switched, conducts := v.c.SwitchOf(id)
	return switched || conducts
}

// sure reports whether the loom is known in full: a statement that could not be read may
// end anywhere.
func (v *view) sure() bool { return len(v.d.Incomplete) == 0 }

// far is the other end of a wire.
func far(w *model.Wire, n model.NodeID) model.NodeID { return w.A + w.B - n }
