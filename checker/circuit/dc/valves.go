package dc

import (
	"context"
	"fmt"
	"math"
)

// Which valves (diodes, one-way sources) conduct is a linear complementarity problem:
// every valve has a current i >= 0 and a reverse voltage w >= 0, never both positive,
// and w is an affine function of the currents of all valves with the matrix
// "on-resistances + port resistances of the rest". With the leaks of eliminate.go
// that matrix is symmetric positive definite for every network, so
//
//   - there is exactly one solution (Samelson, Thrall and Wesler 1958; Cottle, Pang
//     and Stone, The Linear Complementarity Problem, 1992, Theorem 3.3.7);
//   - changing the state of only the lowest numbered valve that contradicts its law,
//     again and again, reaches it after finitely many steps from any start (Murty,
//     Opsearch 11 (1974) 123; Cottle, Pang and Stone, section 4.2).
//
// Changing all of them at once takes two or three steps where the other takes many,
// but may go round in circles. The standard safeguard (Júdice and Pires, Computers &
// Operations Research 21 (1994) 587) keeps both: all at once while the number of
// contradictions sinks to a new low at least every patience steps, one at a time
// otherwise, until it does. As the low can only sink finitely often, this ends.
//
// In floating point a valve that is within rounding of its knee agrees with both
// states. Should that ever break the count, maxPivots ends it with ErrUnsettled.
const (
	patience  = 10
	maxPivots = 1 << 16

	nearVolt = 1e-13 // of the largest voltage: rounding, not a voltage
	nearAmp  = 1e-13 // of the largest current: rounding, not a current
)

// settle finds the valve states of the present branches, with their currents.
func (c *Compiled) settle(ctx context.Context, w *workspace, vs *Values) error {
	for _, b := range w.present {
		// A source most likely delivers; a diode first has to be driven.
		w.on[b] = !c.wire[b].valve || c.net.Branches[b].Kind == Source
	}
	fewest, left := len(w.valves)+1, patience
	for {
		c.potentials(w, vs)
		if len(w.valves) == 0 {
			c.currents(w, vs)
			return nil
		}
		c.contradictions(w, vs, c.nearZero(w, vs))
		if len(w.wrong) == 0 {
			// Decide again on the refined currents: they tell a microampere backwards
			// through a milliohm, where the voltage is lost in rounding.
			c.currents(w, vs)
			near := nearAmp * largest(w.i)
			for _, b := range w.valves {
				if w.on[b] && w.i[b] < -near {
					w.wrong = append(w.wrong, b)
				}
			}
			if len(w.wrong) == 0 {
				return c.openKnees(w, vs, near)
			}
		}
		switch n := len(w.wrong); {
		case n < fewest:
			fewest, left = n, patience
		case left > 0:
			left--
		default:
			w.wrong = w.wrong[:1]
		}
		for _, b := range w.wrong {
			w.on[b] = !w.on[b]
		}
		if w.pivots > maxPivots {
			return fmt.Errorf("%w: %d valves after %d pivots", ErrUnsettled, len(w.valves), w.pivots)
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
}

// openKnees opens the valves that conduct no current, so that a valve exactly at its
// knee counts as blocking. One whose opening would contradict its law stays: it had
// a tiny current.
func (c *Compiled) openKnees(w *workspace, vs *Values, near float64) error {
	opened, tried := false, false
	for _, b := range w.valves {
		if !w.on[b] || w.i[b] > near {
			continue
		}
		w.on[b], tried = false, true
		c.potentials(w, vs)
		if c.contradictions(w, vs, c.nearZero(w, vs)); len(w.wrong) == 0 {
			opened = true
		} else {
			w.on[b] = true
		}
	}
	if tried {
		c.potentials(w, vs)
		c.currents(w, vs)
	}
	for _, b := range w.valves {
		if opened && w.i[b] < -near {
			return fmt.Errorf("%w: branch %d at %g A after opening those without current", ErrUnsettled, b, w.i[b])
		}
		w.i[b] = max(w.i[b], 0) // what is left below zero is rounding
	}
	return nil
}

// nearZero is the voltage that a potential difference of this solve may be off by.
func (c *Compiled) nearZero(w *workspace, vs *Values) float64 {
	return nearVolt * (vs.maxE + largest(w.v))
}

// contradictions collects in w.wrong the valves whose voltage contradicts their state
// by more than near volts.
func (c *Compiled) contradictions(w *workspace, vs *Values, near float64) {
	w.wrong = w.wrong[:0]
	for _, b := range w.valves {
		s := &c.wire[b]
		drive := w.v[s.a] - w.v[s.b] + vs.e[b]
		if (w.on[b] && drive < -near) || (!w.on[b] && drive > near) {
			w.wrong = append(w.wrong, b)
		}
	}
}

// potentials solves for w.v with the valve states as they are.
func (c *Compiled) potentials(w *workspace, vs *Values) {
	clear(w.cells)
	for _, b := range w.present {
		s := &c.wire[b]
		if s.cell < 0 {
			continue
		}
		t := &w.cells[s.cell]
		if !w.on[b] {
			t.g += leak
			continue
		}
		t.g += vs.g[b]
		t.j += s.sign * (vs.g[b] * vs.e[b])
	}
	c.plan.eliminate(w.cells, w.inv)
	c.plan.potentials(w.cells, w.inv, w.v)
	w.pivots++
}

// currents fills w.i from w.v, in amperes. A current that is the small difference of
// two nearly equal potentials over a milliohm is mostly rounding at first; one step
// of refinement corrects the *currents* by what the nodes have too much, so that
// Kirchhoff's current law holds at every node to rounding of the currents that meet
// there. (The potentials, already right to rounding, take the same correction.)
func (c *Compiled) currents(w *workspace, vs *Values) {
	clear(w.i)
	clear(w.y)
	for _, b := range w.present {
		if !w.on[b] {
			continue
		}
		s := &c.wire[b]
		i := vs.g[b] * (w.v[s.a] - w.v[s.b] + vs.e[b])
		w.i[b] = i
		w.y[s.a] -= i
		w.y[s.b] += i
	}
	c.plan.response(w.cells, w.inv, w.y)
	for _, b := range w.present {
		if w.on[b] {
			s := &c.wire[b]
			w.i[b] += vs.g[b] * (w.y[s.a] - w.y[s.b])
		}
	}
	for k, d := range w.y {
		w.v[k] += d
	}
}

func largest(xs []float64) float64 {
	m := 0.0
	for _, x := range xs {
		m = max(m, math.Abs(x))
	}
	return m
}
