package syntax_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func parse(text string) *syntax.File {
	return syntax.Parse(source.NewFile("t.pintle", text), nil)
}

// surroundings puts a statement where a context is; %s is the statement.
var surroundings = map[schema.Context]string{
	schema.InTop:    "%s\n",
	schema.InPart:   "part P {\n%s\n}\n",
	schema.InFit:    "fit x: {\n%s\n}\n",
	schema.InBench:  "part P {\nbench b {\n%s\n}\n}\n",
	schema.InChart:  "chart c: follows key {\n%s\n}\n",
	schema.InTimer:  "timer t: runs while a is b {\n%s\n}\n",
	schema.InResult: "result r {\n%s\n}\n",
	schema.InModes:  "modes m: starts in one {\n%s\n}\n",
	schema.InBands:  "bands b: over q {\n%s\n}\n",
	schema.InDrive:  "drive d {\n%s\n}\n",
}

// find returns the statement of a kind that begins with a text.
func find(f *syntax.File, id schema.ID) *syntax.Stmt {
	var found *syntax.Stmt
	for _, s := range f.All() {
		if s.Kind != nil && s.Kind.ID == id {
			found = s
		}
	}
	return found
}

// Every kind's own example is accepted wherever the kind may stand.
func TestKindExamples(t *testing.T) {
	for _, k := range schema.All() {
		for c, around := range surroundings {
			if k.Where&c == 0 {
				continue
			}
			t.Run(fmt.Sprintf("%s in %s", k.Example(), c.Phrases()), func(t *testing.T) {
				f := parse(fmt.Sprintf(around, k.Example()))
				require.Empty(t, f.Findings)
				s := find(f, k.ID)
				require.NotNil(t, s)
				require.False(t, s.Broken)
			})
		}
	}
}

// Every form's own example is read as that form, with all of its slots filled, alone and
// before other clauses.
func TestFormExamples(t *testing.T) {
	for _, k := range schema.All() {
		for _, f := range k.Forms {
			t.Run(f.ID.String(), func(t *testing.T) {
				for _, text := range []string{f.Example(), f.Example() + ", " + f.Example()} {
					head, _, _ := strings.Cut(strings.TrimSuffix(k.Example(), "{\n}"), ":")
					stmt := strings.TrimSpace(head) + ": " + text
					if k.Body == schema.MustHaveBody {
						stmt += " {\n}"
					}
					var around string
					for c, a := range surroundings {
						if k.Where&c != 0 && (around == "" || c == schema.InPart) {
							around = a
						}
					}
					file := parse(fmt.Sprintf(around, stmt))
					s := find(file, k.ID)
					require.NotNil(t, s, stmt)
					c := s.Clause(f.ID)
					require.NotNil(t, c, "%s\n%v", stmt, file.Findings)
					for _, e := range f.Elems {
						if e.Slot != nil {
							require.NotNil(t, c.Arg(e.Slot.Role), e.Slot.Role)
						}
					}
					for _, d := range file.Findings {
						require.Contains(t, []string{"missing-clause", "clause-twice"}, d.Rule, "%s: %s", stmt, d.Message)
					}
				}
			})
		}
	}
}

// A clause that is written too often is found, and one that may be repeated is not.
func TestClauseCounts(t *testing.T) {
	rules := func(text string) (out []string) {
		for _, d := range parse(text).Findings {
			out = append(out, d.Rule)
		}
		return out
	}
	require.Equal(t, []string{"clause-twice"}, rules("wire W: a to b, red, blue\n"))
	require.Equal(t, []string{"clause-twice"}, rules("threshold t: q, sets at 1 V, sets above 2 V, clears at 0.5 V\n"))
	require.Equal(t, []string{"missing-clause"}, rules("threshold t: q, sets at 1 V\n"))
	require.Equal(t, []string{"missing-clause"}, rules("setting key: run\n"))
	require.Equal(t, []string{"missing-clause"}, rules("coil c: 1 to 2\n"))
	require.Empty(t, rules("setting key: off, run, springs back from run to off, springs back from off to run\n"))
	require.Empty(t, rules("timer t: runs while a is b {\n row x: lasts 1 s, otherwise\n}\n"))
	require.Equal(t, []string{"missing-clause"}, rules("timer t: runs while a is b\n"))
}
