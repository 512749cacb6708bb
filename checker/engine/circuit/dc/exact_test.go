package dc_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/dc"
)

// exact solves a small network in rational numbers by trying every valve state, and
// returns the currents and states of the only one that fits: conducting valves have
// a positive current, and the pieces can be shifted against each other so that no
// blocking valve is driven forward.
func exact(t require.TestingT, n dc.Network, closed dc.Bits) ([]*big.Rat, []bool) {
	var valves []int
	for i, b := range n.Branches {
		if isValve(b) && present(b, closed) {
			valves = append(valves, i)
		}
	}
	for state := range 1 << len(valves) {
		on := make([]bool, len(n.Branches))
		for i, b := range n.Branches {
			on[i] = present(b, closed) && !isValve(b)
		}
		for k, i := range valves {
			on[i] = state>>k&1 != 0
		}
		v := exactPotentials(n, on)
		cur := make([]*big.Rat, len(n.Branches))
		fits := true
		for i, b := range n.Branches {
			cur[i] = new(big.Rat)
			if on[i] {
				cur[i].Quo(drive(b, v), rat(b.Ohm))
				fits = fits && (!isValve(b) || cur[i].Sign() > 0)
			}
		}
		if fits && canBlock(n, closed, on, v) {
			return cur, on
		}
	}
	require.FailNow(t, "no valve state fits")
	return nil, nil
}

func rat(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

// drive is V(A) - V(B) + EMF.
func drive(b dc.Branch, v []*big.Rat) *big.Rat {
	d := new(big.Rat).Sub(v[b.A], v[b.B])
	return d.Add(d, rat(emf(b)))
}

// exactPotentials is Gauss-Jordan elimination of the nodal equations; where no pivot
// is left, the node is the zero of its piece.
func exactPotentials(n dc.Network, on []bool) []*big.Rat {
	m := make([][]*big.Rat, n.Nodes)
	for i := range m {
		m[i] = make([]*big.Rat, n.Nodes+1)
		for j := range m[i] {
			m[i][j] = new(big.Rat)
		}
	}
	for i, b := range n.Branches {
		if !on[i] {
			continue
		}
		g := new(big.Rat).Inv(rat(b.Ohm))
		j := new(big.Rat).Mul(g, rat(emf(b)))
		m[b.A][b.A].Add(m[b.A][b.A], g)
		m[b.B][b.B].Add(m[b.B][b.B], g)
		m[b.A][b.B].Sub(m[b.A][b.B], g)
		m[b.B][b.A].Sub(m[b.B][b.A], g)
		m[b.A][n.Nodes].Sub(m[b.A][n.Nodes], j)
		m[b.B][n.Nodes].Add(m[b.B][n.Nodes], j)
	}
	for k := range m {
		if m[k][k].Sign() == 0 { // row k is zero now: last of its piece
			m[k][n.Nodes].SetInt64(0)
			m[k][k].SetInt64(1)
			for i := range m {
				if i != k {
					m[i][k].SetInt64(0)
				}
			}
			continue
		}
		for i := range m {
			if i == k || m[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Quo(m[i][k], m[k][k])
			for j := k; j <= n.Nodes; j++ {
				m[i][j].Sub(m[i][j], new(big.Rat).Mul(f, m[k][j]))
			}
		}
	}
	v := make([]*big.Rat, n.Nodes)
	for k := range m {
		v[k] = new(big.Rat).Quo(m[k][n.Nodes], m[k][k])
	}
	return v
}

// canBlock reports whether shifts of the pieces exist with drive <= 0 in every blocking
// valve: difference constraints, solvable unless Bellman and Ford find a cycle.
func canBlock(n dc.Network, closed dc.Bits, on []bool, v []*big.Rat) bool {
	shift := make([]*big.Rat, n.Nodes)
	for i := range shift {
		shift[i] = new(big.Rat)
	}
	for range n.Nodes + 1 {
		changed := false
		lower := func(a, b dc.Node, by *big.Rat) { // shift[a] <= shift[b] - by
			if limit := new(big.Rat).Sub(shift[b], by); shift[a].Cmp(limit) > 0 {
				shift[a], changed = limit, true
			}
		}
		for i, b := range n.Branches {
			switch {
			case on[i]:
				lower(b.A, b.B, new(big.Rat))
				lower(b.B, b.A, new(big.Rat))
			case present(b, closed):
				lower(b.A, b.B, drive(b, v))
			}
		}
		if !changed {
			return true
		}
	}
	return false
}

func TestAgainstRationals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 6, true)
		s := solve(t, n, closed)
		cur, on := exact(t, n, closed)
		for i := range n.Branches {
			want, _ := cur[i].Float64()
			slack := rounded(n, i)
			require.InDelta(t, want, s.Current(i), 1e-12*math.Abs(want)+slack, "branch %d", i)
			unloaded := want == 0 && n.Branches[i].OneWay // may block or hold its ends apart
			if (math.Abs(want) > slack || want == 0) && !unloaded {
				require.Equal(t, on[i], s.Conducting(i), "state of branch %d at %g A", i, want)
			}
		}
	})
}
