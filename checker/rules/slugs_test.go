package rules_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run/accept"
	"pintle/checker/run/settings"
	"pintle/lang/elaborate"
)

// Whatever the language reports stands in the catalogue, and whatever the catalogue says
// is found while reading is reported somewhere in the language: the sources are looked
// through for the names under which findings are made.
func TestWhatReadingReports(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	reported := reportedIn(t, os.DirFS("../../lang"))
	for slug, where := range reported {
		r, known := c.Lookup(slug)
		assert.True(t, known, "%s reports %q, which the catalogue lacks", where, slug)
		assert.True(t, r.Needs == rule.Reading || r.Run != nil, "%s reports %q, which is found while judging", where, slug)
	}
	for _, r := range c.Rules() {
		if r.Needs == rule.Reading {
			assert.Contains(t, reported, r.Name, "nothing in the language reports %s", r.Name)
		}
	}
	for _, slug := range elaborate.Slugs {
		assert.Contains(t, reported, slug)
	}
}

// reportedIn finds the slugs that the Go files of a tree make findings under, with where:
// a field Rule of a finding, or the first argument of the parser's reportRule.
func reportedIn(t *testing.T, tree fs.FS) map[string]string {
	t.Helper()
	out := map[string]string{}
	files := token.NewFileSet()
	err := fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return err
		}
		text, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(files, name, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CompositeLit:
				if isFinding(n.Type) {
					fieldRule(t, files, n, out)
				}
			case *ast.CallExpr:
				if callee(n.Fun) == "reportRule" && len(n.Args) > 0 {
					note(t, files, n.Args[0], out)
				}
			case *ast.AssignStmt:
				for i, l := range n.Lhs {
					if s, ok := l.(*ast.SelectorExpr); ok && s.Sel.Name == "Rule" && len(n.Rhs) == len(n.Lhs) {
						note(t, files, n.Rhs[i], out)
					}
				}
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, out)
	return out
}

func isFinding(typ ast.Expr) bool {
	s, ok := typ.(*ast.SelectorExpr)
	return ok && s.Sel.Name == "Finding"
}

func callee(f ast.Expr) string {
	switch f := f.(type) {
	case *ast.SelectorExpr:
		return f.Sel.Name
	case *ast.Ident:
		return f.Name
	}
	return ""
}

func fieldRule(t *testing.T, files *token.FileSet, lit *ast.CompositeLit, out map[string]string) {
	t.Helper()
	for _, e := range lit.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok && callee(kv.Key) == "Rule" {
			note(t, files, kv.Value, out)
		}
	}
}

// note takes the slug that an expression is. The one place where it may be a variable is
// reportRule, of which the callers are looked at.
func note(t *testing.T, files *token.FileSet, e ast.Expr, out map[string]string) {
	t.Helper()
	at := files.Position(e.Pos()).String()
	lit, ok := e.(*ast.BasicLit)
	if !ok {
		assert.Equal(t, "rule", callee(e), "%s: the name of a rule is written where it is reported", at)
		return
	}
	slug, err := strconv.Unquote(lit.Value)
	require.NoError(t, err, at)
	if _, seen := out[slug]; !seen {
		out[slug] = at
	}
}

// The rules that speak about others are in the catalogue, without a function of their own.
func TestWhatJudgingReports(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	var judging []string
	for _, r := range c.Rules() {
		if r.Needs == rule.Judging {
			judging = append(judging, r.Name)
		}
	}
	assert.ElementsMatch(t, []string{accept.Unused, accept.Lapsed, rule.Undecided}, judging)
	_, known := c.Lookup(accept.UnknownRule)
	assert.True(t, known)
}

// A rule gives way to rules that exist.
func TestSuppressedByRulesThatExist(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	for _, r := range c.Rules() {
		for _, other := range r.SuppressedBy {
			o, known := c.Lookup(other)
			assert.True(t, known, "%s yields to %s", r.Name, other)
			assert.NotContains(t, o.SuppressedBy, r.Name, "one of %s and %s has to speak", r.Name, other)
		}
	}
}

// The rules of what nobody notices speak only when asked for, by name.
func TestRulesOfWhatIsNotNoticedAreQuiet(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	for _, name := range []string{"fault-silent", "open-means-go", "weld-unseen"} {
		r, known := c.Lookup(name)
		require.True(t, known, name)
		assert.True(t, r.Quiet, name)
		_, err := settings.Parse("pintle.toml", "[rules]\n"+name+" = \"error\"\n", c.Names())
		assert.NoError(t, err)
	}
}
