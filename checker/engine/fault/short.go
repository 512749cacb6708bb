package fault

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// mostShorts bounds the cases of one short that are distinguished.
const mostShorts = 1 << 11

// ErrWays says that a short may come about in more ways than are distinguished.
var ErrWays = fmt.Errorf("it may short a supply in more than %d cases", mostShorts)

// join is an element that a fault adds or closes, by its number in the faulty circuit and
// in the injected design.
type join struct{ faulty, injected model.ElementID }

// shorts finds where a fault shorts a supply and which fuse then opens, for all states: by
// deciding on one switch after the other of those that lie in the way.
type shorts struct {
	c     *circuit.Circuit // with the fault
	d     *model.Design    // that it was made of
	joins []join
	own   bool // the design has shorts of its own
	rival *rivals
	at    [][]model.ElementID // metal and diodes, by node
	runOf []run               // per element
	cases int
	seen  *ShortCurrent // what states of the short show, of one join; nil: not asked
}

// shorting is a decision: on a switch, or what follows from the short.
type shorting struct {
	at           circuit.Switch
	open, closed *shorting // nil in a leaf
	// Of a leaf: which joins close a short, which fuses may open first, by index, and
	// whether it may be that none opens.
	bites  []bool
	opens  []int
	unsure bool
}

func newShorts(d *model.Design, c *circuit.Circuit, joins []join, own bool) *shorts {
	s := &shorts{c: c, d: d, joins: joins, own: own, rival: &rivals{d: d, c: c}, at: make([][]model.ElementID, len(d.Nodes))}
	for i := range c.Elements() {
		id := model.ElementID(i)
		e := c.Element(id)
		s.runOf = append(s.runOf, run{e.A, e.B, oneWay(&e)})
		if !e.Metal && e.Type != model.ElemDiode || e.A < 0 || e.B < 0 || e.A == e.B {
			continue
		}
		if _, switched, conducts := c.SwitchOf(id); switched || conducts {
			s.at[e.A] = append(s.at[e.A], id)
			s.at[e.B] = append(s.at[e.B], id)
		}
	}
	return s
}

// stands is how an element stands under an assumption.
func (s *shorts) stands(a circuit.Assumed, id model.ElementID) circuit.Tri {
	w, switched, conducts := s.c.SwitchOf(id)
	switch {
	case switched:
		return a.Stands(w)
	case conducts:
		return circuit.Yes
	}
	return circuit.No
}

// fuses lists the fuses that may lie in the way of a short, by index.
func (s *shorts) fuses() []int {
	in := map[model.ElementID]bool{}
	for i := range s.d.Supplies {
		s.paths(s.c.Assume(), &s.d.Supplies[i], in)
	}
	var out []int
	for i := range s.d.Fuses {
		if f := &s.d.Fuses[i]; !f.Broken && in[f.Element] {
			out = append(out, i)
		}
	}
	return out
}

// decide works out what follows from the short under an assumption. Errors: ErrWays, and those
// of the solver.
func (s *shorts) decide(ctx context.Context, a circuit.Assumed) (*shorting, error) {
	if s.cases++; s.cases > mostShorts {
		return nil, ErrWays
	}
	none := &shorting{at: -1}
	for _, j := range s.joins {
		if s.stands(a, j.faulty) == circuit.Yes && s.bare(a, j.faulty) {
			// No fuse can clear it, whatever else stands how: what comes then is left out.
			out := &shorting{at: -1, bites: make([]bool, len(s.joins)), unsure: true}
			for k, x := range s.joins {
				out.bites[k] = s.closes(a, x.faulty)
			}
			if s.seen != nil {
				return out, s.solve(ctx, a, nil, nil)
			}
			return out, nil
		}
	}
	in := map[model.ElementID]bool{}
	next := circuit.Switch(-1)
	consider := func(id model.ElementID) {
		if w, switched, _ := s.c.SwitchOf(id); switched && a.Stands(w) == circuit.Depends && (next < 0 || w < next) {
			next = w
		}
	}
	for i := range s.d.Supplies {
		if s.paths(a, &s.d.Supplies[i], in) {
			consider(s.d.Supplies[i].Element)
		}
	}
	for id := range in {
		consider(id)
	}
	if len(in) == 0 {
		return none, nil
	}
	if next < 0 {
		return s.leaf(ctx, a, in, none)
	}
	out := &shorting{at: next}
	for _, closed := range [...]bool{false, true} {
		side := none
		if b, ok := a.With(next, closed); ok {
			var err error
			if side, err = s.decide(ctx, b); err != nil {
				return nil, err
			}
		}
		if closed {
			out.closed = side
		} else {
			out.open = side
		}
	}
	if out.open == none && out.closed == none {
		return none, nil
	}
	return out, nil
}

// leaf reports which fuse of those in the way opens first. Everything in the way stands; the
// rest of the vehicle, which loads the fuses besides, is looked at with all of it switched
// off and with all of it switched on.
func (s *shorts) leaf(ctx context.Context, a circuit.Assumed, in map[model.ElementID]bool, none *shorting) (*shorting, error) {
	out := &shorting{at: -1, bites: make([]bool, len(s.joins))}
	short := s.own && s.shorted(a)
	for k, j := range s.joins {
		out.bites[k] = in[j.faulty] && s.closes(a, j.faulty)
		short = short || out.bites[k]
	}
	if !short {
		return none, nil
	}
	err := s.solve(ctx, a, in, func(first []circuit.FuseLoad) {
		out.unsure = out.unsure || len(first) == 0
		for _, l := range first {
			if !slices.Contains(out.opens, l.Fuse) {
				out.opens = append(out.opens, l.Fuse)
			}
		}
	})
	slices.Sort(out.opens)
	return out, err
}

// solve reports which of some fuses open first with the rest of the vehicle switched off, and with
// as much of it switched on as can be together.
func (s *shorts) solve(ctx context.Context, a circuit.Assumed, in map[model.ElementID]bool, tell func(first []circuit.FuseLoad)) error {
	for _, closed := range [...]bool{false, true} {
		stand := a.Complete(closed)
		sol, err := s.c.Solve(ctx, func(w circuit.Switch) bool { return stand[w] }, circuit.Nominal)
		if err != nil {
			return err
		}
		loads := slices.DeleteFunc(sol.FuseLoads(), func(l circuit.FuseLoad) bool { return !in[s.d.Fuses[l.Fuse].Element] })
		first := circuit.FirstOf(loads, s.rival.are)
		if tell != nil {
			tell(first)
		}
		if s.seen != nil {
			s.note(s.joins[0].faulty, sol, loads, first)
		}
	}
	return nil
}

// where is the condition under which a decision comes to a leaf that is accepted; nil for
// never. A switch on which nothing turns is left out.
func (s *shorts) where(t *shorting, accept func(*shorting) bool) *model.Cond {
	// A tree in which equal parts are one, so that to compare them is to compare pointers.
	type tree struct {
		at           circuit.Switch
		open, closed *model.Cond
	}
	made := map[tree]*model.Cond{}
	never := model.False
	var walk func(t *shorting) *model.Cond
	walk = func(t *shorting) *model.Cond {
		if t.open == nil {
			if accept(t) {
				return model.True
			}
			return never
		}
		n := tree{t.at, walk(t.open), walk(t.closed)}
		if n.open == n.closed {
			return n.open
		}
		out := made[n]
		if out == nil {
			c := s.c.Switches()[t.at].Cond
			switch never {
			case n.open:
				out = model.And(c, n.closed)
			case n.closed:
				out = model.And(model.Not(c), n.open)
			default:
				out = model.Or(model.And(c, n.closed), model.And(model.Not(c), n.open))
			}
			made[n] = out
		}
		return out
	}
	if out := walk(t); out != never {
		return out
	}
	return nil
}

// switches adds the conditions of the switches on which a decision turns.
func (s *shorts) switches(t *shorting, to []*model.Cond) []*model.Cond {
	if t.open == nil {
		return to
	}
	if c := s.c.Switches()[t.at].Cond; !slices.Contains(to, c) {
		to = append(to, c)
	}
	return s.switches(t.closed, s.switches(t.open, to))
}
