package elaborate_test

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
)

// folder reads every design under a folder; names are relative to it, with slashes.
func folder(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".pintle") {
			return err
		}
		b, err := os.ReadFile(p)
		rel, _ := filepath.Rel(dir, p)
		out[filepath.ToSlash(rel)] = string(b)
		return err
	})
	require.NoError(t, err)
	require.NotEmpty(t, out, "no designs in %s", dir)
	return out
}

func sortedNames(text map[string]string) []string { return slices.Sorted(maps.Keys(text)) }

func position(p diag.Place) string {
	if p.File == nil {
		return "nowhere"
	}
	at := p.File.Position(p.Start)
	return fmt.Sprintf("%s:%d:%d", p.File.Name, at.Line, at.Column)
}
