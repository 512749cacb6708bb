package dc

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A remembered plan is the one that would be made: equal shapes share it, whatever their values
// are, and others do not, also after some were forgotten.
func TestPlansAreShared(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c planCache
		for range 20 {
			nodes := rapid.IntRange(1, 6).Draw(t, "nodes")
			branches := make([]Branch, rapid.IntRange(0, 8).Draw(t, "branches"))
			for i := range branches {
				branches[i] = Branch{
					A: Node(rapid.IntRange(0, nodes-1).Draw(t, "a")), B: Node(rapid.IntRange(0, nodes-1).Draw(t, "b")),
					Ohm: rapid.Float64Range(1, 10).Draw(t, "ohm"),
				}
			}
			got, err := c.of(nodes, branches)
			require.NoError(t, err)
			want, err := newPlan(nodes, branches)
			require.NoError(t, err)
			assert.Equal(t, want, got)
			again, err := c.of(nodes, branches)
			require.NoError(t, err)
			assert.Same(t, got, again)
			if rapid.Bool().Draw(t, "forget") {
				c.size = maxPlans
			}
		}
	})
}
