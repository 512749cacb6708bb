package drive

import (
	"fmt"
	"slices"

	"pintle/checker/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// mostPairs bounds the switches of which two at a time are tried the other way.
const mostPairs = 24

// electricCause tells what a solved circuit shows, and what, were it the other way, would
// make it as wanted: single switches, some on the side of the feed and some on that of the
// earth; where no single one would, two together; where none would, a diode that blocks.
func (x *explainer) electricCause(c *model.Cond, want bool, depth int) {
	sol, ok := x.solution()
	if !ok || !x.say(depth, c.Place, "%s", x.standing(c)) {
		return
	}
	q, ok := x.circuit.Register(c.Atom)
	if !ok {
		return
	}
	w := &cure{explainer: x, sol: sol, q: q, want: want, of: model.ElementID(model.None)}
	if c.Atom.Kind == model.AtomMeasure {
		w.of = c.Atom.Measure.Element
	}
	all := w.movable()
	var found []cause
	for _, m := range all {
		if k, ok := w.by(m); ok {
			found = append(found, k)
		}
	}
	if found == nil {
		found = w.pair(all)
	}
	told := map[side]int{}
	for _, k := range found {
		if told[k.side]++; told[k.side] > mostWide {
			continue
		}
		x.switchCause(k, depth+1)
	}
	if found == nil && want {
		w.diode(depth + 1)
	}
}

// side is where something lies on the way of a current.
type side uint8

const (
	elsewhere side = iota
	feedSide
	earthSide
)

// mover is what goes the other way together: the switches of one contact with both its
// throws, or one alone.
type mover []circuit.Switch

// cause is an element that stands as it should not.
type cause struct {
	element model.ElementID
	cond    *model.Cond
	closed  bool
	side    side
}

// cure looks for what makes a circuit answer a question otherwise.
type cure struct {
	*explainer
	sol  *circuit.Solution
	q    circuit.QuestionID
	want bool
	of   model.ElementID // that the question measures; None: nothing single
}

// movable lists what could stand otherwise and has to do with the question.
func (w *cure) movable() (out []mover) {
	infos, islands := w.circuit.Switches(), w.circuit.Islands()
	asked := w.circuit.Question(w.q).Islands
	in := func(s circuit.Switch) bool {
		return len(asked) == 0 || slices.ContainsFunc(asked, func(i circuit.IslandID) bool { return slices.Contains(islands[i].Switches, s) })
	}
	contact := map[int]int{} // place in out, by contact
	for i := range infos {
		s := circuit.Switch(i)
		if !in(s) || w.eval(infos[i].Cond) == Unknown {
			continue
		}
		e := w.circuit.Element(infos[i].Elements[0])
		if e.Type == model.ElemContact {
			if at, ok := contact[e.Of]; ok {
				out[at] = append(out[at], s)
				continue
			}
			contact[e.Of] = len(out)
		}
		out = append(out, mover{s})
	}
	return out
}

// otherwise solves the circuit with some switches the other way; nil where it can't be.
func (w *cure) otherwise(ms ...mover) *circuit.Solution {
	got, err := w.circuit.Solve(w.ctx, func(v circuit.Switch) bool {
		return w.sol.Closed(v) != slices.ContainsFunc(ms, func(m mover) bool { return slices.Contains(m, v) })
	}, w.corner)
	if err != nil {
		return nil
	}
	if yes, err := got.Answer(w.ctx, w.q); err != nil || yes != w.want {
		return nil
	}
	return got
}

func (w *cure) by(m mover) (cause, bool) {
	other := w.otherwise(m)
	if other == nil {
		return cause{}, false
	}
	return w.cause(m, other), true
}

// pair finds two that only together make it as wanted.
func (w *cure) pair(all []mover) []cause {
	if len(all) > mostPairs {
		return nil
	}
	for i, a := range all {
		for _, b := range all[i+1:] {
			if other := w.otherwise(a, b); other != nil {
				return []cause{w.cause(a, other), w.cause(b, other)}
			}
		}
	}
	return nil
}

// cause says which of the elements that move together is the one to name, and on which side
// of what is measured it lies: on the current path, wherever there is one.
func (w *cure) cause(m mover, other *circuit.Solution) cause {
	on := other
	if !w.want {
		on = w.sol
	}
	infos := w.circuit.Switches()
	out := cause{element: model.None}
	pick := func(id model.ElementID, s circuit.Switch, at side) {
		out = cause{element: id, cond: infos[s].Cond, closed: w.sol.Closed(s), side: at}
	}
	if w.of != model.None {
		way, _ := on.PathThrough(w.of)
		at := feedSide
		for _, st := range way {
			if st.Element == w.of {
				at = earthSide
			}
			for _, s := range m {
				if out.element == model.None && slices.Contains(infos[s].Elements, st.Element) {
					pick(st.Element, s, at)
				}
			}
		}
	}
	if out.element == model.None {
		pick(infos[m[0]].Elements[0], m[0], elsewhere)
	}
	return out
}

func (x *explainer) switchCause(k cause, depth int) {
	e := x.circuit.Element(k.element)
	x.is(diag.OfElement, int(k.element), b2i(k.closed))
	text := e.Path + " " + conducts(e.Type, k.closed)
	if x.design.SeveralWays(k.element) {
		text = fmt.Sprintf("%s from %s to %s", text, x.design.Nodes[e.A].Path, x.design.Nodes[e.B].Path)
	}
	if k.cond != nil && k.cond.Op == model.CondAtom && k.cond.Atom.Kind == model.AtomFree {
		text += ", as it may at any time"
	}
	if x.say(depth, e.NamePlace, "%s", text) {
		x.cond(k.cond, !k.closed, depth+1)
	}
}

// diode tells of a diode that is driven backwards and keeps a current from what wants it.
func (w *cure) diode(depth int) {
	for i := range w.design.Elements {
		id, e := model.ElementID(i), &w.design.Elements[i]
		if e.Type != model.ElemDiode || !w.sol.Blocks(id) {
			continue
		}
		bridged := append(slices.Clone(w.faults), model.FaultAction{
			Thing: model.Thing{Kind: model.ThingElement, Index: i, Path: e.Path}, Mode: model.FaultShorted})
		c, err := circuit.New(w.design, bridged)
		if err != nil {
			continue
		}
		q, ok := c.Register(w.circuit.Question(w.q).Atom)
		if !ok {
			continue
		}
		infos := c.Switches()
		got, err := c.Solve(w.ctx, func(s circuit.Switch) bool {
			own, switched, conducts := w.circuit.SwitchOf(infos[s].Elements[0])
			return switched && w.sol.Closed(own) || !switched && conducts
		}, w.corner)
		if err != nil {
			return
		}
		if yes, err := got.Answer(w.ctx, q); err == nil && yes == w.want {
			w.say(depth, e.NamePlace, "%s blocks: it conducts from %s to %s only", e.Path, w.design.Nodes[e.A].Path, w.design.Nodes[e.B].Path)
			return
		}
	}
}

// conducts says in the words of the trade what an element does.
func conducts(t model.ElementType, closed bool) string {
	words := [2]string{"is broken", "is made"}
	switch t {
	case model.ElemDriver:
		words = [2]string{"is off", "is on"}
	case model.ElemSupply, model.ElemPull:
		words = [2]string{"is absent", "is present"}
	}
	return words[b2i(closed)]
}
