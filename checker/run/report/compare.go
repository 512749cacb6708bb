package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pintle/checker/question/compare"
	"pintle/checker/run"
)

// compareVersion is that of the JSON output, whose schema is compare.schema.json.
const compareVersion = 1

// WriteCompare writes a comparison as text or json.
func WriteCompare(w io.Writer, as string, r *run.CompareResult) error {
	if as == "json" {
		return compareJSON(w, r)
	}
	out := bufio.NewWriter(w)
	t := compareText{askText{out}}
	for i := range r.Files {
		if i > 0 {
			fmt.Fprintln(out)
		}
		t.file(&r.Files[i])
	}
	return out.Flush()
}

type compareText struct{ askText }

func (t compareText) file(f *run.ComparedFile) {
	switch {
	case f.Old == "":
		t.line(0, "%s is new", f.New)
		return
	case f.New == "":
		t.line(0, "%s is gone", f.Old)
		return
	}
	t.line(0, "%s", f.Title)
	t.line(0, "old: %s, new: %s", f.Old, f.New)
	for i := range f.Designs {
		d := &f.Designs[i]
		fmt.Fprintln(t)
		if len(f.Designs) > 1 || d.Design != "" {
			t.line(0, "%s:", d.Design)
		}
		t.design(d)
	}
}

func (t compareText) design(d *run.ComparedDesign) {
	if d.Why != "" {
		t.line(0, "undecided: %s", d.Why)
		return
	}
	switch compared := fmt.Sprintf("%d outputs compared, %s", d.Outputs, within(&d.Result)); {
	case d.Same():
		t.line(0, "the same in behaviour: %s", compared)
	case len(d.Differences)+len(d.Gained)+len(d.Lost)+len(d.Inputs) == 0:
		t.line(0, "undecided: no difference was found, and none was ruled out; %s", compared)
	default:
		t.line(0, "different in behaviour: %s", compared)
	}
	for _, in := range d.Inputs {
		t.line(2, "%s", in)
	}
	for _, o := range d.Lost {
		t.line(2, "the old design alone has the %s %s", o.Kind, o.Name)
	}
	for _, o := range d.Gained {
		t.line(2, "the new design alone has the %s %s", o.Kind, o.Name)
	}
	for i := range d.Differences {
		t.difference(&d.Differences[i])
	}
	for _, o := range d.Open {
		t.line(2, "%s %s: undecided%s: %s", o.Kind, o.Name, withCorner(o.Corner), o.Why)
	}
}

func (t compareText) difference(d *compare.Difference) {
	fmt.Fprintln(t)
	t.line(2, "%s", headline(d))
	t.line(4, "%s", whereText(d))
	for _, m := range texts(d.Moves) {
		t.line(6, "%s", m)
	}
	if d.Note != "" {
		t.line(4, "%s", d.Note)
	}
	if d.Drive == "" {
		return
	}
	t.line(4, "this drive passes on the old design and fails on the new one:")
	for line := range strings.Lines(d.Drive) {
		t.line(6, "%s", strings.TrimRight(line, "\n"))
	}
	if d.DriveAfter != "" {
		t.line(4, "in the names of the new design:")
		for line := range strings.Lines(d.DriveAfter) {
			t.line(6, "%s", strings.TrimRight(line, "\n"))
		}
	}
}

// headline says what differs.
func headline(d *compare.Difference) string {
	name := d.Kind + " " + d.Name
	if d.NewName != "" {
		name += " (now " + d.NewName + ")"
	}
	switch {
	case d.Was == "":
		return fmt.Sprintf("%s: is %s now, as it was not", name, d.Is)
	case d.Is == "":
		return fmt.Sprintf("%s: was %s, is not now", name, d.Was)
	}
	return fmt.Sprintf("%s: was %s, is %s now", name, d.Was, d.Is)
}

// whereText says in which states.
func whereText(d *compare.Difference) string {
	out := "whatever is moved"
	switch d.With {
	case "":
		out = "in more states than one condition says"
	case "always":
	default:
		out = "with " + d.With
	}
	switch {
	case d.Sure:
	case d.When != "":
		out += ", where " + d.When
		if strings.HasPrefix(d.When, "after ") {
			out = strings.Replace(out, ", where ", ", ", 1)
		}
	default:
		out += ", depending on what came before"
	}
	return out + withCorner(d.Corner)
}

func withCorner(corner string) string {
	if corner == "" {
		return ""
	}
	return " (with " + corner + ")"
}

// within says how far the comparison goes.
func within(r *compare.Result) string {
	if r.Corners > 1 {
		return "at nominal values and with the supplies at both ends of their ranges"
	}
	return "at nominal values"
}

// The layout of the JSON output.
type (
	compareDocument struct {
		Version  int           `json:"version"`
		Same     bool          `json:"same"`
		Files    []compareFile `json:"files"`
		Failures []failureJSON `json:"failures"`
	}
	compareFile struct {
		Old     string          `json:"old,omitempty"`
		New     string          `json:"new,omitempty"`
		Title   string          `json:"title,omitempty"`
		Designs []compareDesign `json:"designs"`
	}
	compareDesign struct {
		Design      string              `json:"design,omitempty"`
		Outcome     string              `json:"outcome"`
		Why         string              `json:"why,omitempty"`
		Outputs     int                 `json:"outputs"`
		Corners     int                 `json:"corners"`
		Inputs      []string            `json:"inputs"`
		Lost        []compareOutput     `json:"lost"`
		Gained      []compareOutput     `json:"gained"`
		Differences []compareDifference `json:"differences"`
		Undecided   []compareOpen       `json:"undecided"`
	}
	compareOutput struct {
		Kind string `json:"kind"`
		Name string `json:"name"`
	}
	compareOpen struct {
		compareOutput
		Corner string `json:"corner,omitempty"`
		Why    string `json:"why"`
	}
	compareDifference struct {
		compareOutput
		NewName    string   `json:"new_name,omitempty"`
		Was        string   `json:"was,omitempty"`
		Is         string   `json:"is,omitempty"`
		With       string   `json:"with,omitempty"`
		Sure       bool     `json:"sure"`
		When       string   `json:"when,omitempty"`
		Corner     string   `json:"corner,omitempty"`
		Moves      []string `json:"moves"`
		Drive      string   `json:"drive,omitempty"`
		DriveAfter string   `json:"drive_in_new_names,omitempty"`
		Note       string   `json:"note,omitempty"`
	}
)

func compareJSON(w io.Writer, r *run.CompareResult) error {
	out := compareDocument{Version: compareVersion, Same: r.Same(), Files: []compareFile{}, Failures: []failureJSON{}}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for i := range r.Files {
		f := &r.Files[i]
		one := compareFile{Old: f.Old, New: f.New, Title: f.Title, Designs: []compareDesign{}}
		for k := range f.Designs {
			one.Designs = append(one.Designs, comparedJSON(&f.Designs[k]))
		}
		out.Files = append(out.Files, one)
	}
	return encodeJSON(w, out, "  ")
}

func comparedJSON(d *run.ComparedDesign) compareDesign {
	out := compareDesign{
		Design: d.Design, Outcome: outcomeOf(d), Why: d.Why, Outputs: d.Outputs, Corners: d.Corners, Inputs: append([]string{}, d.Inputs...),
		Lost: outputsJSON(d.Lost), Gained: outputsJSON(d.Gained), Differences: []compareDifference{}, Undecided: []compareOpen{},
	}
	for i := range d.Differences {
		x := &d.Differences[i]
		out.Differences = append(out.Differences, compareDifference{
			compareOutput: compareOutput(x.Output), NewName: x.NewName, Was: x.Was, Is: x.Is, With: x.With, Sure: x.Sure, When: x.When,
			Corner: x.Corner, Moves: texts(x.Moves), Drive: x.Drive, DriveAfter: x.DriveAfter, Note: x.Note,
		})
	}
	for _, o := range d.Open {
		out.Undecided = append(out.Undecided, compareOpen{compareOutput(o.Output), o.Corner, o.Why})
	}
	return out
}

// outcomeOf is the outcome in one word: same, different, undecided.
func outcomeOf(d *run.ComparedDesign) string {
	switch {
	case d.Why == "" && d.Same():
		return "same"
	case len(d.Differences)+len(d.Gained)+len(d.Lost)+len(d.Inputs) == 0:
		return "undecided"
	}
	return "different"
}

func outputsJSON(os []compare.Output) []compareOutput {
	out := []compareOutput{}
	for _, o := range os {
		out = append(out, compareOutput(o))
	}
	return out
}
