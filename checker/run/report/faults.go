package report

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/question/diagnose"
	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lang/model"
)

// Faults is what the single faults of one design do.
type Faults struct {
	Design  *model.Design
	Rows    []fault.Row
	LeftOut []fault.LeftOut
	// Plan is how to find which of the faults it is that bring a symptom about; nil: not asked.
	Plan *diagnose.Plan
	// Protection is what protects each wire; nil: not asked.
	Protection []fault.WireProtection
}

// Only keeps the rows in which a requirement fails or a symptom shows, of each where it is
// named, those with the fewest moves first.
func (t *Faults) Only(claim, symptom string) {
	for _, ask := range [...]struct {
		name string
		of   func(*fault.Row) []fault.Effect
	}{{claim, func(r *fault.Row) []fault.Effect { return r.Claims }}, {symptom, func(r *fault.Row) []fault.Effect { return r.Symptoms }}} {
		if ask.name == "" {
			continue
		}
		moves := func(r *fault.Row) int {
			i := slices.IndexFunc(ask.of(r), func(e fault.Effect) bool { return e.Name == ask.name })
			if i < 0 {
				return -1
			}
			return len(ask.of(r)[i].Moves)
		}
		t.Rows = slices.DeleteFunc(t.Rows, func(r fault.Row) bool { return r.Tried && moves(&r) < 0 })
		slices.SortStableFunc(t.Rows, func(a, b fault.Row) int { return moves(&a) - moves(&b) })
		t.LeftOut, t.Protection = nil, nil
	}
}

// cautions stand above what is meant for the workshop.
const cautions = `Before you look for a fault: switch off, take the key out, secure the vehicle; part
the battery before you touch a feed; never bridge a fuse or fit a larger one. Work on
high voltage, air bags and brakes is for those who are licensed for it. Follow the
maker's instructions and local rules.`

// WriteFaults writes tables of faults as text, json or csv; moves reports whether text shows
// how each effect comes about.
func WriteFaults(w io.Writer, as string, tables []Faults, moves bool) error {
	out := bufio.NewWriter(w)
	var err error
	switch as {
	case "json":
		err = faultsJSON(out, tables)
	case "csv":
		err = faultsCSV(out, tables)
	default:
		for i := range tables {
			faultsText(out, &tables[i], moves)
		}
		fmt.Fprintf(out, "\n%s\n", cautions)
	}
	if err != nil {
		return err
	}
	return out.Flush()
}

func faultsText(out io.Writer, t *Faults, moves bool) {
	line := func(indent int, format string, args ...any) {
		fmt.Fprintf(out, "%*s%s\n", indent, "", escape.Line(fmt.Sprintf(format, args...)))
	}
	title := t.Design.Title
	if t.Design.Name != "" {
		title += ", " + t.Design.Name
	}
	line(0, "%s: single faults", title)
	if t.Plan != nil {
		planText(out, t)
	}
	last, tried, open, silent := "", 0, 0, 0
	for i := range t.Rows {
		r := &t.Rows[i]
		if r.Faults[0].Subject != last {
			last = r.Faults[0].Subject
			fmt.Fprintln(out)
			line(0, "%s", last)
		}
		line(2, "%s", r.Faults[0].Words)
		if len(r.Faults) > 1 {
			line(6, "alike: %s", strings.Join(words(r.Faults[1:]), ", "))
		}
		if !r.Tried {
			open++
			line(6, "not tried: the time was over; what it does is undecided")
			continue
		}
		tried++
		if said := protection(r); said != "" {
			line(6, "%s", said)
		}
		changes(line, r.Changes)
		effects(line, "no longer holds", r.Claims, moves)
		effects(line, "shows", r.Symptoms, moves)
		for _, o := range r.Open {
			line(6, "undecided: %s", o)
		}
		if r.Silent() && !r.Beyond && !r.Unprotected {
			silent++
			line(6, "silent: no requirement fails and no symptom shows")
		}
	}
	fmt.Fprintln(out)
	line(0, "%d groups of faults of the same effect tried, %d of them silent", tried, silent)
	if open > 0 {
		line(0, "%d not tried in the time given: undecided", open)
	}
	protectionText(line, t.Protection)
	if len(t.LeftOut) > 0 {
		line(0, "left out:")
		for _, l := range t.LeftOut {
			line(2, "%s: %s", l.Words, l.Why)
		}
	}
}

func words(fs []fault.Fault) []string {
	out := make([]string, len(fs))
	for i := range fs {
		out[i] = fs[i].Words
	}
	return out
}

// protection says which fuse opens for a short, or what the lack of one means; empty for what
// is no short.
func protection(r *fault.Row) string {
	said, c := "short", &r.Short
	if c.Most > 0 {
		said = "short of " + ampsOf(c, elseOn)
	}
	switch {
	case r.Unprotected:
		return said + ": unprotected, no fuse opens and the current flows until something burns"
	case r.Beyond:
		return said + ": it is not certain that a fuse opens, and what follows is not judged"
	case c.Most <= 0:
		return ""
	}
	return said + ": " + opensOf(c)
}

func effects(line func(int, string, ...any), how string, es []fault.Effect, moves bool) {
	for _, e := range es {
		text := e.Name
		if e.Text != "" {
			text += " (" + e.Text + ")"
		}
		line(6, "%s: %s", how, text)
		if !moves {
			continue
		}
		for _, l := range e.Moves {
			line(10, "%s", l.Text)
		}
	}
}

// changes says what stands otherwise, by operating states.
func changes(line func(int, string, ...any), cs []fault.Change) {
	var order []string
	by := map[string][]fault.Change{}
	for _, c := range cs {
		if by[c.When] == nil {
			order = append(order, c.When)
		}
		by[c.When] = append(by[c.When], c)
	}
	for _, when := range order {
		where := "with " + when
		switch when {
		case "always":
			where = "always"
		case "":
			where = "in some states"
		}
		line(6, "%s:", where)
		for _, c := range by[when] {
			if c.Lost {
				line(10, "no longer %s", c.What)
			} else {
				line(10, "now %s", c.What)
			}
		}
	}
}

// effectJSON and the like are the form of the output.
type effectJSON struct {
	Name  string   `json:"name"`
	Text  string   `json:"text,omitempty"`
	Moves []string `json:"moves,omitempty"`
}

type changeJSON struct {
	What string `json:"what"`
	How  string `json:"how"`
	When string `json:"when,omitempty"`
}

type rowJSON struct {
	Faults    []string     `json:"faults"`
	Steps     []string     `json:"steps"`
	Tried     bool         `json:"tried"`
	Silent    bool         `json:"silent"`
	Changes   []changeJSON `json:"changes,omitempty"`
	Claims    []effectJSON `json:"fails"`
	Symptoms  []effectJSON `json:"shows"`
	Amps      float64      `json:"short_amps,omitempty"`
	Least     float64      `json:"short_amps_least,omitempty"`
	Opens     []string     `json:"fuse_opens,omitempty"`
	Selective *bool        `json:"selective,omitempty"`
	Bare      bool         `json:"unprotected,omitempty"`
	Beyond    bool         `json:"not_judged_after_short,omitempty"`
	Undecided []string     `json:"undecided,omitempty"`
}

// faultsVersion is that of the form of the output: it grows when a field changes what it means.
const faultsVersion = 3

type tableJSON struct {
	Version int             `json:"version"`
	Title   string          `json:"title"`
	Design  string          `json:"design,omitempty"`
	Faults  []rowJSON       `json:"faults"`
	LeftOut []fault.LeftOut `json:"left_out,omitempty"`
	Plan    *planJSON       `json:"plan,omitempty"`
	// Protection is what protects each wire.
	Protection []wireJSON `json:"protection,omitempty"`
}

func rowOf(r *fault.Row) rowJSON {
	list := func(es []fault.Effect) []effectJSON {
		out := []effectJSON{}
		for _, e := range es {
			out = append(out, effectJSON{e.Name, e.Text, linesOf(e.Moves)})
		}
		return out
	}
	j := rowJSON{
		Faults: words(r.Faults), Tried: r.Tried, Silent: r.Silent() && !r.Beyond && !r.Unprotected, Claims: list(r.Claims), Symptoms: list(r.Symptoms),
		Amps: r.Short.Most, Least: r.Short.Least, Opens: r.Short.Opens, Bare: r.Unprotected, Beyond: r.Beyond, Undecided: r.Open,
	}
	for _, c := range r.Changes {
		how := "now"
		if c.Lost {
			how = "no longer"
		}
		j.Changes = append(j.Changes, changeJSON{c.What, how, c.When})
	}
	for i := range r.Faults {
		j.Steps = append(j.Steps, r.Faults[i].Step())
	}
	if r.Short.Most > 0 {
		is := r.Short.Selective()
		j.Selective = &is
	}
	return j
}

func linesOf(ls []diag.Line) (out []string) {
	for _, l := range ls {
		out = append(out, l.Text)
	}
	return out
}

func faultsJSON(out io.Writer, tables []Faults) error {
	doc := []tableJSON{}
	for i := range tables {
		t := &tables[i]
		j := tableJSON{Title: t.Design.Title, Design: t.Design.Name, Faults: []rowJSON{}, LeftOut: t.LeftOut, Plan: planOf(t), Version: faultsVersion, Protection: wiresJSON(t.Protection)}
		for k := range t.Rows {
			j.Faults = append(j.Faults, rowOf(&t.Rows[k]))
		}
		doc = append(doc, j)
	}
	text, err := json.MarshalIndent(doc, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s\n", escape.JSON(text))
	return err
}

func faultsCSV(out io.Writer, tables []Faults) error {
	w := csv.NewWriter(out)
	if err := w.Write([]string{"design", "fault", "like", "tried", "silent", "fails", "shows", "short A", "short A at least", "fuses in its path", "opens first", "selective", "unprotected", "undecided"}); err != nil {
		return err
	}
	names := func(es []fault.Effect) string {
		var out []string
		for _, e := range es {
			out = append(out, e.Name)
		}
		return strings.Join(out, " ")
	}
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return "no"
	}
	for i := range tables {
		for k := range tables[i].Rows {
			r := &tables[i].Rows[k]
			for n := range r.Faults {
				like := ""
				if n > 0 {
					like = r.Faults[0].Words
				}
				amps, least, selective := "", "", ""
				if r.Short.Most > 0 {
					amps, least, selective = fmt.Sprintf("%.3g", r.Short.Most), fmt.Sprintf("%.3g", r.Short.Least), yes(r.Short.Selective())
				}
				if err := w.Write([]string{
					tables[i].Design.Name, r.Faults[n].Words, like, yes(r.Tried), yes(r.Silent() && !r.Beyond && !r.Unprotected), names(r.Claims), names(r.Symptoms),
					amps, least, fusesOf(&r.Short), strings.Join(r.Short.Opens, " "), selective, yes(r.Unprotected), strings.Join(r.Open, "; "),
				}); err != nil {
					return err
				}
			}
		}
	}
	w.Flush()
	return w.Error()
}
