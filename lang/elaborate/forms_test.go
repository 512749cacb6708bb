package elaborate_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEveryFormIsMet holds that no clause is accepted and then ignored: each form of the
// table of kinds is named where designs are made of trees, or where names are resolved. It is
// named in few files, so that a new clause touches few.
func TestEveryFormIsMet(t *testing.T) {
	met := map[string]map[string]bool{} // the files that name a form
	for _, folder := range []string{".", "../name"} {
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		require.NoError(t, err)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			tree, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
			require.NoError(t, err)
			ast.Inspect(tree, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok {
					if x, ok := s.X.(*ast.Ident); ok && x.Name == "schema" {
						if met[s.Sel.Name] == nil {
							met[s.Sel.Name] = map[string]bool{}
						}
						met[s.Sel.Name][name] = true
					}
				}
				return true
			})
		}
	}
	forms := formNames(t)
	require.Greater(t, len(forms), 100)
	for _, name := range forms {
		assert.NotEmpty(t, met[name], "nothing in lang/elaborate or lang/name asks for schema.%s", name)
		most := 2 // one says what it means; another may ask for it, too
		if name == "FitMany" {
			most = 3
		}
		assert.LessOrEqual(t, len(met[name]), most, "too many files know schema.%s", name)
	}
}

// formNames are the constants of type FormID.
func formNames(t *testing.T) []string {
	t.Helper()
	const ids = "../schema/ids.go"
	tree, err := parser.ParseFile(token.NewFileSet(), ids, nil, parser.SkipObjectResolution)
	require.NoError(t, err)
	var out []string
	for _, d := range tree.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		of := ""
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			if id, ok := v.Type.(*ast.Ident); ok {
				of = id.Name
			}
			if of != "FormID" {
				continue
			}
			for _, n := range v.Names {
				if n.IsExported() {
					out = append(out, n.Name)
				}
			}
		}
	}
	return out
}
