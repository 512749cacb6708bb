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

// WriteCompare writes a comparison as text, markdown or json.
func WriteCompare(w io.Writer, as string, r *run.CompareResult) error {
	switch as {
	case "json":
		return compareJSON(w, r)
	case "markdown":
		return compareMarkdown(w, r)
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
	if len(f.Findings) > 0 {
		t.line(0, "findings")
		for _, c := range f.Findings {
			t.line(2, "%s: %d before, %d now", c.Rule, c.Old, c.New)
		}
	}
}

func (t compareText) design(d *run.ComparedDesign) {
	if d.Why != "" {
		t.line(0, "undecided: %s", d.Why)
		return
	}
	switch compared := fmt.Sprintf("%s compared, %s", count(d.Outputs, "output"), within(&d.Result)); {
	case d.Result.Same():
		t.line(0, "the same in behaviour: %s", compared)
	case len(d.Differences)+len(d.Gained)+len(d.Lost)+len(d.Inputs) == 0:
		t.line(0, "undecided: no difference was found, and none was ruled out; %s", compared)
	default:
		t.line(0, "different in behaviour: %s", compared)
	}
	for _, in := range d.Inputs {
		t.line(2, "%s", in)
	}
	for _, l := range d.Durations {
		t.line(2, "%s", l)
	}
	for _, l := range append(outputLines("only the old design has the", d.Lost), outputLines("only the new design has the", d.Gained)...) {
		t.line(2, "%s", l)
	}
	for i := range d.Differences {
		if d.Differences[i].As < 0 {
			t.difference(d.Differences, i)
		}
	}
	for _, o := range d.Open {
		t.line(2, "undecided: %s", openText(&o))
	}
	t.list("claims", len(d.Claims), func(i int) string { return claimText(&d.Claims[i]) })
	t.list("values and joins", len(d.Changes), func(i int) string { return changeText(&d.Changes[i]) })
	t.list("renamed", len(d.Renamed), func(i int) string { return renameText(&d.Renamed[i]) })
}

func (t compareText) list(head string, n int, line func(int) string) {
	if n == 0 {
		return
	}
	fmt.Fprintln(t)
	t.line(0, "%s", head)
	for i := range n {
		t.line(2, "%s", line(i))
	}
}

func openText(o *compare.Open) string {
	return fmt.Sprintf("%s %s%s: %s", o.Kind, o.Name, withCorner(o.Corner), o.Why)
}

func renameText(r *compare.Rename) string {
	return fmt.Sprintf("%s %s is %s now", r.Kind, r.Old, r.New)
}

// claimText says what became of a claim.
func claimText(c *run.ClaimChange) string {
	name := c.Kind + " " + c.Name
	stands := func(v *run.Verdict) string {
		out := v.Said()
		if v.Corner != "" {
			out += ", with " + v.Corner
		}
		if v.Why != "" {
			out += " (" + v.Why + ")"
		}
		return out
	}
	switch {
	case c.Old == nil:
		return fmt.Sprintf("%s is new: %s", name, stands(c.New))
	case c.New == nil:
		return fmt.Sprintf("%s is gone: %s before", name, stands(c.Old))
	}
	if c.New.Name != c.Old.Name {
		name += " (now " + c.New.Name + ")"
	}
	out := name + ": "
	if c.Reworded {
		out += fmt.Sprintf("says something else: it was `%s`, and is `%s`; ", c.OldText, c.NewText)
	}
	if c.Stands() == run.StandsAsBefore {
		return out + stands(c.Old) + ", as before"
	}
	word := map[run.Standing]string{run.Stronger: "stronger: ", run.Weaker: "weaker: ", run.Otherwise: ""}[c.Stands()]
	return out + word + stands(c.Old) + " before, " + stands(c.New) + " now"
}

// changeText says how a value or a join changed.
func changeText(c *compare.Change) string {
	name := c.Kind + " " + c.Name
	switch {
	case c.What == "" && c.Old == "":
		return name + " is new: " + c.New
	case c.What == "":
		return name + " is gone: it was " + c.Old
	case c.Old == "":
		return fmt.Sprintf("%s: %s: not stated before, %s now", name, c.What, c.New)
	case c.New == "":
		return fmt.Sprintf("%s: %s: %s before, not stated now", name, c.What, c.Old)
	}
	return fmt.Sprintf("%s: %s: %s before, %s now", name, c.What, c.Old, c.New)
}

// difference tells a difference with those that are there in the same states. The drive of the first
// that has one shows them all.
func (t compareText) difference(all []compare.Difference, at int) {
	d := &all[at]
	fmt.Fprintln(t)
	t.line(2, "%s", headline(d))
	for i := range all {
		if all[i].As == at {
			t.line(2, "%s", headline(&all[i]))
			if d.Drive == "" && all[i].Drive != "" {
				d = &all[i]
			}
		}
	}
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
	if r.Corners == 0 {
		return "the two are the same to the last word"
	}
	if r.Corners > 1 {
		return "at nominal values and with the supplies at both ends of their ranges"
	}
	return "at nominal values"
}
