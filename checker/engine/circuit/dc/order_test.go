package dc

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func joinAll(pairs ...[2]Node) []Branch {
	out := make([]Branch, len(pairs))
	for i, p := range pairs {
		out[i] = Branch{A: p[0], B: p[1], Ohm: 1, Switch: -1}
	}
	return out
}

// A tree has an order without any fill: each node has one neighbour when its turn
// comes. The hub of a star stays until one of its ends is left, whatever its number.
func TestOrderOfATree(t *testing.T) {
	p, err := newPlan(6, joinAll([2]Node{0, 1}, [2]Node{0, 2}, [2]Node{3, 0}, [2]Node{0, 4}, [2]Node{4, 5}, [2]Node{0, 1}))
	require.NoError(t, err)
	require.Len(t, p.row, 5)
	require.Empty(t, p.into)
	require.GreaterOrEqual(t, p.pos[0], int32(3))
}

// A ring of five needs a chord for each node but the last three: 5 + 2 cells.
func TestOrderOfARing(t *testing.T) {
	p, err := newPlan(5, joinAll([2]Node{0, 1}, [2]Node{1, 2}, [2]Node{2, 3}, [2]Node{3, 4}, [2]Node{4, 0}))
	require.NoError(t, err)
	require.Len(t, p.row, 7)
	require.Len(t, p.into, 3)
	for k := range 5 {
		require.IsIncreasing(t, append([]int32{int32(k)}, p.column(k)...))
	}
}

// Parallel branches and branches with both ends on one node need no cell of their own.
func TestOrderOfLoops(t *testing.T) {
	p, err := newPlan(3, joinAll([2]Node{1, 1}, [2]Node{0, 2}, [2]Node{2, 0}))
	require.NoError(t, err)
	require.Len(t, p.row, 1)
	require.ElementsMatch(t, []int32{0, 1, 2}, p.pos)
}
