// Package evidence puts what the engines found into the form in which findings carry
// it: where a finding stands, the way of a current, the moves of a trace, numbers.
package evidence

import (
	"fmt"
	"math"

	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Site is where a finding about the surroundings of a thing stands: at the thing, or,
// where that lies inside something made of a part, where the part was put in place. What
// is wrong with a circuit is seldom wrong with a part.
func Site(d *model.Design, i *model.Info) diag.Place {
	place := i.NamePlace
	if place.IsZero() {
		place = i.Place
	}
	for f := i.Fit; f != model.None; f = d.Fits[f].Parent {
		if fit := &d.Fits[f]; fit.Part != "" && fit.Kind == "fit" {
			place = fit.Place
		}
	}
	return place
}

// OfPart reports whether a thing is inside something that was made of a part.
func OfPart(d *model.Design, i *model.Info) bool {
	for f := i.Fit; f != model.None; f = d.Fits[f].Parent {
		if d.Fits[f].Part != "" && d.Fits[f].Kind == "fit" {
			return true
		}
	}
	return false
}

// Thing is the path of what an element belongs to, as it is declared.
func Thing(d *model.Design, e *model.Element) string {
	switch e.Type {
	case model.ElemContact:
		return d.Contacts[e.Of].Path
	case model.ElemChart:
		return d.Charts[e.Of].Path
	case model.ElemDriver:
		return d.Drivers[e.Of].Path
	}
	return e.Path
}

// Way is what an element belongs to, and where that has several ways from where to where: a
// throw of a changeover, a join of a chart.
func Way(d *model.Design, id model.ElementID) string {
	e := &d.Elements[id]
	if !d.SeveralWays(id) {
		return Thing(d, e)
	}
	return fmt.Sprintf("%s (%s to %s)", Thing(d, e), d.Nodes[e.A].Path, d.Nodes[e.B].Path)
}

// Moves reports how a state is come to; nothing where nothing is known of it.
func Moves(title string, t *system.Trace) []diag.Evidence {
	if t == nil {
		return nil
	}
	lines := t.Lines()
	if len(lines) == 0 {
		lines = []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	return []diag.Evidence{{Kind: diag.Trace, Title: title, Lines: lines, State: StateOf(t)}}
}

// Passing reports how a state is come to that lasts no time: what is told ends there, and the
// moves lead on beyond it.
func Passing(title string, t *system.Trace) []diag.Evidence {
	out := Moves(title, t)
	for i := range out {
		out[i].State.Passing = true
	}
	return out
}

// Values are numbers, a line each.
func Values(title string, lines ...diag.Line) diag.Evidence {
	return diag.Evidence{Kind: diag.Values, Title: title, Lines: lines}
}

// Line speaks of a thing. The solved numbers among what it tells are carried with it.
func Line(i *model.Info, format string, args ...any) diag.Line {
	l := Text(format, args...)
	l.Place = i.Place
	return l
}

// Text is a line that speaks of no one thing; see Line.
func Text(format string, args ...any) diag.Line {
	return diag.Line{Text: fmt.Sprintf(format, args...), Numbers: Numbers(args...)}
}

// Numbers are the solved numbers among the arguments of a format.
func Numbers(args ...any) (out []diag.Number) {
	for _, a := range args {
		switch a := a.(type) {
		case diag.Number:
			out = append(out, a)
		case diag.Line:
			out = append(out, a.Numbers...)
		}
	}
	return out
}

// Amps writes the magnitude of a current.
func Amps(x float64) string { return unit.Format(math.Abs(x), unit.Current) }

// Volts writes the magnitude of a voltage.
func Volts(x float64) string { return unit.Format(math.Abs(x), unit.Voltage) }
