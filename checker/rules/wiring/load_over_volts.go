package wiring

import (
	"fmt"
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// How much more than its rated volts a load may get. Common practice, no source: a
// charging system of 14.4 V on loads for 12 V is 120 %, and 15 V at the top of a range
// 125 %; a filament at 140 % lasts for a hundredth of its life.
const (
	overNominal = 1.25 // at nominal volts
	farOver     = 1.50 // an error
	overTop     = 1.40 // with every supply at the top of its range
)

func loadOverVolts() rule.Rule {
	return rule.Rule{
		Name:         "load-over-volts",
		Severity:     diag.Error,
		Summary:      "a load that gets far more than its rated volts",
		Why:          "it burns out: a filament at once, a winding or a motor in minutes",
		Doc:          pages.Of("load-over-volts"),
		Source:       "common practice, no source",
		SuppressedBy: []string{"series-share"},
		Needs:        rule.States,
		Run: func(p *rule.Pass) {
			v := look(p)
			for i := range v.d.Loads {
				l := &v.d.Loads[i]
				if !l.Broken && l.Element != model.None && l.Rated > 0 && !v.d.Elsewhere(&l.Info) {
					v.overVolts(l)
				}
			}
		},
	}
}

// overVolts looks at one load: first at nominal volts, then at the top of the range.
func (v *view) overVolts(l *model.Load) {
	most := v.mostVolts(l.Element)
	for _, look := range [...]struct {
		at   circuit.Corner
		over float64
	}{{circuit.Nominal, overNominal}, {v.highest(), overTop}} {
		if most <= look.over*l.Rated {
			continue
		}
		m := ask.VoltsAcross(l.A, l.B)
		m.Element = l.Element
		got, ok := v.worst(v.at(look.at), &l.Info, m, look.over*l.Rated, v.lasting(l))
		if ok != ask.Yes {
			continue
		}
		f := diag.Finding{
			Place:   evidence.Site(v.d, &l.Info),
			Subject: l.Path,
			Message: fmt.Sprintf("%s is rated %s and gets %s%s, %.0f %% of that", l.Path, evidence.Volts(l.Rated), got.most(), v.with(look.at), 100*got.value/l.Rated),
			Numbers: evidence.Numbers(got.most()),
			Help:    "use one that is made for these volts, or drop the rest in series",
			Evidence: append([]diag.Evidence{way("current path", got.Solved, l.Element)},
				evidence.Moves("how it comes about", got.trace)...),
		}
		if look.at != circuit.Nominal || got.value <= farOver*l.Rated {
			f.Severity = diag.Warning
		}
		v.p.Report(f)
		return
	}
}

// lasting is where nothing is shorted, held against its spring or timed: what a load gets
// for seconds, as an ignition coil does while its engine is cranked or a glow plug at
// first, may be meant.
func (v *view) lasting(l *model.Load) system.Condition {
	all := []system.Condition{v.settled(l.A, l.B)}
	for i := range v.d.Timers {
		if t := &v.d.Timers[i]; !t.Broken && !t.InLast {
			all = append(all, system.Not(ask.Atom(model.Atom{Kind: model.AtomTimer, Index: i, In: []int{model.TimerRunning}})))
		}
	}
	return system.All(all...)
}

// mostVolts is more than an element can ever get, in V. Where the minus of every supply
// is held to ground, no point of the circuit lies above the plus of the highest one.
func (v *view) mostVolts(e model.ElementID) float64 {
	b := bounds.Of(v.p)
	if !b.groundIsLowest(e) {
		return b.span
	}
	most := 0.0
	for i := range v.d.Elements {
		if x := &v.d.Elements[i]; isSource(x) {
			most = math.Max(most, x.Volts.Max)
		}
	}
	return most
}
