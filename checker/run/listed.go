package run

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/schema"
)

// ListRequest asks to list the things of one kind.
type ListRequest struct {
	OpenRequest
	What string // one of Lists
	// Currents adds the highest current that a wire or fuse carries within all tolerances, and
	// what a wire may carry.
	Currents bool
	// Protection adds which fuse opens first if a wire is shorted to ground.
	Protection bool
	// Step, if set, is told how many of all rows are worked out.
	Step func(done, all int)
}

// ListResult is the outcome of a ListRequest.
type ListResult struct {
	File     string
	Title    string
	What     string
	Listings []Listing // one for each design
	Failures []Failure
	Notices  []Failure
}

// Listing is a table of one design.
type Listing struct {
	Design  string // its name; empty where there is one only
	Columns []ListColumn
	Rows    [][]string // a cell for each column; empty: not stated, or nothing
}

// ListColumn is a column of a listing.
type ListColumn struct {
	Key    string // for programs: "length_m"
	Title  string // for people: "length (m)"
	Number bool   // its cells are decimal numbers in the unit of the title
}

// Lists are what can be listed.
func Lists() []string { return []string{"wires", "fuses", "connectors", "parts", "pins"} }

// List lists things of a design. The errors are those of the context and of the search for the
// file; anything else is a sentence for the person who asks.
func List(ctx context.Context, req ListRequest) (*ListResult, error) {
	write := map[string]func(*lister) *Listing{
		"wires": (*lister).wires, "fuses": (*lister).fuses, "connectors": (*lister).connectors, "parts": (*lister).parts, "pins": (*lister).pins,
	}[req.What]
	if write == nil {
		return nil, fmt.Errorf("there is no list of %q; there is %s", req.What, strings.Join(Lists(), ", "))
	}
	switch {
	case req.Protection && req.What != "wires":
		return nil, fmt.Errorf("only the list of wires says what protects them, not that of %s", req.What)
	case req.Currents && req.What != "wires" && req.What != "fuses":
		return nil, fmt.Errorf("only the lists of wires and fuses say currents, not that of %s", req.What)
	}
	o, err := Open(ctx, req.OpenRequest, nil)
	if err != nil {
		return nil, err
	}
	out := &ListResult{File: o.File, Title: o.Designs[0].Title, What: req.What, Failures: o.Failures, Notices: o.Notices}
	for _, d := range o.Designs {
		l := &lister{req: &req, ctx: ctx, d: d, p: o.Pass(ctx, d)}
		if l.protect() != nil {
			return nil, ctx.Err()
		}
		table := write(l)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		table.Design = d.Name
		out.Listings = append(out.Listings, *table)
	}
	return out, nil
}

// lister writes the table of one design.
type lister struct {
	req   *ListRequest
	ctx   context.Context
	d     *model.Design
	p     *rule.Pass
	first map[string]*fault.WireProtection // by wire
}

// protect works out what protects each wire, if that is wanted.
func (l *lister) protect() (err error) {
	if !l.req.Protection || l.req.What != "wires" {
		return nil
	}
	var rows []fault.WireProtection
	stopped := l.p.Ask(func(p *rule.Pass) { rows, err = p.Faults().Protection(l.ctx, func(string) bool { return true }) })
	l.first = map[string]*fault.WireProtection{}
	for i := range rows {
		l.first[rows[i].Wire] = &rows[i]
	}
	if err == nil {
		err = stopped
	}
	if err != nil && l.ctx.Err() == nil { // each wire says so
		return nil
	}
	return err
}

func (l *lister) wires() *Listing {
	t := &Listing{Columns: []ListColumn{
		{"wire", "wire", false}, {"from", "from", false}, {"to", "to", false}, {"colour", "colour", false}, {"iec60757", "IEC 60757", false},
		{"mm2", "mm2", true}, {"length_m", "length (m)", true}, {"mohm", "mohm", true},
	}}
	if l.req.Currents {
		t.Columns = append(t.Columns, ListColumn{"most_amps", "most (A)", true}, ListColumn{"may_carry_amps", "may carry (A)", true})
	}
	if l.req.Protection {
		t.Columns = append(t.Columns, ListColumn{"opens_first", "on a short opens first", false})
	}
	for i := range l.d.Wires {
		w := &l.d.Wires[i]
		row := []string{
			w.Path, l.at(w.A), l.at(w.B), w.Colour, schema.ColourCode(w.Colour),
			stated(w.AreaSet, w.Area), stated(w.LenSet, w.Length), decimal(1000 * l.d.Elements[w.Element].Ohm.Nominal),
		}
		if l.req.Currents {
			may := ""
			if r, ok := ask.MayCarry(l.p, w); ok {
				may = decimal(r.Amps)
			}
			row = append(row, l.most(w.Element), may)
		}
		if l.req.Protection {
			row = append(row, opensFirst(l.first[w.Path]))
		}
		t.Rows = append(t.Rows, row)
		l.step(i+1, len(l.d.Wires))
	}
	return t
}

func opensFirst(p *fault.WireProtection) string {
	switch {
	case p == nil:
		return "a short to ground draws no current"
	case p.Most == 0:
		return "undecided"
	case len(p.Opens) == 0 && len(p.Fuses) == 0:
		return "no fuse in its path"
	case len(p.Opens) == 0:
		return "no fuse surely opens"
	}
	out := strings.Join(p.Opens, " or ")
	if p.Unsure {
		out += "; in some states none surely does"
	}
	return out
}

func (l *lister) fuses() *Listing {
	t := &Listing{Columns: []ListColumn{
		{"fuse", "fuse", false}, {"rating_amps", "rating (A)", true}, {"from", "from", false}, {"to", "to", false}, {"wires", "wires on it", false},
	}}
	if l.req.Currents {
		t.Columns = append(t.Columns, ListColumn{"most_amps", "most (A)", true})
	}
	for i := range l.d.Fuses {
		f := &l.d.Fuses[i]
		e := &l.d.Elements[f.Element]
		row := []string{f.Path, stated(f.Rating > 0, f.Rating), l.at(e.A), l.at(e.B), l.wiresAt(e.A, e.B)}
		if l.req.Currents {
			row = append(row, l.most(f.Element))
		}
		t.Rows = append(t.Rows, row)
		l.step(i+1, len(l.d.Fuses))
	}
	return t
}

func (l *lister) connectors() *Listing {
	t := &Listing{Columns: []ListColumn{
		{"connector", "connector", false}, {"colour", "colour", false}, {"key", "keyed", false}, {"way", "way", true},
		{"wires", "wires in it", false}, {"plugs_onto", "plugs onto", false},
	}}
	for i := range l.d.Connectors {
		c := &l.d.Connectors[i]
		for way, id := range c.WayElem {
			e := &l.d.Elements[id]
			onto := "" // the other half has wires of its own
			if way < len(c.Plugs) {
				onto = l.at(c.Plugs[way])
			}
			t.Rows = append(t.Rows, []string{c.Path, c.Colour, c.Key, strconv.Itoa(way + 1), l.wiresAt(e.A, e.B), onto})
		}
	}
	return t
}

func (l *lister) parts() *Listing {
	t := &Listing{Columns: []ListColumn{
		{"thing", "thing", false}, {"part", "part", false}, {"values", "values", false}, {"file", "file", false}, {"line", "line", true}, {"note", "what it is", false},
	}}
	for i := range l.d.Fits {
		f := &l.d.Fits[i]
		var values []string
		for _, a := range f.Args {
			values = append(values, a.Name+" "+a.Value)
		}
		file, line := "", ""
		if f.Place.File != nil {
			file, line = f.Place.File.Name, strconv.Itoa(f.Place.File.Position(f.Place.Start).Line)
		}
		note, _, _ := strings.Cut(f.Doc, "\n")
		t.Rows = append(t.Rows, []string{f.Path, f.Part, strings.Join(values, ", "), file, line, note})
	}
	return t
}

func (l *lister) pins() *Listing {
	t := &Listing{Columns: []ListColumn{{"pin", "pin", false}, {"thing", "thing", false}, {"wires", "wires on it", false}, {"colours", "colours", false}}}
	for i := range l.d.Nodes {
		n := &l.d.Nodes[i]
		if !n.IsPin {
			continue
		}
		of := ""
		if n.Fit != model.None {
			of = l.d.Fits[n.Fit].Path
		}
		var colours []string
		for _, w := range l.on(model.NodeID(i)) {
			colours = append(colours, w.Colour)
		}
		t.Rows = append(t.Rows, []string{n.Path, of, l.wiresAt(model.NodeID(i)), strings.Join(slices.DeleteFunc(colours, func(c string) bool { return c == "" }), ", ")})
	}
	return t
}

// at names a point as a design writes it.
func (l *lister) at(n model.NodeID) string { return l.d.Nodes[n].Path }

// on are the wires that end at one of some points.
func (l *lister) on(at ...model.NodeID) (out []*model.Wire) {
	for i := range l.d.Wires {
		if w := &l.d.Wires[i]; slices.Contains(at, w.A) || slices.Contains(at, w.B) {
			out = append(out, w)
		}
	}
	return out
}

func (l *lister) wiresAt(at ...model.NodeID) string {
	var out []string
	for _, w := range l.on(at...) {
		out = append(out, w.Path)
	}
	return strings.Join(out, ", ")
}

// most is the highest current through an element within all tolerances, either way round; empty
// where that is not known for sure.
func (l *lister) most(e model.ElementID) (out string) {
	stopped := l.p.Ask(func(p *rule.Pass) {
		_, within := ask.Range(p, p.Protected(), ask.Current(e), system.On(nil))
		if within.Empty || within.Open != "" || !within.High.Proved || !within.Low.Proved {
			return
		}
		out = decimal(max(within.High.Value, -within.Low.Value))
	})
	if stopped != nil {
		return ""
	}
	return out
}

func (l *lister) step(done, all int) {
	if l.req.Step != nil {
		l.req.Step(done, all)
	}
}

// stated is a number that the text gives.
func stated(set bool, x float64) string {
	if !set {
		return ""
	}
	return decimal(x)
}

// decimal writes a number to six digits without a unit, never with an exponent.
func decimal(x float64) string {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64) // what is written is read
	return strconv.FormatFloat(short, 'f', -1, 64)
}
