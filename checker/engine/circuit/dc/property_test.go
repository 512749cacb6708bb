package dc_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/dc"
)

// checkLaws checks a solution against the laws of the network alone.
func checkLaws(t require.TestingT, n dc.Network, closed dc.Bits, s *dc.Solution) {
	amps, volts := largestCurrent(n, s), 0.0
	for _, b := range n.Branches {
		volts += b.Volt
	}
	in := make([]float64, n.Nodes)
	through := make([]float64, n.Nodes)
	given, taken := 0.0, 0.0
	for i, b := range n.Branches {
		cur := s.Current(i)
		in[b.B] += cur
		in[b.A] -= cur
		through[b.A] += math.Abs(cur)
		through[b.B] += math.Abs(cur)
		if b.Kind == dc.Source {
			given += b.Volt * cur
		} else {
			taken += b.Volt * cur
		}
		taken += cur * cur * b.Ohm

		u, joined := s.Between(b.A, b.B)
		switch drive := u + emf(b); {
		case !present(b, closed):
			require.False(t, s.Conducting(i), "branch %d is absent", i)
			require.Zero(t, cur, "branch %d is absent", i)
		case s.Conducting(i):
			require.True(t, joined, "branch %d joins its ends", i)
			require.InDelta(t, cur*b.Ohm, drive, 1e-13*(volts+math.Abs(cur*b.Ohm)), "Ohm's law in branch %d", i)
			if isValve(b) {
				require.GreaterOrEqual(t, cur, 0.0, "valve %d conducts forward", i)
			}
		default:
			require.True(t, isValve(b), "branch %d blocks", i)
			require.Zero(t, cur, "valve %d blocks", i)
			if joined {
				require.LessOrEqual(t, drive, 1e-12*volts, "valve %d blocks against its drive", i)
			}
		}
	}
	for v := range in {
		require.InDelta(t, 0, in[v], 1e-13*through[v]+1e-25*amps+1e-24, "Kirchhoff's current law at node %d", v)
		ref := s.Reference(s.Piece(dc.Node(v)))
		require.Zero(t, s.Potential(ref))
		require.Equal(t, s.Piece(dc.Node(v)), s.Piece(ref))
	}
	require.InDelta(t, given, taken, 1e-12*(given+taken)+1e-22, "power given and taken")
}

func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 12, true)
		checkLaws(t, n, closed, solve(t, n, closed))
	})
}

// The widest spread that a network may have: 21 decades. Refinement gains no digits
// there, so that only settling, finite results and signs are certain.
func TestWidestSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := rapid.IntRange(1, 12).Draw(t, "nodes")
		n := generate(fromRapid(t), shape{
			nodes: nodes, branches: 2 * nodes, diodes: true, lowest: -8, decades: 20,
		})
		s := solve(t, n, nil)
		for i, b := range n.Branches {
			cur := s.Current(i)
			require.False(t, math.IsNaN(cur) || math.IsInf(cur, 0))
			if isValve(b) {
				require.GreaterOrEqual(t, cur, 0.0)
			}
		}
	})
}

// sameCurrents compares two solutions branch by branch; at[i] is the place of branch
// i of a in b.
func sameCurrents(t require.TestingT, n dc.Network, a, b *dc.Solution, at func(int) int) {
	for i := range n.Branches {
		x, y := a.Current(i), b.Current(at(i))
		require.InDelta(t, x, y, 1e-11*math.Abs(x)+2*rounded(n, i), "branch %d", i)
	}
}

func same(i int) int { return i }

// The safeguard alone, which every step may fall back on, reaches the same states.
func TestOneAtATimeAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 16, true)
		c, err := dc.Compile(n)
		require.NoError(t, err)
		s, err := dc.OneAtATime(c).Solve(t.Context(), closed)
		require.NoError(t, err)
		checkLaws(t, n, closed, s)
		sameCurrents(t, n, s, solve(t, n, closed), same)
	})
}

// unloadedOneWay reports whether a one-way source is in that carries nothing. Where such
// sources are connected to blocking diodes alone, the order decides which count as conducting.
func unloadedOneWay(n dc.Network, closed dc.Bits, s *dc.Solution) bool {
	for i, b := range n.Branches {
		if b.OneWay && present(b, closed) && !s.Carries(i) {
			return true
		}
	}
	return false
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 10, true)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		node, branch := r.Perm(n.Nodes), r.Perm(len(n.Branches))
		m := dc.Network{Nodes: n.Nodes, Switches: n.Switches, Branches: make([]dc.Branch, len(n.Branches))}
		for _, v := range n.References {
			m.References = append(m.References, dc.Node(node[v]))
		}
		for i, b := range n.Branches {
			b.A, b.B = dc.Node(node[b.A]), dc.Node(node[b.B])
			m.Branches[branch[i]] = b
		}
		x, y := solve(t, n, closed), solve(t, m, closed)
		sameCurrents(t, n, x, y, func(i int) int { return branch[i] })
		if unloadedOneWay(n, closed, x) {
			return
		}
		require.Equal(t, x.Pieces(), y.Pieces())
		for v := range n.Nodes {
			require.Equal(t, x.Floating(dc.Node(v)), y.Floating(dc.Node(node[v])))
			if !x.Floating(dc.Node(v)) {
				require.InDelta(t, x.Potential(dc.Node(v)), y.Potential(dc.Node(node[v])), 1e-9)
			}
		}
	})
}

// Without valves the currents of several sources are the sum of those of each alone.
func TestSuperposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 10, false)
		c, err := dc.Compile(n)
		require.NoError(t, err)
		sum := make([]float64, len(n.Branches))
		size := make([]float64, len(n.Branches))
		for i, b := range n.Branches {
			if b.Kind != dc.Source {
				continue
			}
			volt := make([]float64, len(n.Branches))
			volt[i] = b.Volt
			vs, err := c.Values(nil, volt)
			require.NoError(t, err)
			s, err := c.Solve(t.Context(), closed, dc.WithValues(vs))
			require.NoError(t, err)
			for k := range sum {
				sum[k] += s.Current(k)
				size[k] = max(size[k], math.Abs(s.Current(k)))
			}
		}
		s, err := c.Solve(t.Context(), closed)
		require.NoError(t, err)
		for k := range sum {
			require.InDelta(t, sum[k], s.Current(k), 1e-12*size[k]+10*rounded(n, k), "branch %d", k)
		}
	})
}

// A network and its mirror image on the same ground have equal potentials at every
// pair of nodes, so that a contact between such a pair carries nothing.
func TestClosingBetweenEqualPotentials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 8, true)
		twin := func(v dc.Node) dc.Node {
			if v == 0 {
				return 0
			}
			return v + dc.Node(n.Nodes) - 1
		}
		both := dc.Network{Nodes: 2*n.Nodes - 1, Switches: n.Switches + 1, References: n.References}
		both.Branches = append(both.Branches, n.Branches...)
		for _, b := range n.Branches {
			b.A, b.B = twin(b.A), twin(b.B)
			both.Branches = append(both.Branches, b)
		}
		v := dc.Node(rapid.IntRange(0, n.Nodes-1).Draw(t, "joined"))
		both.Branches = append(both.Branches, dc.Branch{
			A: v, B: twin(v), Ohm: 1e-4, Switch: n.Switches,
		})
		x, y := solve(t, both, closed), solve(t, both, closed.With(n.Switches))
		sameCurrents(t, both, x, y, same)
		sameCurrents(t, n, solve(t, n, closed), x, same)
	})
}

// Twice the voltages give twice the currents, diode drops included.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 10, true)
		c, err := dc.Compile(n)
		require.NoError(t, err)
		ohm, volt := make([]float64, len(n.Branches)), make([]float64, len(n.Branches))
		for i, b := range n.Branches {
			ohm[i], volt[i] = b.Ohm/4, b.Volt*2
		}
		vs, err := c.Values(ohm, volt)
		require.NoError(t, err)
		x, err := c.Solve(t.Context(), closed)
		require.NoError(t, err)
		y, err := c.Solve(t.Context(), closed, dc.WithValues(vs))
		require.NoError(t, err)
		for i := range n.Branches {
			// Powers of two scale without rounding.
			require.InDelta(t, 8*x.Current(i), y.Current(i), 1e-24, "branch %d", i)
			require.Equal(t, x.Conducting(i), y.Conducting(i))
		}
	})
}
