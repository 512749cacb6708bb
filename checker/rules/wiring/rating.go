package wiring

import (
	"cmp"
	"slices"

	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// rated is what a wire may carry; see [ask.MayCarry].
func (v *view) rated(w *model.Wire) (ask.Rating, bool) { return ask.MayCarry(v.p, w) }

// ratedWire is a wire with what it may carry.
type ratedWire struct {
	*model.Wire
	may ask.Rating
}

// alike are wires that one line of the text declares, with one rating.
type alike []ratedWire

func (a alike) name() string {
	if len(a) == 1 {
		return a[0].Path
	}
	return a[0].Path + " to " + a[len(a)-1].Path
}

// byLine puts the wires that one line declares together, in the order of the first of each.
func byLine(ws []ratedWire) []alike {
	var out []alike
	for _, w := range ws {
		i := slices.IndexFunc(out, func(a alike) bool { return a[0].Place == w.Place && a[0].may == w.may })
		if i < 0 {
			out = append(out, alike{w})
		} else {
			out[i] = append(out[i], w)
		}
	}
	return out
}

// ratings reports what wires may carry, and once by which table.
func ratings(ws []ratedWire, before ...diag.Line) diag.Evidence {
	lines, source := before, ""
	for _, a := range byLine(ws) {
		lines = append(lines, evidence.Line(&a[0].Info, "%s: %s, %s", a.name(), a[0].may, a[0].may.From))
		source = cmp.Or(source, a[0].may.Source)
	}
	if source != "" {
		lines = append(lines, diag.Line{Text: "the table: " + source})
	}
	return evidence.Values("rated current", lines...)
}

// usualFuses are the ratings in which fuses for vehicles are sold, in A: blade fuses by ISO
// 8820-3, bolted ones by ISO 8820-5 (from memory).
var usualFuses = []float64{1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500}

// fuseUpTo is the largest usual fuse of at most so many ampere (of less, if most is set), or
// that value where there is none.
func fuseUpTo(amps float64, most bool) float64 {
	for _, f := range slices.Backward(usualFuses) {
		if f < amps || f == amps && !most {
			return f
		}
	}
	return amps
}

// fuseFrom is the smallest usual fuse of at least so many ampere, or that value.
func fuseFrom(amps float64) float64 {
	for _, f := range usualFuses {
		if f >= amps {
			return f
		}
	}
	return amps
}
