package main

import (
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
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

// TestMap holds the map in DEVELOPERS.md against the packages: each stands in it, by its
// path, behind another of the same folder, or in the words of a row above it; and what it
// names is there.
func TestMap(t *testing.T) {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(page), "\n| folder |")
	require.True(t, ok)
	table, _, _ := strings.Cut(rest, "\n\n")
	quoted := regexp.MustCompile("`([^`]+)`")
	mapped := map[string]bool{}
	for line := range strings.Lines(table) {
		columns := strings.Split(line, "|")
		if len(columns) < 4 {
			continue
		}
		var last string
		for _, m := range quoted.FindAllStringSubmatch(columns[1], -1) {
			last = path.Join(path.Dir(last), m[1])
			if last == m[1] || strings.Contains(m[1], "/") {
				last = m[1]
			}
			mapped[strings.TrimSuffix(last, "/…")] = true
			assert.DirExists(t, filepath.Join("../..", strings.TrimSuffix(last, "/…")))
		}
		for _, m := range quoted.FindAllStringSubmatch(columns[2], -1) {
			mapped[path.Join(last, m[1])] = true           // `soak`
			mapped[path.Join(path.Dir(last), m[1])] = true // `server/rpc`
			mapped[m[1]] = true                            // `editors/colours`
		}
	}
	out, err := exec.CommandContext(t.Context(), "go", "list", "pintle/...").Output()
	require.NoError(t, err)
	for _, pkg := range strings.Fields(string(out)) {
		pkg = strings.TrimPrefix(pkg, "pintle/")
		if pkg == "lang" || strings.HasSuffix(pkg, "test") && pkg != "checker/checktest" || strings.HasPrefix(pkg, "checker/rules/") {
			continue
		}
		assert.True(t, mapped[pkg], "the map in DEVELOPERS.md has no %s", pkg)
	}
}
