package run

import (
	"context"
	"math/big"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/fault"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/checker/question/claim"
	"pintle/checker/question/drives"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// countNodes bounds the work of counting states for the summary, in decision nodes: a
// number that is nice to know must not cost more than the findings.
const countNodes = 200_000

// tally counts what the engines were asked about one design.
func (s *Summary) tally(ctx context.Context, p *rule.Pass, w *costs) {
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
			if w.claims() && !p.Design.Requirements[i].Broken {
				s.Claims.Undecided++
			}
			continue
		}
		a := claim.Answer{Standing: claim.Undecided}
		if err := p.Ask(func(p *rule.Pass) { a = claim.Requirement(p, i) }); err != nil {
			a.Why = err.Error()
		}
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
		case !ok && w.claims() && !p.Design.Notices[i].Broken:
			s.Claims.Undecided++
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
	} else if w.claims() {
		for i := range p.Design.Drives {
			if d := &p.Design.Drives[i]; !d.Broken && rule.MeantFor(d, p.Design) {
				s.Drives++
				s.DrivesUndecided++
				s.Undecided = append(s.Undecided, d.Path+": "+budget.Stopped(ctx).Why)
			}
		}
	}
}

// drives counts the drives of one design, each once, whatever the paces.
func (s *Summary) drives(d *model.Design, runs []rule.DriveRun) {
	for i := range d.Drives {
		if !rule.MeantFor(&d.Drives[i], d) {
			continue
		}
		s.Drives++
		o := drives.Judge(d, i, runs)
		switch standing, why := o.Standing(); standing {
		case drives.Missed:
			s.DrivesFailed++
		case drives.Undecided:
			s.DrivesUndecided++
			s.Undecided = append(s.Undecided, d.Drives[i].Path+": "+why)
		}
	}
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
