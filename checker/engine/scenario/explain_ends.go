package scenario

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// Bounds on what is told of the ends of something.
const (
	mostEnds  = 2 // dead ends, and diodes, of one end
	mostNamed = 3 // elements by whose way an end is joined
)

// unmoved tells of what no switch and no diode makes as wanted. A value that is reached and
// should not be: what is made in the current path. One that is not reached: what takes the
// volts in the current path; where no current worth speaking of runs, how both ends are
// joined, and where the metal from them ends.
func (w *cure) unmoved(depth int) {
	if !w.more {
		w.path(depth)
		return
	}
	if !w.alike() && w.drops(depth) {
		return
	}
	told := false
	for i, n := range w.ends {
		if w.was[i] == 0 {
			told = w.ending(i, n, depth) || told
		}
	}
	for i, n := range w.ends {
		if !told || w.was[i] != 0 && len(w.ends) == 1 {
			w.joined(i, n, depth)
		}
	}
}

// alike reports whether metal joins both ends to the same, feed or earth.
func (w *cure) alike() bool { return len(w.was) == 2 && w.was[0] == w.was[1] && w.was[0] != 0 }

// path reports what is made in the current path through what is measured, or on the way from
// the rail that a node is joined to.
func (w *cure) path(depth int) {
	if w.of != model.None {
		way, _ := w.sol.PathThrough(w.of)
		for _, st := range way {
			w.made(st.Element, depth)
		}
		return
	}
	for i, n := range w.ends {
		w.joined(i, n, depth)
	}
}

// made tells of a switch that is made, why it is; nothing of what is no switch.
func (w *cure) made(id model.ElementID, depth int) {
	s, switched, _ := w.circuit.SwitchOf(id)
	if !switched || w.circuit.Element(id).Type == model.ElemSupply {
		return
	}
	w.switchCause(cause{element: id, cond: w.circuit.Switches()[s].Cond, closed: w.sol.Closed(s)}, depth)
}

// drops reports what takes the volts that are missing, where a current runs.
func (w *cure) drops(depth int) (told bool) {
	if w.of == model.None || w.atom.Kind != model.AtomMeasure || w.atom.Measure.Kind == model.Amps || !w.sol.Carries(w.of) {
		return false
	}
	got, err := w.sol.Measure(w.ctx, w.atom.Measure)
	level := w.atom.Level.Nominal
	if err != nil || got*level <= 0 || math.Abs(got) < math.Abs(level)/100 {
		return false // nothing, or in the other direction
	}
	missing := math.Abs(level) - math.Abs(got)
	way, _ := w.sol.PathThrough(w.of)
	for _, st := range way {
		e := w.circuit.Element(st.Element)
		if st.Element == w.of || e.Type == model.ElemSupply {
			continue
		}
		m := model.Measure{Kind: model.AbsVolts, A: e.A, B: e.B, Element: model.None, Load: model.None}
		u, err := w.sol.Measure(w.ctx, m)
		if err != nil || u < missing/10 {
			continue
		}
		n := circuit.Number(m, u)
		w.read = append(w.read, n)
		w.say(depth, e.NamePlace, "%s takes %s", e.Path, n.Text)
		told = true
	}
	return told
}

// joined tells that metal joins an end to a feed or to earth, and what is made on the way.
func (w *cure) joined(i int, n model.NodeID, depth int) {
	for _, r := range [...]struct {
		is    rail
		words string
		way   func(model.NodeID) ([]model.ElementID, bool)
	}{{plus, "at plus", w.sol.LivePath}, {earth, "at earth", w.sol.GroundPath}} {
		if w.was[i]&r.is == 0 {
			continue
		}
		way, _ := r.way(n)
		text := fmt.Sprintf("%s is %s", w.design.Nodes[n].Path, r.words)
		if by := w.named(way); by != "" {
			text += " by " + by
		}
		if !w.say(depth, w.design.Nodes[n].NamePlace, "%s", text) {
			continue
		}
		for _, id := range way {
			w.made(id, depth+1)
		}
	}
}

// named names the last few elements of a way.
func (w *cure) named(way []model.ElementID) string {
	var names []string
	for _, id := range way[max(0, len(way)-mostNamed):] {
		if e := w.circuit.Element(id); e.Type != model.ElemSupply {
			names = append(names, e.Path)
		}
	}
	return strings.Join(names, ", ")
}

// ending tells where the metal from an end that is joined to nothing ends: at a pin without a
// wire, at a diode that blocks, at switches that would join it to what the other end is not
// joined to. It reports whether there is anything to tell.
func (w *cure) ending(i int, n model.NodeID, depth int) (told bool) {
	d := w.design
	at := w.sol.Ending(n, w.of)
	dead := slices.DeleteFunc(at.Dead, func(k model.NodeID) bool {
		return slices.ContainsFunc(d.Readings, func(r model.Reading) bool { return r.Pin == k })
	})
	for _, k := range dead[:min(len(dead), mostEnds)] {
		if k == n {
			w.say(depth, d.Nodes[k].NamePlace, "%s has no wire", d.Nodes[k].Path)
		} else {
			w.say(depth, d.Nodes[k].NamePlace, "%s ends at %s, where there is no wire", d.Nodes[n].Path, d.Nodes[k].Path)
		}
		told = true
	}
	for _, id := range at.Blocking[:min(len(at.Blocking), mostEnds)] {
		e := w.circuit.Element(id)
		w.say(depth, e.NamePlace, "%s blocks: it conducts from %s to %s only", e.Path, d.Nodes[e.A].Path, d.Nodes[e.B].Path)
		told = true
	}
	var open []cause
	for _, m := range w.movable() {
		infos := w.circuit.Switches()
		s := slices.IndexFunc(m, func(s circuit.Switch) bool {
			return slices.ContainsFunc(infos[s].Elements, func(id model.ElementID) bool { return slices.Contains(at.Open, id) })
		})
		if s < 0 {
			continue
		}
		other := w.flipped(m)
		if other == nil || !w.helps(i, railOf(other, n)) {
			continue
		}
		id := infos[m[s]].Elements[0]
		open = append(open, cause{element: id, cond: infos[m[s]].Cond, closed: false})
	}
	for i, k := range open {
		if i == mostWide && len(open) > mostWide+1 {
			w.others(depth, len(open)-i)
			break
		}
		w.switchCause(k, depth)
		told = true
	}
	return told
}

// helps reports whether it is of use for the question that an end becomes joined so.
func (w *cure) helps(i int, is rail) bool {
	if is == 0 {
		return false
	}
	switch w.atom.Kind {
	case model.AtomLive:
		return is&plus != 0
	case model.AtomGrounded:
		return is&earth != 0
	}
	for k, was := range w.was {
		if k != i && was == is {
			return false
		}
	}
	return true
}

// diode tells of the diodes that are driven backwards and keep a current from what wants it;
// it reports whether there are any.
func (w *cure) diode(depth int) (told bool) {
	islands := w.circuit.Question(w.q).Islands
	tried := 0
	for i := range w.design.Elements {
		id, e := model.ElementID(i), &w.design.Elements[i]
		if e.Type != model.ElemDiode || !w.sol.Blocks(id) {
			continue
		}
		if at, ok := w.circuit.IslandOf(e.A); ok && len(islands) > 0 && !slices.Contains(islands, at) {
			continue
		}
		if tried++; tried > mostDiodes {
			return told
		}
		got, yes, ok := w.with(model.FaultAction{
			Thing: model.Thing{Kind: model.ThingElement, Index: i, Path: e.Path}, Mode: model.FaultShorted})
		if ok && yes == w.want && w.plain(got) {
			w.say(depth, e.NamePlace, "%s blocks: it conducts from %s to %s only", e.Path, w.design.Nodes[e.A].Path, w.design.Nodes[e.B].Path)
			told = true
		}
	}
	return told
}
