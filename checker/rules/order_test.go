package rules_test

import (
	"fmt"
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
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// firstCounts are the rules for which the order of a text matters by what they say: of
// two things of one name the second is the one too many, and options beyond the limit are
// those that come last.
var firstCounts = map[string]bool{"duplicate-name": true, "option-too-many": true, "syntax": true}

// amongEquals are the rules about several things of which none is the first: a ring, or a
// pair. Of which of them such a finding speaks follows the order of the text; how many
// there are does not.
var amongEquals = map[string]bool{
	"wire-colour-changes": true, "connectors-swappable": true, "pin-twice": true, "race": true, "hunting": true,
	"sneak-path": true, "wire-overload": true, "fuse-above-wire": true, "condition-cycle": true,
}

// What is found does not depend on the order in which a design is written down.
func TestOrderOfStatementsDoesNotMatter(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	for _, g := range c.Groups() {
		for _, r := range g.Rules {
			if firstCounts[r.Name] {
				continue
			}
			for _, file := range checktest.Fixtures(t, g, r.Name) {
				t.Run(strings.TrimSuffix(file, run.Extension), func(t *testing.T) { shuffle(t, c, g.Fixtures, file, r.Quiet) })
			}
		}
	}
	examples := os.DirFS("../../examples")
	files, err := fs.Glob(examples, "*"+run.Extension)
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run("examples/"+file, func(t *testing.T) { shuffle(t, c, examples, file, false) })
	}
}

// shuffles is how often each design is written anew.
const shuffles uint64 = 2

func shuffle(t *testing.T, c *rule.Catalogue, fsys fs.FS, file string, quiet bool) {
	text, err := fs.ReadFile(fsys, file)
	require.NoError(t, err)
	check := func(text string) []string {
		tree := syntax.Parse(source.NewFile(file, text), nil)
		result := run.File(t.Context(), run.FileRequest{
			Plan: run.Plan{Catalogue: c, Today: checktest.Today, Quiet: quiet},
			Root: tree, Settings: settings.Default(), Loader: run.NewLoader(run.InFS(fsys), tree),
		})
		require.Empty(t, result.Failures)
		out := make([]string, 0, len(result.Findings))
		for _, f := range result.Findings {
			out = append(out, gist(f))
		}
		slices.Sort(out)
		return out
	}
	want := check(string(text))
	for n := range shuffles {
		seed := rand.New(rand.NewPCG(n, uint64(len(text))))
		assert.Equal(t, want, check(reordered(string(text), seed)), path.Base(file))
	}
}

// gist is what a finding says, of what, and the line that it stands on. Where several
// things are found together, which of them is named first may follow the order of the
// text.
func gist(f diag.Finding) string {
	line := strings.TrimSpace(f.File.Line(f.File.LineOf(f.Start)))
	if amongEquals[f.Rule] {
		return f.Severity.String() + " " + f.Rule
	}
	words := strings.FieldsFunc(f.Message, func(r rune) bool { return strings.ContainsRune(" ,:", r) })
	slices.Sort(words)
	words = slices.Compact(words)
	return fmt.Sprintf("%s %s %s %q %s", f.Severity, f.Rule, f.Subject, words, line)
}

// reordered shuffles the statements of the top level of a text, each with the comments
// above it.
func reordered(text string, seed *rand.Rand) string {
	f := syntax.Parse(source.NewFile("reordered", text), nil)
	var pieces []string
	at := 0
	for _, st := range f.Stmts {
		end := f.Src.LineOf(st.Span.End)
		next := len(text)
		if end+1 < f.Src.Lines() {
			next = f.Src.LineStart(end + 1)
		}
		if next <= at {
			continue // on the line of the one before
		}
		piece := text[at:next]
		if !strings.HasSuffix(piece, "\n") {
			piece += "\n"
		}
		pieces = append(pieces, piece)
		at = next
	}
	seed.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
	return strings.Join(pieces, "") + text[at:]
}

func TestReorderedKeepsEveryLine(t *testing.T) {
	text := "title \"x\"\n## doc\nsetting key: off,\n    run # c\npart P {\n    pin 1\n}\n# end\n"
	got := reordered(text, rand.New(rand.NewPCG(1, 2)))
	assert.NotEqual(t, text, got)
	assert.ElementsMatch(t, strings.Split(text, "\n"), strings.Split(got, "\n"))
	assert.Contains(t, got, "## doc\nsetting key: off,\n    run # c\n")
}
