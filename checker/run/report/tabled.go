package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"

	"pintle/checker/question/table"
	"pintle/checker/run"
	"pintle/lang/escape"
)

// tableVersion is that of the JSON output, whose schema is table.schema.json.
const tableVersion = 1

// tableWidth is how wide text may become before a table is folded.
const tableWidth = 100

// WriteTable writes decision tables as text, csv, markdown or json.
func WriteTable(w io.Writer, as string, r *run.TableResult) error {
	switch as {
	case "json":
		return tablesJSON(w, r)
	case "csv":
		return tablesCSV(w, r)
	}
	out := bufio.NewWriter(w)
	t := tableText{out, as == "markdown"}
	head := r.Title
	if r.Fault != "" {
		head += ", with " + r.Fault
	}
	if r.Given != "" {
		head += ", given " + r.Given
	}
	t.head("# ", head)
	for i := range r.Designs {
		d := &r.Designs[i]
		if d.Design != "" {
			fmt.Fprintln(out)
			t.head("## ", d.Design)
		}
		if d.Why != "" {
			t.line(d.Why)
		}
		for k := range d.Tables {
			t.table(&d.Tables[k])
		}
		if d.Note != "" {
			t.line(d.Note)
		}
	}
	return out.Flush()
}

type tableText struct {
	io.Writer
	markdown bool
}

func (t tableText) shown(text string) string {
	if text = escape.Line(text); t.markdown {
		return escape.Markdown(text)
	}
	return text
}

func (t tableText) head(mark, text string) {
	if !t.markdown {
		mark = ""
	}
	fmt.Fprintf(t, "%s%s\n", mark, t.shown(text))
}

func (t tableText) line(text string) { fmt.Fprintf(t, "\n%s\n", t.shown(text)) }

func (t tableText) table(x *table.Table) {
	if x.Why != "" {
		t.line(x.Why)
	}
	if len(x.Rows) == 0 && x.Why == "" && len(x.Open) == 0 && len(x.Same) == 0 {
		t.line("no reachable state is as given")
	}
	if g := tableGrid(x); len(x.Columns) > 0 {
		fmt.Fprintln(t)
		if t.markdown {
			g.markdown(t)
		} else {
			g.folded(t, len(x.Inputs), tableWidth)
		}
	}
	for _, list := range [...]struct {
		head  string
		lines []string
	}{
		{"the same in all rows:", each(x.Same, func(c table.Constant) string { return c.Name + ": " + c.Text })},
		{"undecided:", each(x.Open, func(u table.Unknown) string { return u.Name + ": " + u.Why })},
		{"not known of all tolerances:", x.Notes},
	} {
		if len(list.lines) == 0 {
			continue
		}
		t.line(list.head)
		if t.markdown {
			fmt.Fprintln(t)
		}
		for _, l := range list.lines {
			if t.markdown {
				fmt.Fprintf(t, "- %s\n", t.shown(l))
			} else {
				fmt.Fprintf(t, "  %s\n", t.shown(l))
			}
		}
	}
}

func each[T any](list []T, text func(T) string) []string {
	var out []string
	for _, x := range list {
		out = append(out, text(x))
	}
	return out
}

// tableGrid is a table with the columns that say when a row holds first. Columns that say the same
// in each row are one.
func tableGrid(x *table.Table) *grid {
	g := &grid{titles: append([]string{}, x.Inputs...)}
	for _, r := range x.Rows {
		g.rows = append(g.rows, append([]string{}, r.When...))
	}
	cells := func(column int) (out []string) {
		for _, r := range x.Rows {
			out = append(out, r.Cells[column].Text())
		}
		return out
	}
	var had [][]string
	for c, name := range x.Columns {
		texts := cells(c)
		if at := slices.IndexFunc(had, func(h []string) bool { return slices.Equal(h, texts) }); at >= 0 {
			g.titles[len(x.Inputs)+at] += ", " + name
			continue
		}
		had, g.titles = append(had, texts), append(g.titles, name)
		for i := range g.rows {
			g.rows[i] = append(g.rows[i], texts[i])
		}
	}
	g.right = make([]bool, len(g.titles))
	return g
}

// folded writes the grid as text, in pieces one below the other if it is wider than a terminal:
// the first columns stand in each piece.
func (g *grid) folded(out io.Writer, fixed, width int) {
	wide := func(i int) int {
		n := columns(escape.Line(g.titles[i]))
		for _, r := range g.rows {
			n = max(n, columns(escape.Line(r[i])))
		}
		return n + len(columnGap)
	}
	lead := 0
	for i := range fixed {
		lead += wide(i)
	}
	for at := fixed; at < len(g.titles); {
		end, used := at, lead
		for end < len(g.titles) && (end == at || used+wide(end) <= width) {
			used += wide(end)
			end++
		}
		pick := func(cells []string) []string {
			return append(append([]string{}, cells[:fixed]...), cells[at:end]...)
		}
		piece := &grid{titles: pick(g.titles), right: make([]bool, fixed+end-at)}
		for _, r := range g.rows {
			piece.rows = append(piece.rows, pick(r))
		}
		if at > fixed {
			fmt.Fprintln(out)
		}
		piece.text(out)
		at = end
	}
}

// tablesCSV writes all tables as one, in long form: a line for each row of a table and column, so
// that tables of different columns have the same form.
func tablesCSV(w io.Writer, r *run.TableResult) error {
	g := &grid{titles: []string{"design", "table", "row", "condition", "column", "value"}}
	for _, d := range r.Designs {
		for k := range d.Tables {
			x := &d.Tables[k]
			line := func(row, condition, column, value string) {
				g.rows = append(g.rows, []string{d.Design, fmt.Sprint(k + 1), row, condition, column, value})
			}
			for i := range x.Rows {
				for c := range x.Rows[i].Cells {
					line(fmt.Sprint(i+1), x.Rows[i].Condition, x.Columns[c], x.Rows[i].Cells[c].Text())
				}
			}
			for _, c := range x.Same {
				line("", "always", c.Name, c.Text)
			}
			for _, u := range x.Open {
				line("", "", u.Name, "undecided: "+u.Why)
			}
		}
	}
	return g.csv(w)
}

type (
	tableDocument struct {
		Version  int           `json:"version"`
		File     string        `json:"file"`
		Design   string        `json:"design"`
		Given    string        `json:"given,omitempty"`
		Fault    string        `json:"fault,omitempty"`
		Designs  []tabledJSON  `json:"designs"`
		Failures []failureJSON `json:"failures"`
	}
	tabledJSON struct {
		Design string         `json:"design,omitempty"`
		Why    string         `json:"why,omitempty"`
		Note   string         `json:"note,omitempty"`
		Tables []tableOneJSON `json:"tables"`
	}
	tableOneJSON struct {
		Inputs    []string         `json:"inputs"`
		Columns   []string         `json:"columns"`
		Rows      []tableRowJSON   `json:"rows"`
		Same      []tableNamedJSON `json:"same_in_all_rows,omitempty"`
		Undecided []tableNamedJSON `json:"undecided,omitempty"`
		Why       string           `json:"why,omitempty"`
		Notes     []string         `json:"notes,omitempty"`
	}
	tableNamedJSON struct {
		Name string `json:"name"`
		Text string `json:"text"`
	}
	tableRowJSON struct {
		When      []tableNamedJSON `json:"when"`
		Condition string           `json:"condition"`
		Cells     []tableCellJSON  `json:"cells"`
	}
	tableCellJSON struct {
		Column  string          `json:"column"`
		Text    string          `json:"text"`
		Values  []string        `json:"values,omitempty"`
		Else    []tableElseJSON `json:"within_tolerances,omitempty"`
		Nominal []float64       `json:"nominal,omitempty"`
		Within  []float64       `json:"range_within_tolerances,omitempty"`
		Unit    string          `json:"unit,omitempty"`
	}
	tableElseJSON struct {
		With   string   `json:"with"`
		Values []string `json:"values"`
	}
)

func tablesJSON(w io.Writer, r *run.TableResult) error {
	out := tableDocument{
		Version: tableVersion, File: r.File, Design: r.Title, Given: r.Given, Fault: r.Fault,
		Designs: []tabledJSON{}, Failures: []failureJSON{},
	}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for _, d := range r.Designs {
		one := tabledJSON{Design: d.Design, Why: d.Why, Note: d.Note, Tables: []tableOneJSON{}}
		for i := range d.Tables {
			one.Tables = append(one.Tables, tableOne(&d.Tables[i]))
		}
		out.Designs = append(out.Designs, one)
	}
	return encodeJSON(w, out, "  ")
}

func tableOne(x *table.Table) tableOneJSON {
	out := tableOneJSON{
		Inputs: append([]string{}, x.Inputs...), Columns: append([]string{}, x.Columns...), Rows: []tableRowJSON{},
		Why: x.Why, Notes: x.Notes,
	}
	for _, c := range x.Same {
		out.Same = append(out.Same, tableNamedJSON(c))
	}
	for _, u := range x.Open {
		out.Undecided = append(out.Undecided, tableNamedJSON{u.Name, u.Why})
	}
	for i := range x.Rows {
		row := tableRowJSON{When: []tableNamedJSON{}, Condition: x.Rows[i].Condition, Cells: []tableCellJSON{}}
		for k, text := range x.Rows[i].When {
			if text != "" {
				row.When = append(row.When, tableNamedJSON{x.Inputs[k], text})
			}
		}
		for k := range x.Rows[i].Cells {
			c := &x.Rows[i].Cells[k]
			cell := tableCellJSON{Column: x.Columns[k], Text: c.Text(), Values: c.Values}
			for _, e := range c.Else {
				cell.Else = append(cell.Else, tableElseJSON{e.Corner, append([]string{}, e.Values...)})
			}
			if c.Nominal != nil && c.Nominal.Open == "" && !c.Nominal.Empty {
				cell.Unit = c.Dim.Base().Symbol
				cell.Nominal = []float64{c.Nominal.Low.Value, c.Nominal.High.Value}
				if c.Within.Open == "" && !c.Within.Empty {
					cell.Within = []float64{c.Within.Low.Value, c.Within.High.Value}
				}
			}
			row.Cells = append(row.Cells, cell)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
