package dc_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"pintle/checker/engine/circuit/dc"
)

// Networks without valves, against gonum's dense Cholesky and LU factors of the
// textbook nodal matrix. Those lose digits to the spread of the resistances, which is
// therefore seven decades here.
func TestAgainstDense(t *testing.T) {
	for k := range 200 {
		r := rand.New(rand.NewPCG(uint64(k), 11))
		nodes := 3 + k/2
		n := generate(fromRand(r), shape{
			nodes: nodes, branches: 2 * nodes, switches: 4, lowest: -2, decades: 7,
		})
		closed := dc.Bits{r.Uint64N(1 << 4)}
		n = grounded(t, n, closed)
		compareDense(t, fmt.Sprint("generated ", k), n, closed)
		compareDense(t, fmt.Sprint("wiring ", k), withoutDiodes(wiring(nodes, 0, uint64(k))), nil)
	}
}

func compareDense(t *testing.T, name string, n dc.Network, closed dc.Bits) {
	s := solve(t, n, closed)
	a, rhs := denseNodal(n, closed)
	var lu mat.LU
	var ch mat.Cholesky
	lu.Factorize(a)
	require.True(t, ch.Factorize(symmetric(a)), name)
	var byLU, byCholesky mat.VecDense
	// gonum reports a condition number above 1e15 as an error beside the result.
	require.NoError(t, lu.SolveVecTo(&byLU, false, rhs), name)
	require.NoError(t, ch.SolveVecTo(&byCholesky, rhs), name)
	for v := 1; v < n.Nodes; v++ {
		want := s.Potential(dc.Node(v))
		require.InDelta(t, want, byLU.AtVec(v-1), 1e-7+1e-8*math.Abs(want), "%s, node %d, LU", name, v)
		require.InDelta(t, want, byCholesky.AtVec(v-1), 1e-7+1e-8*math.Abs(want), "%s, node %d, Cholesky", name, v)
	}
}

func symmetric(a *mat.Dense) *mat.SymDense {
	n, _ := a.Dims()
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sym.SetSym(i, j, a.At(i, j))
		}
	}
	return sym
}
