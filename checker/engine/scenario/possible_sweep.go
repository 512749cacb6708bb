package scenario

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Swept is what happened at one point while a quantity swept its range.
type Swept struct {
	Point  unit.Num // base unit
	Rising bool
	Events []Event
	// Of are the values of the conditions that were asked for, behind the point.
	Of []Truth
}

// Sweep lets a quantity run from one of the states through all of its range, up from the
// bottom to the top and down again, with everything at its nominal value, in no time and
// with nothing else moving: where does what the design does change, and which way? The first
// of what it returns is how things stand at the bottom.
func (s *Possible) Sweep(ctx context.Context, state int, q model.QuantityID, of []*model.Cond) ([]Swept, error) {
	r, err := newRunner(s.d, Options{FusesHold: true, InHand: true, Corner: circuit.Nominal})
	if err != nil {
		return nil, err
	}
	r.s = s.states[state].Clone()
	for i := range r.s.Clocks { // none of them ends while no time passes
		r.s.Clocks[i].Until = 1<<63 - 1
	}
	var out []Swept
	run := func(to unit.Num, rising, tell bool) error {
		for _, l := range r.between(q, to) {
			r.s.Quantities[q] = l
			r.out.Events = nil
			m, err := r.move(ctx, &r.s, r.note)
			if err != nil {
				return err
			}
			if tell {
				out = append(out, Swept{Point: l.N, Rising: rising, Events: slices.Clone(r.out.Events), Of: m.all(of)})
			}
			if m.err != nil {
				return m.err
			}
		}
		return nil
	}
	lo, hi := s.d.Quantities[q].Lo.N, s.d.Quantities[q].Hi.N
	if err := run(lo, false, false); err != nil {
		return nil, err
	}
	m := r.moment(ctx, &r.s)
	out = append(out, Swept{Point: lo, Of: m.all(of)})
	if m.err != nil {
		return nil, m.err
	}
	if err := run(hi, true, true); err != nil {
		return nil, err
	}
	return out, run(lo, false, true)
}

func (m *moment) all(of []*model.Cond) (out []Truth) {
	for _, c := range of {
		out = append(out, m.eval(c))
	}
	return out
}

// Place is a text that states have in common which differ in one quantity, in memories and in
// clocks only: what a sweep of that quantity begins with.
func (s *Possible) Place(state int, but model.QuantityID) string {
	st := &s.states[state]
	b := make([]byte, 0, len(st.Settings)+len(st.cells)+len(st.Machines))
	for _, v := range st.Settings {
		b = append(b, byte(v), byte(v>>8))
	}
	for i, v := range st.cells {
		if model.QuantityID(i) != but {
			b = append(b, byte(v), byte(v>>8))
		}
	}
	for _, v := range st.Machines {
		b = append(b, byte(v), byte(v>>8))
	}
	return string(b)
}
