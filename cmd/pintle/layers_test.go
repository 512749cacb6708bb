package main

import (
	"os/exec"
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
