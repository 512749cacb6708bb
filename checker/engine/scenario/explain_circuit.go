package scenario

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// mostPairs bounds the switches of which two at a time are tried the other way, mostDiodes the
// diodes that are tried bridged.
const (
	mostPairs  = 24
	mostDiodes = 12
)

// electricCause reports what a solved circuit shows, and what, were it the other way, would
// make it as wanted, that which changes most first: single switches; where no single one
// would, two together; and a diode that blocks. Where there is none of these, it reports how
// the ends of what is measured are joined, and where the way from them ends.
func (x *explainer) electricCause(c *model.Cond, want bool, depth int) {
	sol, ok := x.solution()
	if !ok || !x.say(depth, c.Place, "%s", x.standing(c)) {
		return
	}
	q, ok := x.circuit.Register(c.Atom)
	if !ok {
		return
	}
	w := newCure(x, sol, q, want)
	all := w.movable()
	var found []cause
	for _, m := range all {
		if k, ok := w.by(m); ok {
			found = append(found, k)
		}
	}
	if found = w.best(found); w.more && w.alike() &&
		!slices.ContainsFunc(found, func(k cause) bool { return k.plain }) {
		found = nil // both ends are joined to the same: a stray current from elsewhere is no cure
	}
	if len(found) == 0 {
		found = w.pair(all)
	}
	for i, k := range found {
		if i == mostWide && len(found) > mostWide+1 {
			x.others(depth+1, len(found)-i)
			break
		}
		x.switchCause(k, depth+1)
	}
	blocked := w.more && w.diode(depth+1)
	if failed := w.failed(depth + 1); len(found) == 0 && !blocked && !failed {
		w.unmoved(depth + 1)
	}
}

// others says how many causes there are beside those that are reported.
func (x *explainer) others(depth, n int) {
	x.lines = append(x.lines, diag.Line{Text: fmt.Sprintf("%sand %d more", strings.Repeat("  ", depth), n)})
}

// mover is what goes the other way together: the switches of one contact with both its
// throws, or one alone.
type mover []circuit.Switch

// cause is an element that stands as it should not.
type cause struct {
	element model.ElementID
	cond    *model.Cond
	closed  bool
	by      float64 // how much the measured value is another one with it the other way
	plain   bool    // see cure.plain
}

// cure looks for what makes a circuit answer a question otherwise.
type cure struct {
	*explainer
	sol  *circuit.Solution
	q    circuit.QuestionID
	atom model.Atom
	want bool
	more bool            // what is wanted is more volts, more current, a joint: not less, not a parting
	of   model.ElementID // that the question measures; None: nothing single
	ends []model.NodeID  // of what is measured, or the node that is asked about
	was  []rail          // how these are joined
}

// rail is what metal joins a node to.
type rail uint8

const (
	plus rail = 1 << iota
	earth
)

func railOf(s *circuit.Solution, n model.NodeID) (out rail) {
	if s.Live(n) {
		out |= plus
	}
	if s.Grounded(n) {
		out |= earth
	}
	return out
}

func newCure(x *explainer, sol *circuit.Solution, q circuit.QuestionID, want bool) *cure {
	w := &cure{explainer: x, sol: sol, q: q, atom: x.circuit.Question(q).Atom, want: want, of: model.ElementID(model.None)}
	w.more = want
	switch a := &w.atom; a.Kind {
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		w.more = want != (a.Kind == model.AtomFloating)
		w.ends = []model.NodeID{model.NodeID(a.Index)}
	case model.AtomMeasure:
		// A level below 0 is one of the other direction: more is further below it.
		w.more = want == ((a.Cmp == model.Above || a.Cmp == model.AtLeast) == !(a.Level.Nominal < 0))
		switch a.Measure.Kind {
		case model.Volts, model.AbsVolts:
			w.ends = []model.NodeID{a.Measure.A, a.Measure.B}
			w.of = a.Measure.Element
		case model.Amps:
			e := x.circuit.Element(a.Measure.Element)
			w.of, w.ends = a.Measure.Element, []model.NodeID{e.A, e.B}
		}
	}
	if w.of == model.None && len(w.ends) == 2 {
		w.of = between(x.circuit, w.ends[0], w.ends[1])
	}
	for _, n := range w.ends {
		w.was = append(w.was, railOf(sol, n))
	}
	return w
}

// between is the load or winding with these two ends; None where there is none, or several.
func between(c *circuit.Circuit, a, b model.NodeID) model.ElementID {
	found := model.ElementID(model.None)
	for i := range c.Elements() {
		e := c.Element(model.ElementID(i))
		if e.Metal || e.Type == model.ElemDiode || !(e.A == a && e.B == b || e.A == b && e.B == a) {
			continue
		}
		if found != model.None {
			return model.None
		}
		found = model.ElementID(i)
	}
	return found
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

// flipped solves the circuit with some switches the other way; nil where it can't be.
func (w *cure) flipped(ms ...mover) *circuit.Solution {
	got, err := w.circuit.Solve(w.ctx, func(v circuit.Switch) bool {
		return w.sol.Closed(v) != slices.ContainsFunc(ms, func(m mover) bool { return slices.Contains(m, v) })
	}, w.corner)
	if err != nil {
		return nil
	}
	return got
}

// otherwise is flipped where that makes the answer as wanted.
func (w *cure) otherwise(ms ...mover) *circuit.Solution {
	got := w.flipped(ms...)
	if got == nil {
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

// plain reports whether a cure is one that the circuit can be meant to have. For a value
// that is to be reached, metal joins both ends to feed and earth, and of the ends that were
// joined to one before at least one stays so: a current in the wrong direction, through
// something else, is no cure. For one that is not to be reached, what goes the other way
// carries the current in the state that is explained.
func (w *cure) plain(other *circuit.Solution, ms ...mover) bool {
	if len(w.ends) != 2 {
		return true
	}
	if !w.more {
		infos := w.circuit.Switches()
		for _, m := range ms {
			carries := func(s circuit.Switch) bool {
				return w.sol.Closed(s) && slices.ContainsFunc(infos[s].Elements, w.sol.Carries)
			}
			if !slices.ContainsFunc(m, carries) {
				return false
			}
		}
		return true
	}
	for _, n := range w.ends {
		if railOf(other, n) == 0 {
			return false
		}
	}
	return w.kept(other)
}

// kept reports whether of the ends that were joined to a feed or to earth one stays so.
func (w *cure) kept(other *circuit.Solution) bool {
	joined, kept := false, false
	for i, n := range w.ends {
		if was := w.was[i]; was == plus || was == earth {
			joined = true
			kept = kept || railOf(other, n) == was
		}
	}
	return kept || !joined
}

// best leaves out causes that are not plain where others are, and those that change next to
// nothing beside the others; the one that changes most comes first.
func (w *cure) best(found []cause) []cause {
	if slices.ContainsFunc(found, func(k cause) bool { return k.plain }) {
		found = slices.DeleteFunc(found, func(k cause) bool { return !k.plain })
	}
	most := 0.0
	for _, k := range found {
		most = max(most, k.by)
	}
	found = slices.DeleteFunc(found, func(k cause) bool { return k.by < most/100 })
	// What differs by rounding only stays in the order of the text.
	slices.SortStableFunc(found, func(a, b cause) int {
		return cmp.Compare(math.Round(100*b.by/max(most, 1e-12)), math.Round(100*a.by/max(most, 1e-12)))
	})
	return found
}

// pair finds two that only together make it as wanted: first two that both are to close, or
// both to open, then one of each.
func (w *cure) pair(all []mover) []cause {
	if len(all) > mostPairs {
		return nil
	}
	fits := func(m mover) bool { return len(m) > 1 || w.sol.Closed(m[0]) != w.more }
	for _, mixed := range []bool{false, true} {
		for i, a := range all {
			for _, b := range all[i+1:] {
				if mixed == (fits(a) && fits(b)) {
					continue
				}
				other := w.otherwise(a, b)
				if other == nil || !(w.plain(other, a, b) || !mixed && w.more && w.kept(other)) {
					continue
				}
				return []cause{w.cause(a, other), w.cause(b, other)}
			}
		}
	}
	return nil
}

// cause says which of the elements that move together is the one to name: the one that
// carries the current wherever there is one.
func (w *cure) cause(m mover, other *circuit.Solution) cause {
	on := other
	if !w.more {
		on = w.sol
	}
	infos := w.circuit.Switches()
	out := cause{element: model.None, plain: w.plain(other, m)}
	if w.atom.Kind == model.AtomMeasure {
		was, err1 := w.sol.Measure(w.ctx, w.atom.Measure)
		is, err2 := other.Measure(w.ctx, w.atom.Measure)
		if err1 == nil && err2 == nil {
			out.by = math.Abs(is - was)
		}
	}
	pick := func(id model.ElementID, s circuit.Switch) {
		out.element, out.cond, out.closed = id, infos[s].Cond, w.sol.Closed(s)
	}
	for _, s := range m { // elements with the same condition are one switch: the one that is asked about
		for _, e := range infos[s].Elements {
			x := w.circuit.Element(e)
			if out.element == model.None && on.Closed(s) && len(w.ends) == 2 && slices.Contains(w.ends, x.A) && slices.Contains(w.ends, x.B) {
				pick(e, s)
			}
		}
	}
	if w.of != model.None {
		way, _ := on.PathThrough(w.of)
		for _, st := range way {
			for _, s := range m {
				if out.element == model.None && slices.Contains(infos[s].Elements, st.Element) {
					pick(st.Element, s)
				}
			}
		}
	}
	for _, s := range m {
		for _, e := range infos[s].Elements {
			if out.element == model.None && on.Closed(s) && on.Carries(e) {
				pick(e, s)
			}
		}
	}
	for _, s := range m { // where no current runs, the throw that is to be made, or to be broken
		if out.element == model.None && on.Closed(s) {
			pick(infos[s].Elements[0], s)
		}
	}
	if out.element == model.None {
		pick(infos[m[0]].Elements[0], m[0])
	}
	return out
}

func (x *explainer) switchCause(k cause, depth int) {
	e := x.circuit.Element(k.element)
	x.is(diag.OfElement, int(k.element), b2i(k.closed))
	text := e.Path + " " + conducts(e.Type, k.closed)
	if e.Type == model.ElemPull && e.Volts.Nominal > 0 {
		text = "the pull-up of " + e.Path + [...]string{" has no power", " is powered"}[b2i(k.closed)]
	}
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

// conducts says in the words of the trade what an element does.
func conducts(t model.ElementType, closed bool) string {
	words := [2]string{"is open", "is made"}
	switch t {
	case model.ElemDriver:
		words = [2]string{"is off", "is on"}
	case model.ElemSupply, model.ElemPull:
		words = [2]string{"is absent", "is present"}
	}
	return words[b2i(closed)]
}
