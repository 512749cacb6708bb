package evidence

import (
	"regexp"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
)

// fromTo finds the two ends of a statement such as `diode V1: a to b, drop 0.7 V`.
var fromTo = regexp.MustCompile(`^[^:]*:\s*([^\s,]+)\s+to\s+([^\s,]+)`)

// supplyFromTo finds those of a supply, which come behind its volts.
var supplyFromTo = regexp.MustCompile(`\bfrom\s+([^\s,]+)\s+to\s+([^\s,]+)`)

// TurnRound is the fix that changes over the two ends of what is declared from one node to
// another. There is none for what is made by a part, since others may be made of it, or where
// the two ends are not written side by side.
func TurnRound(d *model.Design, i *model.Info) []diag.Fix {
	if OfPart(d, i) || i.Place.IsZero() {
		return nil
	}
	text := i.Place.File.Text[i.Place.Start:i.Place.End]
	m := fromTo.FindStringSubmatchIndex(text)
	if i.Kind == "supply" {
		m = supplyFromTo.FindStringSubmatchIndex(text)
	}
	if m == nil {
		return nil
	}
	return []diag.Fix{{
		Title: "turn " + i.Name + " round",
		Edits: []diag.Edit{edit(i, m[2], m[3], text[m[4]:m[5]]), edit(i, m[4], m[5], text[m[2]:m[3]])},
	}}
}

// edit writes something in the place of a part of a statement.
func edit(i *model.Info, from, to int, with string) diag.Edit {
	return diag.Edit{Place: diag.Place{File: i.Place.File, Span: source.Span{Start: i.Place.Start + from, End: i.Place.Start + to}}, New: with}
}

// EndMoved is the edit that takes the one end of a wire or hose from a point to another one, both as
// their paths say; false where that end is written otherwise.
func EndMoved(d *model.Design, i *model.Info, from, to string) (diag.Edit, bool) {
	if OfPart(d, i) || i.Place.IsZero() {
		return diag.Edit{}, false
	}
	text := i.Place.File.Text[i.Place.Start:i.Place.End]
	m := fromTo.FindStringSubmatchIndex(text)
	if m == nil {
		return diag.Edit{}, false
	}
	for _, at := range [...][2]int{{m[2], m[3]}, {m[4], m[5]}} {
		if text[at[0]:at[1]] == from {
			return edit(i, at[0], at[1], to), true
		}
	}
	return diag.Edit{}, false
}
