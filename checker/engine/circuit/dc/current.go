package dc

import "math"

// maxRefine bounds the steps of refinement. One is the rule; each gains as many digits
// as the spread of the resistances leaves of sixteen.
const maxRefine = 6

// A sum of currents may be off by rounding, as a part of its terms, and by the rounding
// of w.fine, itself a rounding of the potentials, in the best conductor.
const (
	rounding   = 1e-15
	roundFines = 1e-31
)

// currents fills w.i, in amperes, and w.near, the error that may be left in them: a few
// roundings of the largest current before refinement.
//
// A current that is the small difference of two nearly equal potentials over a
// milliohm is mostly rounding at first. So potentials are kept as unevaluated sums
// w.v + w.fine, differences of them are taken exactly, and w.fine is corrected by what
// the nodes have too much current until Kirchhoff's current law holds at every node to
// rounding of the currents that meet there. His voltage law holds throughout. (This is
// iterative refinement with residuals of twice the precision: Higham, Accuracy and
// Stability of Numerical Algorithms, 2nd ed. 2002, ch. 12.)
func (c *Compiled) currents(w *workspace, vs *Values) {
	clear(w.i)
	clear(w.fine)
	floor := roundFines * vs.maxG * vs.maxE
	for step := 0; ; step++ {
		for _, b := range w.present {
			if w.on[b] {
				w.i[b] = vs.g[b] * c.drive(w, vs, b)
			}
		}
		if step == 0 {
			w.near = nearAmp*largest(w.i) + floor*float64(len(w.present))
		}
		if !c.excess(w, floor) || step == maxRefine {
			return
		}
		c.plan.response(w.cells, w.inv, w.y)
		for k, d := range w.y {
			w.fine[k] += d
		}
	}
}

// drive is the voltage that drives current through branch b from A to B, its EMF
// included, right to rounding of itself.
func (c *Compiled) drive(w *workspace, vs *Values, b int32) float64 {
	s := &c.wire[b]
	u, lost := twoSum(w.v[s.a], -w.v[s.b])
	d, lostToo := twoSum(u, vs.e[b])
	return d + (lost + lostToo + (w.fine[s.a] - w.fine[s.b]))
}

// twoSum returns the rounded sum of a and b and what the rounding lost, exactly
// (Knuth, The Art of Computer Programming, vol. 2, section 4.2.2, Theorem B).
func twoSum(a, b float64) (sum, lost float64) {
	sum = a + b
	part := sum - a
	return sum, (a - (sum - part)) + (b - part)
}

// excess fills w.y with the sum of the currents into each node and reports whether some
// sum is more than floor and the rounding of its terms. The sums are compensated (Neumaier,
// Z. angew. Math. Mech. 54 (1974) 39): a rounding of the hundred amperes that pass a
// ground stud must not be taken for a current in the ten megohm that also end there.
func (c *Compiled) excess(w *workspace, floor float64) bool {
	clear(w.y)
	clear(w.low)
	clear(w.through)
	for _, b := range w.present {
		if i := w.i[b]; i != 0 {
			s := &c.wire[b]
			w.feed(s.a, -i)
			w.feed(s.b, i)
		}
	}
	over := false
	for k := range w.y {
		w.y[k] += w.low[k]
		over = over || math.Abs(w.y[k]) > rounding*w.through[k]+floor
	}
	return over
}

// feed adds a current to the sum w.y[k] + w.low[k].
func (w *workspace) feed(k int32, i float64) {
	sum, lost := twoSum(w.y[k], i)
	w.y[k] = sum
	w.low[k] += lost
	w.through[k] += math.Abs(i)
}

func largest(xs []float64) float64 {
	m := 0.0
	for _, x := range xs {
		m = max(m, math.Abs(x))
	}
	return m
}
