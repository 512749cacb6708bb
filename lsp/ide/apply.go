package ide

import (
	"cmp"
	"slices"

	"pintle/lang/diag"
)

// Apply carries the edits of one text out. They must not overlap; of those at one place
// the first goes first. One that overlaps another, or lies outside, is left out.
func Apply(text string, edits []diag.Edit) string {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b diag.Edit) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	var out []byte
	at := 0
	for _, e := range edits {
		if e.Start < at || e.End > len(text) || e.End < e.Start {
			continue
		}
		out = append(out, text[at:e.Start]...)
		out = append(out, e.New...)
		at = e.End
	}
	return string(append(out, text[at:]...))
}
