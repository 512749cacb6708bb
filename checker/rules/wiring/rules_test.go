package wiring_test

import (
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/rule"
	"pintle/checker/rules/wiring"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func TestFixtures(t *testing.T) { checktest.Run(t, wiring.Group()) }

// However a text is damaged, no rule falls over.
func TestDamagedDesigns(t *testing.T) {
	c, err := rule.NewCatalogue(wiring.Group())
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(3, 5))
	examples := os.DirFS("../../../examples")
	for _, fsys := range []fs.FS{examples, wiring.Group().Fixtures} {
		err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || path.Ext(name) != run.Extension {
				return err
			}
			text, err := fs.ReadFile(fsys, name)
			require.NoError(t, err)
			for range 8 {
				hurt := damage(random, string(text))
				tree := syntax.Parse(source.NewFile(name, hurt), nil)
				got := run.File(t.Context(), run.FileRequest{
					Plan: run.Plan{Catalogue: c, Quiet: true}, Root: tree,
					Settings: settings.Default(), Loader: run.NewLoader(run.InFS(fsys), tree),
				})
				assert.Empty(t, got.Failures, hurt)
			}
			return nil
		})
		require.NoError(t, err)
	}
}

// damage leaves out lines, words and clauses, and repeats lines.
func damage(random *rand.Rand, text string) string {
	lines := strings.Split(text, "\n")
	for range 1 + random.IntN(3) {
		i := random.IntN(len(lines))
		switch words := strings.Fields(lines[i]); random.IntN(4) {
		case 0:
			lines = slices.Delete(lines, i, i+1)
		case 1:
			if len(words) > 0 {
				j := random.IntN(len(words))
				lines[i] = strings.Join(slices.Delete(words, j, j+1), " ")
			}
		case 2:
			lines[i] = lines[random.IntN(len(lines))]
		case 3:
			lines[i] = lines[i][:max(strings.LastIndex(lines[i], ","), 0)]
		}
	}
	return strings.Join(lines, "\n")
}
