package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"

	"pintle/checker/run"
	"pintle/lang/escape"
)

// listVersion is that of the JSON output, whose schema is list.schema.json.
const listVersion = 1

// WriteList writes a list as text, csv, markdown or json. In CSV and JSON the columns have names
// for programs, which do not change.
func WriteList(w io.Writer, as string, r *run.ListResult) error {
	switch as {
	case "json":
		return listJSON(w, r)
	case "csv":
		return listCSV(w, r)
	}
	out := bufio.NewWriter(w)
	if r.Title != "" {
		if as == "markdown" {
			fmt.Fprintf(out, "# %s: %s\n", escape.Markdown(escape.Line(r.Title)), r.What)
		} else {
			fmt.Fprintf(out, "%s: %s\n", escape.Line(r.Title), r.What)
		}
	}
	for i := range r.Listings {
		l := &r.Listings[i]
		fmt.Fprintln(out)
		if l.Design != "" {
			name := escape.Line(l.Design)
			if as == "markdown" {
				name = "## " + escape.Markdown(name)
			}
			fmt.Fprintf(out, "%s\n\n", name)
		}
		g := gridOf(l, func(c run.ListColumn) string { return c.Title })
		switch {
		case len(g.rows) == 0:
			fmt.Fprintf(out, "the design has no %s\n", r.What)
		case as == "markdown":
			g.markdown(out)
		default:
			g.text(out)
		}
	}
	return out.Flush()
}

func gridOf(l *run.Listing, title func(run.ListColumn) string) *grid {
	g := &grid{rows: l.Rows}
	for _, c := range l.Columns {
		g.titles, g.right = append(g.titles, title(c)), append(g.right, c.Number)
	}
	return g
}

// listCSV writes one table; the designs of several combinations of options stand in a column.
func listCSV(w io.Writer, r *run.ListResult) error {
	all := &grid{}
	for i := range r.Listings {
		l := &r.Listings[i]
		g := gridOf(l, func(c run.ListColumn) string { return c.Key })
		if all.titles = g.titles; len(r.Listings) > 1 {
			all.titles = append([]string{"design"}, g.titles...)
			for k := range g.rows {
				g.rows[k] = append([]string{l.Design}, g.rows[k]...)
			}
		}
		all.rows = append(all.rows, g.rows...)
	}
	return all.csv(w)
}

type listDocument struct {
	Version  int           `json:"version"`
	File     string        `json:"file"`
	Design   string        `json:"design"`
	What     string        `json:"what"`
	Lists    []listJSONOne `json:"lists"`
	Failures []failureJSON `json:"failures"`
}

type listJSONOne struct {
	Design string           `json:"design,omitempty"`
	Rows   []map[string]any `json:"rows"`
}

func listJSON(w io.Writer, r *run.ListResult) error {
	out := listDocument{Version: listVersion, File: r.File, Design: r.Title, What: r.What, Lists: []listJSONOne{}, Failures: []failureJSON{}}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for i := range r.Listings {
		l := &r.Listings[i]
		one := listJSONOne{Design: l.Design, Rows: []map[string]any{}}
		for _, cells := range l.Rows {
			row := map[string]any{}
			for k, c := range l.Columns {
				switch {
				case cells[k] == "": // left out
				case c.Number:
					row[c.Key] = json.Number(cells[k])
				default:
					row[c.Key] = cells[k]
				}
			}
			one.Rows = append(one.Rows, row)
		}
		out.Lists = append(out.Lists, one)
	}
	return encodeJSON(w, out, "  ")
}
