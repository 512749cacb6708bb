package run

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"pintle/checker/question/ask"
	"pintle/checker/question/table"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

// TableRequest asks for decision tables of a design.
type TableRequest struct {
	OpenRequest
	// Show are the columns: paths of results, modes and loads, conditions, and measures. Empty,
	// or measures alone: all results, modes and loads besides.
	Show []string
	// Over are the settings, quantities and memories that rows may speak of, by path; empty: all
	// settings and quantities, and what remembers where these don't decide.
	Over []string
	// Given is a condition: only states in which it holds are shown. Empty: all.
	Given string
	// Fault is one that is there in all states that are shown, as in AskRequest. Empty: none.
	Fault string
	// MostRows bounds the rows of one table; 0: table.MostRows.
	MostRows int
	// Step, if set, is told how many of all designs are done.
	Step func(done, all int)
}

// TableResult is what came of it.
type TableResult struct {
	File, Title, Given, Fault string
	Designs                   []Tabled
	// Failures are what of the design could not be read.
	Failures []Failure
	Notices  []Failure
}

// Tabled are the tables of one combination of options.
type Tabled struct {
	Design string // its name; empty where there is one only
	Tables []table.Table
	Why    string // why there are none; empty: there are
	Note   string // what they leave out
}

// Table makes decision tables of one design. The errors are as those of Ask.
func Table(ctx context.Context, req TableRequest) (*TableResult, error) {
	var list []asked
	o, err := Open(ctx, req.OpenRequest, func(text string) (behind string, err error) {
		list, behind, err = statements(text, req.pieces())
		return behind, err
	})
	if err != nil {
		return nil, err
	}
	out := &TableResult{File: o.File, Title: o.Designs[0].Title, Given: req.Given, Fault: req.Fault, Failures: o.Failures, Notices: o.Notices}
	named := func(q asked) bool { // a thing of the design, and no condition
		return q.what == columnFlag && slices.ContainsFunc(o.Designs, func(d *model.Design) bool { _, ok := table.Named(d, q.Text); return ok })
	}
	if err := o.misasked(slices.DeleteFunc(slices.Clone(list), named)); err != nil {
		return nil, err
	}
	for i, d := range o.Designs {
		t := Tabled{Design: d.Name}
		var unknown []string
		p := o.Pass(ctx, d)
		stopped := p.Ask(func(p *rule.Pass) { unknown = req.tabulate(p, d, list, &t) })
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if stopped != nil {
			t = Tabled{Design: d.Name, Why: "undecided: " + stopped.Error()}
		}
		if len(unknown) > 0 {
			return nil, notOver(d, unknown[0])
		}
		out.Designs = append(out.Designs, t)
		if req.Step != nil {
			req.Step(i+1, len(o.Designs))
		}
	}
	return out, nil
}

// notOver says that --over names nothing that rows can speak of.
func notOver(d *model.Design, path string) error {
	var have []string
	for i := range d.Settings {
		have = append(have, d.Settings[i].Path)
	}
	for i := range d.Quantities {
		have = append(have, d.Quantities[i].Path)
	}
	out := fmt.Sprintf("--over takes settings, quantities, thresholds, coils and modes by name, not %q", path)
	if nearest := spelling.Best(path, slices.Values(have)); nearest != "" {
		out += fmt.Sprintf("; the nearest is %q", nearest)
	}
	return errors.New(out)
}

// columnFlag is what errors call a column.
const columnFlag = "--show"

func (req *TableRequest) pieces() (out []said) {
	for _, text := range req.Show {
		q := ask.Read(text)
		if q.Kind == ask.When {
			q = ask.ReadCondition(text)
		}
		// A name alone is a thing or a condition; which of these, the design says.
		out = append(out, said{columnFlag, q})
	}
	return append(out, flags(req.Given, req.Fault)...)
}

// tabulate makes the tables of one design; unknown are those of Over that name nothing.
func (req *TableRequest) tabulate(p *rule.Pass, d *model.Design, list []asked, t *Tabled) (unknown []string) {
	a, own, no := asking(p, d, list, nil)
	if no != nil {
		t.Why = no.Why
		if t.Why == "" {
			t.Why = "with these options the design has nothing of that name"
		}
		return nil
	}
	w := table.Wish{Over: req.Over, MostRows: req.MostRows}
	measures := 0
	for _, q := range list {
		if q.what != columnFlag {
			continue
		}
		if c, ok := table.Named(own, q.Text); ok {
			w.Columns = append(w.Columns, c)
			continue
		}
		switch c := ask.Asked(own, q.name); {
		case c == nil:
		case q.Kind == ask.Measure:
			measures++
			w.Columns = append(w.Columns, table.OfMeasure(q.Text, c.Atom.Measure, own))
		default:
			w.Columns = append(w.Columns, table.OfCondition(q.Text, c))
		}
	}
	if len(w.Columns) == measures {
		w.Columns = append(table.Columns(own), w.Columns...)
	}
	if len(w.Columns) == 0 {
		t.Why = "the design has no result, modes or load to show; choose with --show, for example --show \"volts at PIN\""
		return nil
	}
	t.Note = a.Note
	t.Tables, unknown = table.Make(a, w)
	return unknown
}

// Undecided reports whether something that was asked for is not known.
func (r *TableResult) Undecided() bool {
	return slices.ContainsFunc(r.Designs, func(d Tabled) bool {
		return d.Why != "" || slices.ContainsFunc(d.Tables, table.Table.Undecided)
	})
}
