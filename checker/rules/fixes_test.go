package rules_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Every fix of every finding is tried: its finding goes, nothing new comes, and no supply is
// joined to another, or to the ground, that was apart from it before.
func TestFixesMendAndNothingElse(t *testing.T) {
	tried := 0
	everyDesign(t, func(t *testing.T, c *rule.Catalogue, fsys fs.FS, file string) {
		b, err := fs.ReadFile(fsys, file)
		require.NoError(t, err)
		before, was := foundIn(t, c, fsys, file, string(b))
		for _, f := range before {
			for _, fix := range f.Fixes {
				if slices.ContainsFunc(fix.Edits, func(e diag.Edit) bool { return e.File.Name != file }) {
					continue // in a part that others use too
				}
				tried++
				text, err := checktest.Apply(string(b), file, fix)
				require.NoError(t, err, fix.Title)
				after, is := foundIn(t, c, fsys, file, text)
				for _, g := range after {
					if same(f, g) {
						t.Errorf("%q does not clear %s: %q", fix.Title, f.Rule, f.Message)
					}
					if g.Severity >= diag.Warning && !followsFrom(f, g) && !slices.ContainsFunc(before, func(h diag.Finding) bool { return same(g, h) }) {
						t.Errorf("%q for %q brings %s: %q", fix.Title, f.Message, g.Rule, g.Message)
					}
				}
				for name, d := range is {
					if was[name] != nil {
						assert.Empty(t, newlyJoined(t, was[name], d), fix.Title)
					}
				}
			}
		}
	})
	t.Logf("%d fixes tried", tried)
	require.NotZero(t, tried)
}

// same reports whether two findings say the same, wherever they say it.
func same(a, b diag.Finding) bool {
	return a.Rule == b.Rule && a.Subject == b.Subject && a.Message == b.Message
}

// followsFrom reports whether a finding is of what could not be looked at before, since the fix
// of what could not be read lets more of the file be read; or of what only that used which has
// been taken out.
func followsFrom(f, g diag.Finding) bool {
	return f.Design == "" && (g.Design != "" || f.Rule == "unused" && g.Rule == "unused")
}

// newlyJoined lists supplies and the ground that something can join now and nothing could
// before.
func newlyJoined(t *testing.T, was, is *model.Design) (out []string) {
	before := joins(t, was)
	for _, j := range joins(t, is) {
		if !slices.Contains(before, j) {
			out = append(out, j)
		}
	}
	return out
}

// joins lists which supplies lie in one piece of metal and loads, whatever switches do.
func joins(t *testing.T, d *model.Design) (out []string) {
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	s, err := c.Solve(t.Context(), func(circuit.Switch) bool { return true }, circuit.Nominal)
	require.NoError(t, err)
	for i := range d.Supplies {
		p := &d.Supplies[i]
		if s.HasZero(p.Minus) {
			out = append(out, p.Path+" to ground")
		}
		for k := range i {
			if o := &d.Supplies[k]; s.Piece(o.Minus) == s.Piece(p.Minus) {
				out = append(out, strings.Join([]string{o.Path, p.Path}, " to "))
			}
		}
	}
	return out
}
