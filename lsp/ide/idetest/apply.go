package idetest

import (
	"maps"
	"strings"

	"pintle/lang/diag"
	"pintle/lsp/ide"
)

// Applied returns the texts of a test, by their names below [Folder], after some edits.
func Applied(texts map[string]string, edits []diag.Edit) map[string]string {
	out := maps.Clone(texts)
	byFile := map[string][]diag.Edit{}
	for _, e := range edits {
		byFile[e.File.Name] = append(byFile[e.File.Name], e)
	}
	for full, list := range byFile {
		name := strings.TrimPrefix(full, Folder)
		out[name] = ide.Apply(out[name], list)
	}
	return out
}
