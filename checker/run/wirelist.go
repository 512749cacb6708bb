package run

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/format"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// WiresRequest asks to write a list of wires as statements.
type WiresRequest struct {
	// List is the text of a CSV file (RFC 4180, also with `;` or a tab between cells), its first
	// line names the columns.
	List []byte
	// For, if set, is the design that the wires are to stand in: their ends must be there.
	For *OpenRequest
}

// WiresResult is the outcome of a WiresRequest.
type WiresResult struct {
	// Text is a statement for each wire that was taken, in the standard layout.
	Text string
	// Taken are the wires in it. Same are those that the design has already, the same.
	Taken, Same int
	// Problems are what was not taken, in the order of the list.
	Problems []WireProblem
	// Ignored are the titles of columns that say nothing about a wire.
	Ignored  []string
	Failures []Failure
	Notices  []Failure
}

// WireProblem is why a line of a list was not taken.
type WireProblem struct {
	Line int // from 1
	Wire string
	What string
}

// Wires writes a list of wires as statements. The errors are those of the context, of the search
// for the design, and a sentence for the person who asks if the list can't be read at all.
func Wires(ctx context.Context, req WiresRequest) (*WiresResult, error) {
	out := &WiresResult{}
	rows, err := out.read(req.List)
	if err != nil {
		return nil, err
	}
	rows = out.single(rows)
	if req.For != nil {
		if rows, err = out.place(ctx, *req.For, rows); err != nil {
			return nil, err
		}
	}
	text := strings.Builder{}
	for _, r := range rows {
		text.WriteString(r.statement + "\n")
	}
	out.Text, _ = format.Format(syntax.Parse(source.NewFile("wires", text.String()), nil))
	out.Taken = len(rows)
	slices.SortStableFunc(out.Problems, func(a, b WireProblem) int { return a.Line - b.Line })
	return out, nil
}

// wireRow is a line of a list.
type wireRow struct {
	line           int
	name, from, to string
	colour         string
	size, length   string // as a statement has them
	statement      string
}

// columnNames are the titles that lists of wires have for what a statement says; common
// practice, no source.
var columnNames = map[string][]string{
	"name":       {"wire", "name", "no", "no.", "number", "id", "wire no", "wire number", "wire name"},
	"from":       {"from", "start", "end 1", "from pin", "pin 1"},
	"to":         {"to", "end", "end 2", "to pin", "pin 2"},
	"from thing": {"from thing", "from device", "from connector", "from component", "from part"},
	"to thing":   {"to thing", "to device", "to connector", "to component", "to part"},
	"colour":     {"colour", "color", "col", "col."},
	"size":       {"size", "mm2", "mm²", "section", "cross-section", "cross section", "csa", "gauge", "awg"},
	"length":     {"length", "len", "length_m", "length m", "length_mm", "length mm"},
}

// columnOf reads the title of a column: what it holds, and the unit that the title names.
func columnOf(title string) (what, in string) {
	t := strings.Join(strings.Fields(strings.ToLower(title)), " ")
	if at := strings.IndexAny(t, "[("); at >= 0 {
		in = strings.Trim(t[at:], "[]() ")
		t = strings.TrimSpace(t[:at])
	}
	for _, w := range [...]string{"name", "from", "to", "from thing", "to thing", "colour", "size", "length"} {
		if !slices.Contains(columnNames[w], t) {
			continue
		}
		switch {
		case in != "":
		case t == "awg":
			in = "awg"
		case strings.HasSuffix(t, "mm"):
			in = "mm"
		case w == "length":
			in = "m"
		case w == "size":
			in = "mm2"
		}
		return w, in
	}
	return "", in
}

// read reads the lines of a list.
func (r *WiresResult) read(list []byte) ([]wireRow, error) {
	text := strings.TrimPrefix(string(list), "\ufeff")
	c := csv.NewReader(strings.NewReader(text))
	c.Comma, c.FieldsPerRecord, c.LazyQuotes, c.TrimLeadingSpace = separator(text), -1, true, true
	titles, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("the list is empty")
	}
	if err != nil {
		return nil, fmt.Errorf("the list can't be read as CSV: %w", err)
	}
	at, in := map[string]int{}, map[string]string{}
	for i, t := range titles {
		what, unit := columnOf(t)
		switch _, twice := at[what]; {
		case what == "":
			r.Ignored = append(r.Ignored, strings.TrimSpace(t))
		case twice:
			return nil, fmt.Errorf("two columns of the list hold the same: %q and %q", titles[at[what]], t)
		default:
			at[what], in[what] = i, unit
		}
	}
	for _, w := range [...]string{"from", "to"} {
		if _, ok := at[w]; !ok {
			return nil, fmt.Errorf("the first line of the list names no column %q; it has %s", w, strings.Join(titles, ", "))
		}
	}
	var rows []wireRow
	for {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("the list can't be read as CSV: %w", err)
		}
		line, _ := c.FieldPos(0)
		cell := func(what string) string {
			i, ok := at[what]
			if !ok || i >= len(cells) {
				return ""
			}
			return strings.TrimSpace(cells[i])
		}
		if slices.IndexFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" }) < 0 {
			continue
		}
		row := wireRow{line: line, name: cell("name"), from: within(cell("from thing"), cell("from")), to: within(cell("to thing"), cell("to"))}
		if what := row.fill(cell, in); what != "" {
			r.Problems = append(r.Problems, WireProblem{line, row.name, what})
			continue
		}
		rows = append(rows, row)
	}
}

// separator is the sign that stands most often in the first line.
func separator(text string) rune {
	first, _, _ := strings.Cut(text, "\n")
	best, most := ',', 0
	for _, s := range [...]rune{',', ';', '\t'} {
		if n := strings.Count(first, string(s)); n > most {
			best, most = s, n
		}
	}
	return best
}

// within names a pin of a thing; a pin that is written in full stays.
func within(thing, pin string) string {
	if thing == "" || pin == "" {
		return thing + pin
	}
	return thing + "." + pin
}

// fill reads what a line says about its wire and writes the statement. It returns why the line
// can't be taken.
func (r *wireRow) fill(cell func(string) string, in map[string]string) (what string) {
	for _, must := range [...]struct{ name, value string }{{"name", r.name}, {"from", r.from}, {"to", r.to}} {
		if must.value == "" {
			return fmt.Sprintf("the column %q is empty", must.name)
		}
	}
	parts := []string{"wire " + r.name + ": " + r.from + " to " + r.to}
	if c := cell("colour"); c != "" {
		known, ok := schema.ReadColour(c)
		if !ok {
			what = fmt.Sprintf("%q is no colour that is known", c)
			if meant := schema.ColourMeant(c); meant != "" {
				what += "; it may mean " + meant
			}
			return what
		}
		r.colour = known
		parts = append(parts, known)
	}
	if s := cell("size"); s != "" {
		if r.size, what = sized(s, in["size"]); what != "" {
			return what
		}
		parts = append(parts, r.size)
	}
	if s := cell("length"); s != "" {
		if r.length, what = long(s, in["length"]); what != "" {
			return what
		}
		parts = append(parts, r.length)
	}
	r.statement = strings.Join(parts, ", ")
	if strings.ContainsAny(r.statement, "\r\n#{}") {
		return "a name has a sign that no name can have"
	}
	f := syntax.Parse(source.NewFile("wires", r.statement+"\n"), nil)
	if i := slices.IndexFunc(f.Findings, func(f diag.Finding) bool { return f.Severity == diag.Error }); i >= 0 {
		return f.Findings[i].Message
	}
	return ""
}

// sized reads a cross-section: a number in the unit of the column, or with its own.
func sized(text, in string) (size, what string) {
	lower := strings.ToLower(text)
	if gauge, own := strings.CutPrefix(lower, "awg"); own || strings.HasSuffix(lower, "awg") || in == "awg" {
		gauge = strings.TrimSpace(strings.TrimSuffix(gauge, "awg"))
		if _, err := unit.ParseAWG(gauge); err != nil {
			return "", err.Error()
		}
		return gauge + " AWG", ""
	}
	for _, u := range [...]string{"mm2", "mm²", "sqmm", "mm^2"} {
		lower = strings.TrimSuffix(lower, u)
	}
	if n, ok := number(lower); ok {
		return n + " mm2", ""
	}
	return "", fmt.Sprintf("%q is no cross-section; write it in mm2 or as an AWG size", text)
}

// long reads a length: a number in the unit of the column, or with its own.
func long(text, in string) (length, what string) {
	lower := strings.ToLower(strings.TrimSpace(text))
	for _, u := range [...]string{"mm", "cm", "m"} {
		if rest, ok := strings.CutSuffix(lower, u); ok {
			lower, in = rest, u
			break
		}
	}
	n, ok := number(lower)
	if !ok || !slices.Contains([]string{"mm", "cm", "m"}, in) {
		return "", fmt.Sprintf("%q is no length; write it in mm, cm or m", text)
	}
	return n + " " + in, ""
}

// number reads a decimal above zero, with a point or a comma.
func number(text string) (string, bool) {
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !(x > 0) || math.IsInf(x, 0) || strings.Trim(text, "0123456789.") != "" {
		return "", false
	}
	return decimal(x), true
}
