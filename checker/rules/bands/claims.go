package bands

import (
	"fmt"
	"slices"

	"pintle/checker/engine/system"
	is "pintle/checker/question/claim"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// claim is what came of the claim of one band.
type claim struct {
	partition
	band    *model.Band
	answer  is.Answer
	verdict system.Verdict
	// edge is the only value at which the claim does not hold, where there is just one.
	edge *unit.Value
}

// claims decides what every band claims, once for both rules that speak of it.
var claims = rule.Share(func(p *rule.Pass) []claim {
	var out []claim
	for _, b := range partitions.Of(p) {
		for i := range b.Bands.Bands {
			band := &b.Bands.Bands[i]
			if band.Claim == nil || !band.Claim.Known() || !b.While.Known() ||
				slices.Contains(b.cover.Inverted, i) || slices.Contains(b.cover.Empty, i) {
				continue
			}
			a := is.Band(p, b.index, i)
			c := claim{partition: b, band: band, answer: a, verdict: a.Verdict}
			if a.Standing == is.Failed {
				c.edge = onlyEdge(p, b, band)
			}
			out = append(out, c)
		}
	}
	return out
})

// onlyEdge finds the one end of a band at which its claim fails while it holds
// everywhere else in the band.
func onlyEdge(p *rule.Pass, b partition, band *model.Band) *unit.Value {
	for _, at := range []unit.Value{band.Lo, band.Hi} {
		// The quantity is not at this end.
		elsewhere := model.Or(b.compared(model.Below, at), b.compared(model.Above, at))
		v, err := p.Protected().Whenever(p.Ctx, system.On(band.Claim), system.On(model.And(b.While, band.In, elsewhere)))
		p.StopOn(err)
		if v.Outcome == system.Holds && !v.Vacuous {
			return &at
		}
	}
	return nil
}

func bandContradicted() rule.Rule {
	return rule.Rule{
		Name:     "band-contradicted",
		Severity: diag.Error,
		Summary:  "a band claims something that the circuit and the logic do not do",
		Why:      "whoever tests the vehicle by this description will call a good circuit faulty, or a faulty one good",
		Doc:      pages.Of("band-contradicted"),
		Needs:    rule.States,
		Claims:   true,
		Run: func(p *rule.Pass) {
			for _, c := range claims.Of(p) {
				contradicted(p, c)
			}
		},
	}
}

func contradicted(p *rule.Pass, c claim) {
	words := p.Design.Words(c.band.Claim)
	f := diag.Finding{Place: c.band.Claim.Place, Subject: c.band.Path}
	if f.Place.IsZero() {
		f.Place = c.band.NamePlace
	}
	switch v := c.verdict; {
	case v.Outcome == system.Fails && c.edge != nil:
		return // edge-mismatch says it
	case v.Outcome == system.Fails && onlyInDeadBand(p, c):
		return // dead-band-unnamed says it
	case v.Outcome == system.Fails:
		f.Message = fmt.Sprintf("%s claims that %s, and that can be false", c.band.Name, words)
		f.Help = "follow the moves; then correct the claim, the ends of the band, or the circuit"
	case c.answer.Standing == is.Nominal:
		f.Severity = diag.Warning
		f.Message = fmt.Sprintf("%s claims that %s, which holds for nominal values only: not with %s", c.band.Name, words, v.Corner)
		f.Help = "give the switching more margin, or state the limits closer"
		if !v.Offsets.Exact() && c.Reading == model.None {
			f.Help = "let the bands speak of what the controller reads, `over BOX.INPUT`, or leave room for the sender's accuracy between the bands"
		}
	case c.answer.Standing == is.Vacuous && !p.Design.Bench:
		f.Severity = diag.Warning
		f.Message = fmt.Sprintf("the claim of %s was never put to the test: %s never comes to lie there%s", c.band.Name, c.quantity.Path, while(p, c))
		f.Help = "check the condition after `while`, and the assumptions"
	case c.answer.Standing == is.Undecided:
		p.UndecidedClaim(f.Place, c.band.Path, c.answer.Why, evidence.Unsettled(p.Ctx, v)...)
		return
	default:
		return
	}
	f.Evidence = evidence.Moves("", c.verdict.Trace)
	if c.verdict.Outcome == system.Fails {
		f.Evidence = append(f.Evidence, evidence.Because(p.Ctx, c.verdict.Trace, c.band.Claim, true)...)
	}
	f.Related = []diag.Related{{Place: span(c.band), Note: "the band"}}
	p.Report(f)
}

// onlyInDeadBand reports whether a claim that fails does so only where a threshold has a dead
// band that the partition does not name.
func onlyInDeadBand(p *rule.Pass, c claim) bool {
	only := false
	thresholds(p, func(t *model.Threshold) {
		lo, hi, ok := deadBand(p.Design, t, c.quantity)
		if !ok || only || !c.reachesInto(lo, hi) {
			return
		}
		if _, _, unnamed := drawn(c.partition, lo, hi); !unnamed {
			return
		}
		outside := model.Or(c.compared(model.Below, lo), c.compared(model.AtLeast, hi))
		v, err := p.System().Whenever(p.Ctx, system.On(c.band.Claim), system.On(model.And(c.While, c.band.In, outside)))
		p.StopOn(err)
		only = v.Outcome == system.Holds
	})
	return only
}

// compared is where what a partition is over lies on one side of a value.
func (b partition) compared(c model.Cmp, at unit.Value) *model.Cond {
	a := model.Atom{Kind: model.AtomQuantity, Index: int(b.Quantity), Cmp: c, Value: at}
	if b.Reading != model.None {
		a.Kind, a.Index = model.AtomReading, int(b.Reading)
	}
	return &model.Cond{Op: model.CondAtom, Atom: a, Place: b.Place}
}

func while(p *rule.Pass, c claim) string {
	if c.While == nil {
		return ""
	}
	return " while " + p.Design.Words(c.While)
}

func edgeMismatch() rule.Rule {
	return rule.Rule{
		Name:     "edge-mismatch",
		Severity: diag.Warning,
		Summary:  "the claim of a band fails at exactly one value, one of its ends",
		Why:      "at that one value the description and the vehicle differ; usually a threshold says `above` where it should say `at`, or the other way round",
		Doc:      pages.Of("edge-mismatch"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			for _, c := range claims.Of(p) {
				if c.edge == nil {
					continue
				}
				f := diag.Finding{
					Place:   span(c.band),
					Subject: c.band.Path,
					Message: fmt.Sprintf("%s claims that %s, which is false at exactly %s", c.band.Name, p.Design.Words(c.band.Claim), in(*c.edge, c.band.Lo.Unit)),
					Help:    "a band includes its lower end and not its upper one; let the threshold do the same (`sets at` and `clears below` on the way up)",
				}
				f.Evidence = evidence.Moves("", c.verdict.Trace)
				p.Report(f)
			}
		},
	}
}

func deadBandEntry() rule.Rule {
	return rule.Rule{
		Name:     "dead-band-entry",
		Severity: diag.Warning,
		Summary:  "a band that keeps can be entered from no other band",
		Why:      "when the key is turned with the quantity already there, nothing says what holds",
		Doc:      pages.Of("dead-band-entry"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				if b.Memory == model.None || !b.While.Known() {
					continue
				}
				for i := range b.Bands.Bands {
					if band := &b.Bands.Bands[i]; band.Keeps && band.EntersAs == model.None {
						entry(p, b, band)
					}
				}
			}
		},
	}
}

func entry(p *rule.Pass, b partition, band *model.Band) {
	none := len(b.Bands.Bands)
	v, err := p.System().PossibleHere(p.Ctx, system.All(system.InState(b.Memory, none), system.On(model.And(b.While, band.In))))
	p.StopOn(err)
	switch v.Outcome {
	case system.Undecided:
		p.UndecidedBy(band.NamePlace, band.Path, v)
	case system.Holds, system.HoldsNominally:
		f := diag.Finding{
			Place:   band.NamePlace,
			Subject: band.Path,
			Message: fmt.Sprintf("%s keeps the band that came before, and can be entered from no band", band.Name),
			Help:    "say how it is entered: `enters as BAND`",
		}
		f.Evidence = evidence.Moves("", v.Trace)
		p.Report(f)
	}
}
