// Package lang_test holds the lists of the reference, lang/README.md, against the tables
// that they repeat. What the reference says of kinds and clauses is held by lang/schema.
package lang_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/unit"
)

// section is the text of one section of the reference.
func section(t *testing.T, title string) string {
	t.Helper()
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "\n## "+title+"\n")
	require.True(t, ok, "the reference has no section %q", title)
	rest, _, _ = strings.Cut(rest, "\n## ")
	return rest
}

var quoted = regexp.MustCompile("`([^`]*)`")

// spellings are the words in the second column of the table of units.
func spellings(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for line := range strings.Lines(section(t, "7. Units, colours, words")) {
		if columns := strings.Split(line, "|"); len(columns) > 3 {
			for _, m := range quoted.FindAllStringSubmatch(columns[2], -1) {
				out[m[1]] = true
			}
		}
	}
	require.NotEmpty(t, out)
	return out
}

func TestEveryUnitIsListed(t *testing.T) {
	listed := spellings(t)
	for _, u := range unit.AllUnits() {
		if u.Dim == unit.GaugePressure || u.Dim == unit.AbsolutePressure {
			continue // the plain ones with a word behind them
		}
		assert.True(t, listed[u.Symbol], "the reference does not list %s", u)
	}
	for word := range listed {
		_, ok := unit.Lookup(word)
		assert.True(t, ok, "the reference lists %s, which is no unit", word)
	}
}

func TestEveryColourIsListed(t *testing.T) {
	_, list, ok := strings.Cut(section(t, "7. Units, colours, words"), "**Colours**:")
	require.True(t, ok)
	list, _, _ = strings.Cut(list, "`gray`")
	var listed []string
	for _, m := range quoted.FindAllStringSubmatch(list, -1) {
		listed = append(listed, m[1])
	}
	assert.Equal(t, schema.Colours(), listed)
}
