package failure

import (
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// A new mode is a row of the table and what it does to a circuit or a fluid: nothing else of
// the project repeats the words of a mode.
func TestWordsStandHereAlone(t *testing.T) {
	root := os.DirFS("../..")
	seen := 0
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") || strings.HasPrefix(name, "checker/checktest/") {
			return err
		}
		text, err := fs.ReadFile(root, name)
		require.NoError(t, err)
		for _, m := range Modes() {
			if !strings.Contains(string(m), " ") || !strings.Contains(string(text), strconv.Quote(string(m))) {
				continue // words such as "open" have other meanings, too
			}
			seen++
			assert.Equal(t, "lang/failure/failure.go", name, "%q", m)
		}
		return nil
	})
	require.NoError(t, err)
	assert.Positive(t, seen)
}
