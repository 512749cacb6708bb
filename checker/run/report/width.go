package report

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"pintle/lang/escape"
)

// tabStop is the distance of tab stops in excerpts; tabs are shown as blanks, so
// that what stands below a line stands right whatever the terminal does.
const tabStop = 4

// The most columns of a line of text that an excerpt shows, and how many of them
// stand before the marked stretch when the line is longer.
const (
	longestExcerpt = 100
	leadIn         = 30
)

// runeWidth is the number of columns that a character takes on a terminal.
func runeWidth(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1F300 && r <= 0x1FAFF: // pictographs
		return 2
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// visible is how a character is shown at a column: what has no shape of its own,
// or would change how the rest of the line is shown, is replaced.
func visible(r rune, size, column int) (string, int) {
	if r == '\t' {
		n := tabStop - column%tabStop
		return strings.Repeat(" ", n), n
	}
	if text, changed := escape.Shown(r, size); changed {
		return text, len(text)
	}
	return string(r), runeWidth(r)
}

// excerpt is a line as it is shown, with the columns, from 0, of a marked stretch.
type excerpt struct {
	text       string
	start, end int
}

// newExcerpt shows a line of text with a stretch of bytes [start, end) of it marked.
// The stretch is cut at the end of what is shown and is at least one column wide.
func newExcerpt(line string, start, end int) excerpt {
	start = min(max(start, 0), len(line))
	end = min(max(end, start), len(line))
	var b strings.Builder
	column, from := 0, windowStart(line, start, end)
	if from > 0 {
		b.WriteString("... ")
		column = 4
	}
	e := excerpt{start: column}
	i := from
	for i < len(line) {
		r, size := utf8.DecodeRuneInString(line[i:])
		text, w := visible(r, size, column)
		if column+w > longestExcerpt {
			b.WriteString(" ...")
			break
		}
		if i <= start {
			e.start = column
		}
		b.WriteString(text)
		column += w
		if i < end {
			e.end = column
		}
		i += size
	}
	if start >= i {
		e.start = column
	}
	e.text = strings.TrimRight(b.String(), " ")
	e.end = max(e.end, e.start+1)
	return e
}

// windowStart is the byte at which the shown part of a line begins: 0 unless the
// marked stretch would not fit behind the line's beginning. It never looks at more
// of a very long line than could be shown.
func windowStart(line string, start, end int) int {
	const most = longestExcerpt * utf8.UTFMax
	if start <= most && columns(line[:min(end, start+most)]) <= longestExcerpt {
		return 0
	}
	from := start
	for n := 0; from > 0 && n < leadIn; {
		r, size := utf8.DecodeLastRuneInString(line[:from])
		_, w := visible(r, size, 0)
		from -= size
		n += max(w, 1)
	}
	return from
}

// marker is what stands below the marked stretch: a measure between two carets.
func (e excerpt) marker() string {
	n := e.end - e.start
	if n <= 2 {
		return strings.Repeat("^", n)
	}
	return "^" + strings.Repeat("-", n-2) + "^"
}

// columns is how wide a text is shown.
func columns(s string) int {
	n := 0
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		_, w := visible(r, size, n)
		n += w
		i += size
	}
	return n
}
