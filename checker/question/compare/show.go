package compare

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// shown is how a difference can be seen.
type shown struct {
	moves []diag.Line
	// drive is a drive that passes on the old design and fails on the new one; empty: there is none.
	drive string
	// after is the same in the names of the new design, where those are others.
	after string
	note  string
}

// patience are the times in s that a drive may wait before it looks, beyond those of its moves.
var patience = [...]float64{0, 0.01, 0.1, 1}

// show looks for a drive that shows a difference, and runs it on both designs.
func (p *product) show(j *judged, f *found, name string) (shown, error) {
	var out shown
	if f.trace == nil {
		out.note = "no moves are known that lead there"
		return out, nil
	}
	out.moves = f.lines()
	if len(out.moves) == 0 {
		out.moves = []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	before, after := p.sees(j, f)
	if before == nil {
		out.note = "the old design has no words for what the new one does here"
		return out, nil
	}
	way, inexact := f.trace.AsDrive(name)
	for _, more := range patience {
		old := looking(&way, before, more)
		old.Choices = p.a.d.Choices
		passes, err := p.passes(p.a, &old)
		if err != nil {
			return out, err
		}
		if !passes {
			continue
		}
		fresh, can := p.mapped(&old)
		if !can {
			out.note = "the new design lacks something that this moves"
			return out, nil
		}
		fails := true
		if after != nil {
			fresh.Steps[len(fresh.Steps)-1].Sees = []model.See{{Cond: after, When: model.AtEnd}}
			if fails, err = p.passes(p.b, &fresh); err != nil {
				return out, err
			}
			fails = !fails
		}
		if !fails {
			continue
		}
		out.drive = system.DriveText(p.a.d, &old)
		if after != nil {
			fresh.Choices = p.b.d.Choices
			if text := system.DriveText(p.b.d, &fresh); text != out.drive {
				out.after = text
			}
		}
		return out, nil
	}
	switch {
	case slices.ContainsFunc(f.waits, func(s string) bool { return s != "" && !strings.HasSuffix(s, " is over") }):
		out.note = "no drive shows it: something moves that only the new design has"
	case len(inexact) > 0:
		out.note = "no drive shows it: " + inexact[0]
	default:
		out.note = "no drive was found that shows it"
	}
	return out, nil
}

// lines tells the moves of the trace, with what is over in the new design.
func (f *found) lines() []diag.Line {
	out := f.trace.Lines()
	const idle = "nothing moves from outside, the modes step again"
	at := 0
	for i := range out {
		if before, is := strings.CutSuffix(out[i].Text, idle); is && at < len(f.waits) {
			if f.waits[at] != "" {
				out[i].Text = before + f.waits[at]
			}
			at++
		}
	}
	return out
}

// sees are what a drive sees in the old design and not in the new one: in the words of each, nil
// where it has none.
func (p *product) sees(j *judged, f *found) (before, after *model.Cond) {
	find := func(o *output, name string) *model.Cond {
		i := slices.IndexFunc(o.ways, func(w wayOut) bool { return w.name == name })
		if i < 0 {
			return nil
		}
		return o.ways[i].seen
	}
	if f.was >= 0 {
		return j.old.ways[f.was].seen, find(j.new, j.old.ways[f.was].name)
	}
	c := find(j.old, j.new.ways[f.is].name)
	if c == nil {
		return nil, nil
	}
	return model.Not(c), model.Not(j.new.ways[f.is].seen)
}

// looking is a drive that sees a condition at its end, after some more time.
func looking(d *model.Drive, c *model.Cond, more float64) model.Drive {
	out := *d
	out.Steps = slices.Clone(d.Steps)
	if len(out.Steps) == 0 {
		out.Steps = []model.Step{{Info: model.Info{Fit: model.None}}}
	}
	last := &out.Steps[len(out.Steps)-1]
	last.Wait += more
	last.Sees = []model.See{{Cond: c, When: model.AtEnd}}
	return out
}

// passes reports whether a drive passes on a design, whatever the durations that are intervals.
func (p *product) passes(s *side, d *model.Drive) (bool, error) {
	for _, pace := range [...]scenario.Pace{scenario.Middle, scenario.Shortest, scenario.Longest} {
		r, err := scenario.Run(p.ctx, s.p.Design, d, scenario.Options{Pace: pace})
		if p.ctx.Err() != nil {
			return false, p.ctx.Err()
		}
		if err != nil || len(r.Failures) > 0 || len(r.Open) > 0 {
			return false, nil
		}
	}
	return true, nil
}

// driveName is the name of a drive that shows a difference: none that the designs have.
func (p *product) driveName(n int) string {
	name := "difference"
	taken := func(d *model.Design) bool {
		return slices.ContainsFunc(d.Drives, func(v model.Drive) bool { return strings.HasPrefix(v.Name, name+"_") })
	}
	for taken(p.a.d) || taken(p.b.d) {
		name += "_"
	}
	return fmt.Sprintf("%s_%d", name, n)
}
