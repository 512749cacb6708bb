package run

import (
	"context"
	"errors"
	"math/big"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/checker/question/claim"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// countNodes bounds the work of counting states for the summary, in decision nodes: a
// number that is nice to know must not cost more than the findings.
const countNodes = 200_000

// tally counts what the engines were asked about one design.
func (s *Summary) tally(ctx context.Context, p *rule.Pass) {
	if p.Design == nil {
		return
	}
	t := p.Tally()
	if t.System != nil {
		if n := states(ctx, t.System, p.Limits.Nodes); n != nil {
			if s.States == nil {
				s.States = new(big.Int)
			}
			s.States.Add(s.States, n)
		}
	}
	for i := range p.Design.Requirements {
		if _, decided := t.Verdicts[i]; !decided {
			continue
		}
		a := claim.Requirement(p, i)
		if p.Design.Requirements[i].Despite {
			r, tried := t.Despite[i]
			a = despite(p, i, a, r, tried)
		}
		s.Claims.add(a.Standing)
		if a.Standing == claim.Proved && p.Design.Requirements[i].With.But != nil {
			s.Claims.Excepting++
		}
		if r := t.Despite[i]; a.Standing == claim.Proved && len(r.Unprotected)+len(r.Beyond) > 0 {
			s.Claims.Unprotected++
		}
	}
	for i := range p.Design.Notices {
		switch n, ok := t.Noticed[i]; {
		case !ok:
		case n.Outcome == fault.Fails:
			s.Claims.Failed++
		case n.Outcome == fault.Holds && n.Tried > 0:
			s.Claims.Proved++
			if len(n.Beyond) > 0 {
				s.Claims.Unprotected++
			}
			if p.Design.Notices[i].But != nil {
				s.Claims.Excepting++
			}
		case n.Tried == 0:
			s.Claims.Vacuous++
		default:
			s.Claims.Undecided++
		}
	}
	if t.Drove {
		s.drives(p.Design, t.Drives)
	}
}

// drives counts the runs of the drives of one design, each drive once, whatever the paces. It
// returns which failed, and why others are undecided.
func (s *Summary) drives(d *model.Design, runs []rule.DriveRun) (failed map[int]bool, open map[int]string) {
	failed, open = map[int]bool{}, map[int]string{}
	for _, r := range runs {
		failed[r.Drive] = failed[r.Drive] || r.Err != nil && errors.Is(r.Err, scenario.ErrHunts) || len(r.Failures) > 0
		switch {
		case r.Err != nil && open[r.Drive] == "":
			open[r.Drive] = r.Err.Error()
		case len(r.Open) > 0 && open[r.Drive] == "":
			open[r.Drive] = r.Open[0].Why
		}
	}
	s.Drives += len(failed)
	for i := range d.Drives {
		switch f, ran := failed[i]; {
		case d.Drives[i].Broken && rule.MeantFor(&d.Drives[i], d):
			s.Drives++
			s.DrivesUndecided++
			s.Undecided = append(s.Undecided, d.Drives[i].Path+": it could not be read in full")
		case !ran:
		case f:
			s.DrivesFailed++
		case open[i] != "":
			s.DrivesUndecided++
			s.Undecided = append(s.Undecided, d.Drives[i].Path+": "+open[i])
		}
	}
	return failed, open
}

// states counts the reachable states; nil if that is more work than it is worth.
func states(ctx context.Context, s *system.System, limit int) *big.Int {
	most := countNodes
	if limit > 0 {
		most = min(most, limit) // no more than was looked at
	}
	e, err := reach.New(s.Reach(), reach.Options{MaxNodes: most})
	if err != nil {
		return nil
	}
	x, err := e.States(ctx)
	if err != nil {
		return nil
	}
	return x.States
}

// add counts one claim.
func (c *Claims) add(s claim.Standing) {
	switch s {
	case claim.Proved:
		c.Proved++
	case claim.Vacuous:
		c.Vacuous++
	case claim.Nominal:
		c.Nominal++
	case claim.Failed:
		c.Failed++
	default:
		c.Undecided++
	}
}
