package evidence

import (
	"regexp"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
)

// fromTo finds the two ends of a statement such as `diode V1: a to b, drop 0.7 V`.
var fromTo = regexp.MustCompile(`^[^:]*:\s*([^\s,]+)\s+to\s+([^\s,]+)`)

// TurnRound is the fix that changes over the two ends of what is declared from one node to
// another. There is none for what is made by a part, since others may be made of it, or where
// the two ends are not written side by side.
func TurnRound(d *model.Design, i *model.Info) []diag.Fix {
	if OfPart(d, i) || i.Place.IsZero() {
		return nil
	}
	text := i.Place.File.Text[i.Place.Start:i.Place.End]
	m := fromTo.FindStringSubmatchIndex(text)
	if m == nil {
		return nil
	}
	edit := func(from, to int, with string) diag.Edit {
		return diag.Edit{Place: diag.Place{File: i.Place.File, Span: source.Span{Start: i.Place.Start + from, End: i.Place.Start + to}}, New: with}
	}
	return []diag.Fix{{
		Title: "turn " + i.Name + " round",
		Edits: []diag.Edit{edit(m[2], m[3], text[m[4]:m[5]]), edit(m[4], m[5], text[m[2]:m[3]])},
	}}
}
