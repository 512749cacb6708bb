package ide_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/ide/hover"
	"pintle/lsp/ide/idetest"
)

// saysOfClaim is how a hover begins that tells of a requirement with the findings of a rule.
var saysOfClaim = map[string]string{
	"requirement-violated": "Does not hold", "never-possible": "Does not hold", "not-apart": "Does not hold",
	"fault-violates-requirement": "Does not hold with", "requirement-vacuous": "Says nothing",
	"depends-on-tolerance": "Holds for nominal values", "depends-on-warmth": "Holds for nominal values", "undecided": "Not decided",
}

// A hover says of a requirement what a check finds: over the faulty examples and the fixtures
// of the rules about claims.
func TestHoversAgreeWithFindings(t *testing.T) {
	var files []string
	for _, pattern := range []string{examples + "/faulty/*.pintle", "../../checker/rules/names/testdata/undecided/*.pintle"} {
		more, err := filepath.Glob(pattern)
		require.NoError(t, err)
		files = append(files, more...)
	}
	for _, rule := range []string{"states/testdata/requirement-vacuous", "states/testdata/requirement-violated", "states/testdata/never-possible", "circuits/testdata/depends-on-tolerance", "circuits/testdata/depends-on-warmth", "circuits/testdata/not-apart", "faults/testdata/fault-violates-requirement"} {
		more, err := filepath.Glob("../../checker/rules/" + rule + "/*.pintle")
		require.NoError(t, err)
		files = append(files, more...)
	}
	claims := regexp.MustCompile(`(?m)^require ([\w-]+)`)
	compared := map[string]int{}
	for _, file := range files {
		text, err := fs.ReadFile(os.DirFS(filepath.Dir(file)), filepath.Base(file))
		require.NoError(t, err)
		if strings.Contains(string(text), "use \"") || strings.Contains(string(text), "\noption ") {
			continue // more than one design, or files beside it
		}
		v := idetest.Files(t, map[string]string{"t.pintle": string(text)}, "t.pintle")
		found, err := v.Findings(t.Context())
		require.NoError(t, err)
		for _, at := range claims.FindAllSubmatchIndex(text, -1) {
			name, want := string(text[at[2]:at[3]]), "Holds"
			for _, f := range found {
				if says, ok := saysOfClaim[f.Rule]; ok && f.Subject == name && f.Waived == nil {
					want = says
				}
			}
			h, err := hover.At(t.Context(), v, at[2])
			require.NoError(t, err)
			require.NotNil(t, h, "%s: %s", file, name)
			plain := h.Text.Plain()
			ok := strings.Contains(plain, want)
			if want == "Holds" { // and no more than that
				ok = ok && !strings.Contains(plain, "Holds for nominal")
			}
			assert.True(t, ok, "%s: %s: a check finds %q, the hover says\n%s", filepath.Base(file), name, want, plain)
			compared[want]++
		}
	}
	for _, want := range []string{"Holds", "Does not hold", "Says nothing", "Holds for nominal values", "Not decided"} {
		assert.Positive(t, compared[want], want)
	}
}
