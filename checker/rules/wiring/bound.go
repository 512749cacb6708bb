package wiring

import (
	"math"

	"pintle/checker/circuit"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// bounds tells of every piece of metal what current it can carry at most, whatever the
// switches do. It spares the search over the states for most of them.
//
// The current through a piece of metal is, by Kirchhoff, what flows out of the metal
// behind it through loads, windings and resistors; none of those can carry more than all
// supplies in series would drive through it. Where the metal on both sides leads to
// ground, a supply, or round to the other side, there is no such bound.
var bounds = rule.Share(func(p *rule.Pass) *bounding {
	b := &bounding{d: p.Design, c: p.Circuit(), known: map[model.ElementID]float64{}, at: make([][]model.ElementID, len(p.Design.Nodes))}
	for i := range b.d.Elements {
		id := model.ElementID(i)
		e := &b.d.Elements[i]
		if _, switched, conducts := b.c.SwitchOf(id); !switched && !conducts {
			continue
		}
		b.at[e.A] = append(b.at[e.A], id)
		b.at[e.B] = append(b.at[e.B], id)
		if e.Type == model.ElemSupply || e.Type == model.ElemPull {
			b.span += max(math.Abs(e.Volts.Min), math.Abs(e.Volts.Max))
		}
	}
	return b
})

type bounding struct {
	d     *model.Design
	c     *circuit.Circuit
	at    [][]model.ElementID // by node: the elements that can conduct
	span  float64             // V, of all sources in series
	known map[model.ElementID]float64
}

// most is the current, in A, that an element can carry at most; infinite where nothing
// bounds it.
func (b *bounding) most(id model.ElementID) float64 {
	if x, ok := b.known[id]; ok {
		return x
	}
	e := &b.d.Elements[id]
	x := math.Inf(1)
	if passes(e) {
		x = min(b.behind(id, e.A, e.B), b.behind(id, e.B, e.A))
	} else if e.Type != model.ElemSupply {
		x = b.span / e.Ohm.Min
	}
	b.known[id] = x
	return x
}

// passes tells whether an element joins its ends without a resistance that bounds
// anything.
func passes(e *model.Element) bool { return e.Metal || e.Type == model.ElemDiode }

// behind is what can flow out of the metal that a side of an element leads to.
func (b *bounding) behind(id model.ElementID, from, other model.NodeID) float64 {
	seen := map[model.NodeID]bool{from: true}
	var out []*model.Element
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == b.d.Ground || n == other {
			return math.Inf(1)
		}
		for _, k := range b.at[n] {
			e := &b.d.Elements[k]
			switch {
			case k == id:
			case e.Type == model.ElemSupply:
				return math.Inf(1)
			case passes(e):
				if next := e.A + e.B - n; !seen[next] {
					seen[next] = true
					queue = append(queue, next)
				}
			default:
				out = append(out, e)
			}
		}
	}
	sum := 0.0
	for _, e := range out {
		if !(seen[e.A] && seen[e.B]) {
			sum += b.span / e.Ohm.Min
		}
	}
	return sum
}
