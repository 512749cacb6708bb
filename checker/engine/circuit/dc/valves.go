package dc

import (
	"context"
	"fmt"
)

// Which valves (diodes, one-way sources) conduct is a linear complementarity problem:
// every valve has a current i >= 0 and a reverse voltage w >= 0, never both positive,
// and w is an affine function of the currents of all valves with the matrix
// "on-resistances + port resistances of the rest". With the leaks of eliminate.go
// that matrix is symmetric positive definite for every network, so
//
//   - there is exactly one solution (Samelson, Thrall and Wesler 1958; Cottle, Pang
//     and Stone, The Linear Complementarity Problem, 1992, section 3.3);
//   - changing the state of only the lowest numbered valve that contradicts its law,
//     again and again, reaches it after finitely many steps from any start (Murty,
//     Opsearch 11 (1974) 123; Cottle, Pang and Stone, chapter 4).
//
// Changing all of them at once takes two or three steps where the other takes many,
// but may go round in circles. The standard safeguard (Júdice and Pires, Computers &
// Operations Research 21 (1994) 587) keeps both: all at once while the number of
// contradictions sinks to a new low at least every ten steps, one at a time
// otherwise, until it does. As the low can only sink finitely often, this ends.
//
// In floating point a valve that is within rounding of its knee agrees with both
// states. Should that ever break the count, maxPivots ends it with ErrUnsettled.
const (
	usualPatience = 10
	maxPivots     = 1 << 16

	nearPlain   = 1e-13 // of the largest voltage: rounding of a plain solve
	nearRefined = 4e-15 // of the largest voltage: rounding of a refined solve
	nearAmp     = 1e-14 // of the largest current before refinement: rounding
)

// settle finds the valve states of the present branches, with their currents.
func (c *Compiled) settle(ctx context.Context, w *workspace, vs *Values) error {
	for _, b := range w.present {
		// A source most likely delivers; a diode first has to be driven.
		w.on[b] = !c.wire[b].valve || c.net.Branches[b].Kind == Source
	}
	fewest, left := len(w.valves)+1, c.patience
	for {
		c.potentials(w, vs)
		c.contradictions(w, vs)
		if len(w.wrong) == 0 {
			// Decide again on refined values: they tell a microampere backwards through
			// a milliohm, where the plain voltage is lost in rounding.
			c.currents(w, vs)
			c.refinedContradictions(w, vs)
			if len(w.wrong) == 0 {
				c.openKnees(w, vs)
				return nil
			}
		}
		switch n := len(w.wrong); {
		case n < fewest && c.patience > 0:
			fewest, left = n, c.patience
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

// openKnees opens the valves that are closed without current; that changes no current
// and no voltage within a piece. A diode goes when it is the only bridge between two
// pieces, which carries nothing for certain, or when its voltage does not close it
// again, which would betray a tiny current. A one-way source goes in the latter case
// only: without load it still holds its terminals apart, as a source does.
func (c *Compiled) openKnees(w *workspace, vs *Values) {
	tried := false
	knee := c.nearZero(w, vs, nearRefined)
	for _, b := range w.valves {
		if !w.on[b] || (w.i[b] > w.near && w.i[b] > knee*vs.g[b]) {
			continue
		}
		w.on[b], tried = false, true
		s := &c.wire[b]
		if vs.e[b] <= 0 && !c.joined(w, s.a, s.b) {
			continue
		}
		c.potentials(w, vs)
		w.on[b] = w.v[s.a]-w.v[s.b]+vs.e[b] > c.nearZero(w, vs, nearRefined)
	}
	if tried {
		c.potentials(w, vs)
		c.currents(w, vs)
	}
	for _, b := range w.valves {
		w.i[b] = max(w.i[b], 0) // what is left below zero is rounding
	}
}

// joined reports whether two places are joined through conducting branches.
func (c *Compiled) joined(w *workspace, a, b int32) bool {
	for k := range w.root {
		w.root[k] = int32(k)
	}
	for _, br := range w.present {
		if w.on[br] {
			unite(w.root, c.wire[br].a, c.wire[br].b)
		}
	}
	return rootOf(w.root, a) == rootOf(w.root, b)
}

// nearZero is the voltage that a potential difference of this solve may be off by.
func (c *Compiled) nearZero(w *workspace, vs *Values, part float64) float64 {
	return part * (vs.maxE + largest(w.v))
}

// contradictions collects in w.wrong the valves whose voltage contradicts their state.
func (c *Compiled) contradictions(w *workspace, vs *Values) {
	w.wrong = w.wrong[:0]
	if len(w.valves) == 0 {
		return
	}
	near := c.nearZero(w, vs, nearPlain)
	for _, b := range w.valves {
		s := &c.wire[b]
		drive := w.v[s.a] - w.v[s.b] + vs.e[b]
		if (w.on[b] && drive < -near) || (!w.on[b] && drive > near) {
			w.wrong = append(w.wrong, b)
		}
	}
}

// refinedContradictions does so after currents.
func (c *Compiled) refinedContradictions(w *workspace, vs *Values) {
	if len(w.valves) == 0 {
		return
	}
	near := c.nearZero(w, vs, nearRefined)
	for _, b := range w.valves {
		if (w.on[b] && w.i[b] < -w.near) || (!w.on[b] && c.drive(w, vs, b) > near) {
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
