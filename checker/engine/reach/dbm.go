package reach

import "slices"

// dbm is a set of clock readings, closed and convex: entry (i, j) bounds
// reading i minus reading j from above, in nanoseconds. Reading 0 is the
// constant 0 (Dill 1989). It is kept tight: every entry is the least implied.
type dbm struct {
	n int // readings, the constant included
	b []int64
}

// unbounded stands for no bound. Sums of it saturate.
const unbounded = int64(1) << 60

func (z *dbm) at(i, j int) *int64 { return &z.b[i*z.n+j] }

func sum(a, b int64) int64 {
	if a >= unbounded || b >= unbounded {
		return unbounded
	}
	return a + b
}

// tighten restores the least bounds (Floyd and Warshall) and reports whether any
// reading is left.
func (z *dbm) tighten() bool {
	for k := range z.n {
		for i := range z.n {
			for j := range z.n {
				if d := sum(*z.at(i, k), *z.at(k, j)); d < *z.at(i, j) {
					*z.at(i, j) = d
				}
			}
		}
	}
	for i := range z.n {
		if *z.at(i, i) < 0 {
			return false
		}
	}
	return true
}

// atLeast keeps the readings in which reading i is at least x.
func (z *dbm) atLeast(i int, x int64) bool {
	*z.at(0, i) = min(*z.at(0, i), -x)
	return z.tighten()
}

// carry builds the readings after a change of what is measured: from[i] is the
// old number of new reading i, or 0 if it starts now. from[0] is 0.
func (z *dbm) carry(from []int) *dbm {
	out := &dbm{n: len(from), b: make([]int64, len(from)*len(from))}
	for i, a := range from {
		for j, b := range from {
			*out.at(i, j) = *z.at(a, b)
		}
	}
	return out
}

// wait lets any time pass during which reading i stays at or below most[i].
func (z *dbm) wait(most []int64) bool {
	for i := 1; i < z.n; i++ {
		*z.at(i, 0) = min(unbounded, most[i])
	}
	return z.tighten()
}

// widen forgets differences beyond the greatest value that reading i is ever
// compared with, so that there are finitely many sets (the classical maximal
// bounds extrapolation; exact for reachability as no bound compares two
// readings).
func (z *dbm) widen(most []int64) {
	for i := range z.n {
		for j := range z.n {
			if i == j {
				continue
			}
			if x := z.at(i, j); i > 0 && *x > most[i] && *x < unbounded {
				*x = unbounded
			} else if j > 0 && *x < -most[j] {
				*x = -most[j]
			}
		}
	}
	z.tighten()
}

// within reports whether every reading of z is one of y.
func (z *dbm) within(y *dbm) bool {
	for i := range z.b {
		if z.b[i] > y.b[i] {
			return false
		}
	}
	return true
}

func (z *dbm) clone() *dbm { return &dbm{n: z.n, b: slices.Clone(z.b)} }
