package evidence

import (
	"context"

	"pintle/checker/drive"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Bounds on what Because tells: more nobody reads.
const (
	mostCauses = 10
	mostWays   = 2
)

// Because tells why a condition is not what is wanted in the state that a trace leads to:
// as a chain of causes, and of loads that run and should not, the way of their current.
// The trace is driven once more for this; nothing is told where a drive can't do all that
// it does, and so does not come to the same end.
func Because(ctx context.Context, t *system.Trace, c *model.Cond, want bool) []diag.Evidence {
	if t == nil || c == nil || !c.Known() {
		return nil
	}
	d := t.System.Design()
	way, _ := t.AsDrive("because")
	wanted := c
	if !want {
		wanted = model.Not(c)
	}
	if len(way.Steps) == 0 {
		way.Steps = []model.Step{{Info: model.Info{Fit: model.None}}}
	}
	last := &way.Steps[len(way.Steps)-1]
	last.Sees = []model.See{{Cond: wanted, When: model.AtEnd, Place: c.Place}}
	got, err := drive.Run(ctx, d, &way, drive.Options{Corner: t.System.Corner()})
	if err != nil || len(got.Failures) != 1 {
		return nil
	}
	f := got.Failures[0]
	var out []diag.Evidence
	if lines := f.Chain; len(lines) > 0 {
		out = append(out, diag.Evidence{Kind: diag.Chain, Title: "because", Lines: lines[:min(len(lines), mostCauses)]})
	}
	if want || f.Circuit == nil {
		return out
	}
	for _, e := range loadsOf(d, c, map[int]bool{}) {
		way, ok := f.Circuit.PathThrough(e)
		if !ok || len(out) > mostWays {
			continue
		}
		out = append(out, Path(d, "the way of the current through "+Thing(d, &d.Elements[e]), way))
	}
	return out
}

// loadsOf lists the loads and windings that a condition asks about by their volts, in the
// order of the text, also in the conditions that it names.
func loadsOf(d *model.Design, c *model.Cond, seen map[int]bool) (out []model.ElementID) {
	told := map[model.ElementID]bool{}
	c.Atoms(func(k *model.Cond) {
		switch a := &k.Atom; a.Kind {
		case model.AtomMeasure:
			if e := a.Measure.Element; e != model.None && !told[e] {
				told[e] = true
				out = append(out, e)
			}
		case model.AtomCondition:
			if !seen[a.Index] {
				seen[a.Index] = true
				out = append(out, loadsOf(d, d.Conditions[a.Index].Cond, seen)...)
			}
		}
	})
	return out
}
