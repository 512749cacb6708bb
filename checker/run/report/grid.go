package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"pintle/lang/escape"
)

// grid is a table of plain texts: a line of titles and lines of cells.
type grid struct {
	titles []string
	right  []bool // columns of numbers, which stand to the right
	rows   [][]string
}

// columnGap stands between two columns of text.
const columnGap = "  "

// text writes the grid in columns for a terminal, each as wide as its widest cell.
func (g *grid) text(out io.Writer) {
	wide := make([]int, len(g.titles))
	shown := [][]string{}
	for _, cells := range append([][]string{g.titles}, g.rows...) {
		line := make([]string, len(g.titles))
		for i := range line {
			line[i] = escape.Line(cells[i])
			wide[i] = max(wide[i], columns(line[i]))
		}
		shown = append(shown, line)
	}
	for _, line := range shown {
		b := strings.Builder{}
		for i, cell := range line {
			pad := strings.Repeat(" ", wide[i]-columns(cell))
			if g.right[i] {
				cell = pad + cell
			} else {
				cell += pad
			}
			if i > 0 {
				b.WriteString(columnGap)
			}
			b.WriteString(cell)
		}
		fmt.Fprintln(out, strings.TrimRight(b.String(), " "))
	}
}

// markdown writes the grid as a table of GitHub Flavored Markdown (0.29, section 4.10).
func (g *grid) markdown(out io.Writer) {
	line := func(cells []string) { fmt.Fprintf(out, "| %s |\n", strings.Join(cells, " | ")) }
	marks := make([]string, len(g.titles))
	for i := range marks {
		if marks[i] = "---"; g.right[i] {
			marks[i] = "---:"
		}
	}
	line(g.titles)
	line(marks)
	for _, r := range g.rows {
		cells := make([]string, len(r))
		for i := range r {
			cells[i] = escape.Markdown(escape.Line(r[i]))
		}
		line(cells)
	}
}

// csv writes the grid by RFC 4180.
func (g *grid) csv(out io.Writer) error {
	w := csv.NewWriter(out)
	w.UseCRLF = false
	if err := w.Write(g.titles); err != nil {
		return err
	}
	return w.WriteAll(g.rows)
}
