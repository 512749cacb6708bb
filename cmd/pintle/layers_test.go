package main

import (
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLayers keeps what may import what: the language knows nothing of the checker, the
// checker nothing of the editor, rules nothing of other rules, and each library that
// shapes what uses it stays where it belongs.
func TestLayers(t *testing.T) {
	out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "pintle/...").Output()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.Greater(t, len(lines), 10)
	within := func(pkg string, roots ...string) bool {
		for _, r := range roots {
			if pkg == r || strings.HasPrefix(pkg, r+"/") {
				return true
			}
		}
		return false
	}
	for _, line := range lines {
		words := strings.Fields(line)
		pkg := words[0]
		for _, imported := range words[1:] {
			forbidden := false
			switch {
			case within(imported, "pintle/cmd"):
				forbidden = true
			case within(pkg, "pintle/lang"):
				forbidden = within(imported, "pintle/checker", "pintle/lsp")
			case within(pkg, "pintle/checker"):
				forbidden = within(imported, "pintle/lsp") ||
					pkg != "pintle/checker/rules" && pkg != imported && within(pkg, "pintle/checker/rules") && within(imported, "pintle/checker/rules")
			}
			switch {
			case within(imported, "github.com/alecthomas/participle"):
				forbidden = forbidden || pkg != "pintle/lang/syntax"
			case within(imported, "go.lsp.dev"):
				forbidden = forbidden || !within(pkg, "pintle/lsp/convert", "pintle/lsp/server", "pintle/lsp/fake")
			case within(imported, "go.uber.org/zap"):
				forbidden = forbidden || !within(pkg, "pintle/lsp", "pintle/cmd")
			case within(imported, "github.com/spf13/cobra"):
				forbidden = forbidden || !within(pkg, "pintle/cmd")
			}
			assert.False(t, forbidden, "%s must not import %s", pkg, imported)
		}
	}
}

// row is a row of the map in DEVELOPERS.md.
type row struct {
	pkgs []string // the packages that the row is about, without "pintle/"
	in   []string // those that stand in the words of the row, so far as they exist
	may  []string // what its last column names
}

var quoted = regexp.MustCompile("`([^`]+)`")

// readMap reads the table in DEVELOPERS.md.
func readMap(t *testing.T) []row {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(page), "\n| folder |")
	require.True(t, ok)
	table, _, _ := strings.Cut(rest, "\n\n")
	var rows []row
	for line := range strings.Lines(table) {
		columns := strings.Split(line, "|")
		if len(columns) < 4 || !strings.HasPrefix(line, "|") || strings.HasPrefix(line, "|-") || strings.Contains(columns[1], "**") {
			continue
		}
		r := row{may: strings.FieldsFunc(columns[3], func(c rune) bool { return c == ' ' || c == ',' || c == '`' })}
		var last string
		for _, m := range quoted.FindAllStringSubmatch(columns[1], -1) {
			last = path.Join(path.Dir(last), m[1])
			if last == m[1] || strings.Contains(m[1], "/") {
				last = m[1]
			}
			r.pkgs = append(r.pkgs, strings.TrimSuffix(last, "/…"))
		}
		for _, m := range quoted.FindAllStringSubmatch(columns[2], -1) {
			r.in = append(r.in, path.Join(last, m[1]), path.Join(path.Dir(last), m[1]), m[1]) // `soak`, `server/rpc`, `editors/colours`
		}
		rows = append(rows, r)
	}
	return rows
}

// packages are the packages of the project, without "pintle/", that the map speaks of, with
// what they import of each other.
func packages(t *testing.T) map[string][]string {
	out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "pintle/...").Output()
	require.NoError(t, err)
	pkgs := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		pkg := strings.TrimPrefix(words[0], "pintle/")
		if pkg == "lang" || strings.HasSuffix(pkg, "test") && pkg != "checker/checktest" {
			continue // tests alone, and what helps those of the package that it stands in
		}
		pkgs[pkg] = nil
		for _, imported := range words[1:] {
			if own, ok := strings.CutPrefix(imported, "pintle/"); ok {
				pkgs[pkg] = append(pkgs[pkg], own)
			}
		}
	}
	return pkgs
}

// TestMap holds the map in DEVELOPERS.md against the packages: each stands in it, by its
// path, behind another of the same folder, or in the words of a row above it; and what it
// names is there.
func TestMap(t *testing.T) {
	mapped := map[string]bool{}
	for _, r := range readMap(t) {
		for _, pkg := range r.pkgs {
			mapped[pkg] = true
			assert.DirExists(t, filepath.Join("../..", pkg))
		}
		for _, pkg := range r.in {
			mapped[pkg] = true
		}
	}
	for pkg := range packages(t) {
		assert.True(t, mapped[pkg] || strings.HasPrefix(pkg, "checker/rules/"), "the map in DEVELOPERS.md has no %s", pkg)
	}
}

// TestMayImport holds the last column of the map against what the packages import. A package
// may import what its row names and whatever that may import; what a row names is imported
// by one of its packages.
func TestMayImport(t *testing.T) {
	rows, pkgs := readMap(t), packages(t)
	rowOf := map[string]*row{}
	claim := func(of func(*row) []string) {
		for i := range rows {
			for _, pkg := range of(&rows[i]) {
				if _, ok := pkgs[pkg]; ok {
					rowOf[pkg] = &rows[i]
				}
			}
		}
	}
	claim(func(r *row) []string { return r.in })
	claim(func(r *row) []string { return r.pkgs }) // a row of its own comes before the words of another
	for pkg := range pkgs {
		if strings.HasPrefix(pkg, "checker/rules/") {
			rowOf[pkg] = rowOf["checker/rules"]
		}
	}
	// named are the packages that a word of the last column stands for.
	named := func(word string) []string {
		var out []string
		for pkg := range pkgs {
			switch {
			case word == "engines" && strings.HasPrefix(pkg, "checker/engine/"), word == "questions" && strings.HasPrefix(pkg, "checker/question/"),
				word == "all", pkg == word, path.Base(pkg) == word:
				out = append(out, pkg)
			}
		}
		return out
	}
	var allowed func(r *row, into map[string]bool)
	allowed = func(r *row, into map[string]bool) {
		for _, word := range r.may {
			for _, pkg := range named(word) {
				if !into[pkg] && rowOf[pkg] != nil {
					into[pkg] = true
					allowed(rowOf[pkg], into)
				}
			}
		}
	}
	for i := range rows {
		r := &rows[i]
		may := map[string]bool{}
		allowed(r, may)
		imported := map[string]bool{}
		for pkg, imports := range pkgs {
			if rowOf[pkg] != r {
				continue
			}
			for _, im := range imports {
				imported[im] = true
				assert.True(t, may[im] || rowOf[im] == r, "by the map in DEVELOPERS.md %s may not import %s", pkg, im)
			}
		}
		for _, word := range r.may {
			if word == "std" || word == "all" {
				continue
			}
			list := named(word)
			assert.NotEmpty(t, list, "the map in DEVELOPERS.md names %q, which is no package", word)
			assert.True(t, slices.ContainsFunc(list, func(pkg string) bool { return imported[pkg] }),
				"by the map in DEVELOPERS.md %v import %s, which they do not", r.pkgs, word)
		}
	}
}
