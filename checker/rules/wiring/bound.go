package wiring

import (
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// bounds tells of every piece of metal what current it can carry at most, whatever the
// switches do. It spares the search over the states for most of them.
//
// What runs through a piece of metal into the metal behind it has, by Kirchhoff, to leave
// that through loads, windings and resistors, or through diodes that look that way; none
// of those can carry more than all sources in series would drive through it. Sources that
// begin at one node are not in series: at any potential between the lowest and the highest of
// a circuit some source drives a current upwards across it, so that the spans of the sources
// cover all between the two, and those that begin at one node cover no more than the largest of
// them. Where that
// metal leads to ground, to a supply, or round to the other side, there is no such bound.
//
// Nothing comes out of ground where it is the lowest point: where the minus of every
// source of the island is held to it by metal. (To within what the straps in between
// lose, which drives nothing worth speaking of through a load.)
var bounds = rule.Share(func(p *rule.Pass) *bounding {
	b := &bounding{
		d: p.Design, c: p.Circuit(),
		known: map[model.ElementID]float64{},
		at:    make([][]model.ElementID, len(p.Design.Nodes)),
	}
	above, below := map[model.NodeID]float64{}, map[model.NodeID]float64{}
	for i := range b.d.Elements {
		id, e := model.ElementID(i), &b.d.Elements[i]
		if _, switched, conducts := b.c.SwitchOf(id); !switched && !conducts {
			continue
		}
		b.at[e.A] = append(b.at[e.A], id)
		b.at[e.B] = append(b.at[e.B], id)
		if isSource(e) {
			above[e.A], below[e.A] = max(above[e.A], e.Volts.Max), min(below[e.A], e.Volts.Min)
		}
	}
	for i := range b.d.Nodes {
		b.span += above[model.NodeID(i)] - below[model.NodeID(i)]
	}
	b.lowest = make([]bool, len(b.c.Islands()))
	held := heldTogether(b.d)
	for i, island := range b.c.Islands() {
		b.lowest[i] = b.d.Ground != model.None
		for _, id := range island.Elements {
			if e := &b.d.Elements[id]; isSource(e) {
				b.lowest[i] = b.lowest[i] && held(e.A) == held(b.d.Ground) && e.Volts.Min >= 0
			}
		}
	}
	return b
})

func isSource(e *model.Element) bool {
	return e.Type == model.ElemSupply || e.Type == model.ElemPull && e.Volts != model.Param{}
}

type bounding struct {
	d      *model.Design
	c      *circuit.Circuit
	at     [][]model.ElementID // by node: the elements that can conduct
	span   float64             // V, the most that can stand between two nodes: of all sources in series
	lowest []bool              // by island: no point of it lies below ground
	known  map[model.ElementID]float64
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
		x = min(b.flow(id, e.B, e.A, true), b.flow(id, e.A, e.B, false))
		if e.Type != model.ElemDiode {
			x = max(x, min(b.flow(id, e.A, e.B, true), b.flow(id, e.B, e.A, false)))
		}
	} else if e.Type != model.ElemSupply {
		x = b.span / e.Ohm.Min
	}
	b.known[id] = x
	return x
}

// passes reports whether an element joins its ends without a resistance that bounds
// anything.
func passes(e *model.Element) bool { return e.Metal || e.Type == model.ElemDiode }

// flow is what can leave the metal on one side of an element by other ways, or come into
// it.
func (b *bounding) flow(id model.ElementID, from, other model.NodeID, out bool) float64 {
	seen := map[model.NodeID]bool{from: true}
	var resists []*model.Element
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == b.d.Ground && !out && b.groundIsLowest(id) {
			continue
		}
		if n == b.d.Ground || n == other {
			return math.Inf(1)
		}
		for _, k := range b.at[n] {
			e := &b.d.Elements[k]
			switch {
			case k == id:
			case e.Type == model.ElemSupply:
				return math.Inf(1)
			case e.Type == model.ElemDiode && (n == e.A) != out:
			case passes(e):
				if next := e.A + e.B - n; !seen[next] {
					seen[next] = true
					queue = append(queue, next)
				}
			default:
				resists = append(resists, e)
			}
		}
	}
	sum := 0.0
	for _, e := range resists {
		if !(seen[e.A] && seen[e.B]) {
			sum += b.span / e.Ohm.Min
		}
	}
	return sum
}

func (b *bounding) groundIsLowest(id model.ElementID) bool {
	e := &b.d.Elements[id]
	for _, n := range [...]model.NodeID{e.A, e.B} {
		if i, ok := b.c.IslandOf(n); ok {
			return b.lowest[i]
		}
	}
	return false
}

// drop is the most, in V, that the metal between two nodes can lose while it joins them;
// 0 where it never does. Ways lead through ground only where there are no others.
func (b *bounding) drop(from, to model.NodeID) float64 {
	if x, ok := b.lose(from, to); ok {
		return x
	}
	if b.d.Ground == model.None {
		return 0
	}
	x, ok1 := b.lose(from, b.d.Ground)
	y, ok2 := b.lose(b.d.Ground, to)
	if !ok1 || !ok2 {
		return 0
	}
	return x + y
}

// lose is the same, not through ground; false where no metal joins the two. Pieces of
// metal off the way, that end nowhere or in loads, do not count.
func (b *bounding) lose(from, to model.NodeID) (volts float64, ok bool) {
	// The metal that can be reached from one end, up to the other, ground and supplies.
	var on []model.ElementID
	degree := map[model.NodeID]int{}
	seen := map[model.NodeID]bool{from: true}
	taken := map[model.ElementID]bool{}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == to || n == b.d.Ground && n != from {
			continue
		}
		for _, id := range b.at[n] {
			e := &b.d.Elements[id]
			if !e.Metal || taken[id] {
				continue
			}
			taken[id] = true
			on = append(on, id)
			degree[e.A]++
			degree[e.B]++
			if next := e.A + e.B - n; !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	if !seen[to] {
		return 0, false
	}
	for changed := true; changed; {
		changed = false
		for _, id := range on {
			e := &b.d.Elements[id]
			if !taken[id] {
				continue
			}
			for _, n := range [...]model.NodeID{e.A, e.B} {
				if degree[n] == 1 && n != from && n != to {
					taken[id], changed = false, true
					degree[e.A]--
					degree[e.B]--
					break
				}
			}
		}
	}
	sum := 0.0
	for _, id := range on {
		if taken[id] {
			sum += b.most(id) * b.d.Elements[id].Ohm.Max
		}
	}
	return sum, true
}
