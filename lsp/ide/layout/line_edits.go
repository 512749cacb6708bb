package layout

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// farthest bounds the search for a shortest list of edits; texts that differ in more lines
// are replaced from the first of them to the last.
const farthest = 400

// lineEdits returns edits of whole lines that make a new text of an old one: those of a
// shortest list, after Myers (An O(ND) Difference Algorithm and Its Variations, 1986).
func lineEdits(src *source.File, text string) []diag.Edit {
	old, fresh := strings.SplitAfter(src.Text, "\n"), strings.SplitAfter(text, "\n")
	head := 0
	for head < min(len(old), len(fresh)) && old[head] == fresh[head] {
		head++
	}
	tail := 0
	for tail < min(len(old), len(fresh))-head && old[len(old)-1-tail] == fresh[len(fresh)-1-tail] {
		tail++
	}
	a, b := old[head:len(old)-tail], fresh[head:len(fresh)-tail]
	at := 0
	for _, l := range old[:head] {
		at += len(l)
	}
	var out []diag.Edit
	emit := func(del, ins []string) {
		n := len(strings.Join(del, ""))
		if len(del) > 0 || len(ins) > 0 {
			out = append(out, ide.Replace(src, source.Span{Start: at, End: at + n}, strings.Join(ins, "")))
		}
		at += n
	}
	i, j := 0, 0
	for _, m := range matches(a, b) {
		emit(a[i:m[0]], b[j:m[1]])
		at += len(a[m[0]])
		i, j = m[0]+1, m[1]+1
	}
	emit(a[i:], b[j:])
	return out
}

// matches pairs the lines that stay, in order.
func matches(a, b []string) [][2]int {
	n, m := len(a), len(b)
	off := min(n+m, farthest)
	v := make([]int, 2*off+2)
	var trail [][]int
	for d := 0; d <= off; d++ {
		trail = append(trail, append([]int(nil), v...))
		for k := -d; k <= d; k += 2 {
			x := 0
			if k == -d || k != d && v[off+k-1] < v[off+k+1] {
				x = v[off+k+1]
			} else {
				x = v[off+k-1] + 1
			}
			for x < n && x-k >= 0 && x-k < m && a[x] == b[x-k] {
				x++
			}
			v[off+k] = x
			if x >= n && x-k >= m {
				return back(trail, n, m, off)
			}
		}
	}
	return nil
}

// back walks the trail of furthest points from the end to the beginning.
func back(trail [][]int, n, m, off int) [][2]int {
	var out [][2]int
	x, y := n, m
	for d := len(trail) - 1; d >= 0; d-- {
		v, k := trail[d], x-y
		from := k + 1
		if k != -d && (k == d || v[off+k-1] >= v[off+k+1]) {
			from = k - 1
		}
		px := 0
		if d > 0 {
			px = v[off+from]
		}
		py := px - from
		if d == 0 {
			px, py = 0, 0
		}
		for x > px && y > py {
			x, y = x-1, y-1
			out = append(out, [2]int{x, y})
		}
		x, y = px, py
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

// LineEditsIn is lineEdits for a stretch of a text.
func LineEditsIn(src *source.File, span source.Span, text string) []diag.Edit {
	out := lineEdits(source.NewFile(src.Name, src.Text[span.Start:span.End]), text)
	for i := range out {
		out[i].File = src
		out[i].Start += span.Start
		out[i].End += span.Start
	}
	return out
}
