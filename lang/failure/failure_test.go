package failure

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The parser takes the first mode whose words fit, so that none may hide a longer one.
func TestLongerModesStandFirst(t *testing.T) {
	for i, r := range table {
		assert.NotEmpty(t, r.state, r.mode)
		assert.NotEmpty(t, r.event, r.mode)
		for _, later := range table[i+1:] {
			assert.False(t, strings.HasPrefix(string(later.mode), string(r.mode)+" "), "%s hides %s", r.mode, later.mode)
			assert.NotEqual(t, r.mode, later.mode)
		}
	}
}

func TestOf(t *testing.T) {
	assert.Equal(t, []Mode{Open, ToGround, ToFeed}, Of("wire"))
	assert.Equal(t, []Mode{StuckMade, StuckOpen}, Of("contact"))
	assert.Empty(t, Of("setting"))
	assert.Equal(t, "welded", StuckMade.State())
	assert.Equal(t, "welds", StuckMade.Event())
	assert.NotContains(t, Modes(), Swapped)
}
