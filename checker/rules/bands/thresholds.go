package bands

import (
	"fmt"
	"slices"

	"pintle/checker/engine/interval"
	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// deadBand is the stretch in which a threshold on a quantity keeps what it was, from the
// lower to the upper value. ok is false where there is none, or where the threshold
// could not be read or looks at something else.
func deadBand(d *model.Design, t *model.Threshold, q *model.Quantity) (lo, hi unit.Value, ok bool) {
	id, on := quantityOf(d, t.Quantity, t.Reading)
	if !on || t.Broken || &d.Quantities[id] != q {
		return lo, hi, false
	}
	lo, hi = t.Clears, t.Sets
	if !t.Rising() {
		lo, hi = hi, lo
	}
	return lo, hi, lo.N.Less(hi.N)
}

func thresholds(p *rule.Pass, f func(*model.Threshold)) {
	for i := range p.Design.Thresholds {
		if t := &p.Design.Thresholds[i]; !t.Broken {
			f(t)
		}
	}
}

// word is a comparison as a threshold's clause says it.
func word(c model.Cmp) string {
	return [...]string{model.Below: "below", model.AtMost: "at or below", model.Above: "above", model.AtLeast: "at or above"}[c]
}

func thresholdInverted() rule.Rule {
	return rule.Rule{
		Name:     "threshold-inverted",
		Severity: diag.Error,
		Summary:  "a threshold clears on the wrong side of where it sets",
		Why:      "between the two values it sets and clears at once, and whatever it switches flutters there",
		Doc:      pages.Of("threshold-inverted"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			thresholds(p, func(t *model.Threshold) {
				if !t.Overlaps() {
					return
				}
				p.Report(diag.Finding{
					Place:   t.ClearsPlace,
					Subject: t.Path,
					Message: fmt.Sprintf("%s sets %s %s and clears %s %s: in part of that it does both", t.Name,
						word(t.SetsCmp), in(t.Sets, t.Clears.Unit), word(t.ClearsCmp), t.Clears),
					Help:    "a threshold that sets on the way up must clear at a lower value, one that sets on the way down at a higher one",
					Related: []diag.Related{{Place: t.SetsPlace, Note: "it sets here"}},
				})
			})
		},
	}
}

func noDeadBand() rule.Rule {
	return rule.Rule{
		Name:     "no-dead-band",
		Severity: diag.Warning,
		Summary:  "a threshold that sets and clears at the same value, or a contact, driver or mode that compares a quantity with one value",
		Why:      "a quantity that moves continuously also jitters, and what it switches chatters",
		Doc:      pages.Of("no-dead-band"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			thresholds(p, func(t *model.Threshold) {
				if t.Overlaps() || !t.Sets.N.Equal(t.Clears.N) {
					return
				}
				p.Report(diag.Finding{
					Place:   t.ClearsPlace,
					Subject: t.Path,
					Message: fmt.Sprintf("%s sets and clears at %s, with nothing between", t.Name, t.Clears),
					Help:    "let it clear a little below where it sets (or above, on the way down)",
					Related: []diag.Related{{Place: t.SetsPlace, Note: "it sets here"}},
				})
			})
			bareComparisons(p)
		},
	}
}

func deadBandTooNarrow() rule.Rule {
	return rule.Rule{
		Name:     "dead-band-too-narrow",
		Severity: diag.Warning,
		Summary:  "a threshold's dead band is no wider than twice the accuracy of its sender",
		Why:      "within its accuracy the sender may read above one end and then below the other, though nothing moved",
		Doc:      pages.Of("dead-band-too-narrow"),
		Source:   "width of at least two to three times accuracy and noise: common practice, no source",
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			thresholds(p, func(t *model.Threshold) {
				if t.Reading == model.None || p.Design.Readings[t.Reading].Broken || t.Overlaps() || t.Sets.N.Equal(t.Clears.N) {
					return
				}
				width := apart(t.Clears, t.Sets)
				for _, id := range p.Design.Readings[t.Reading].Senders {
					s := &p.Design.Senders[id]
					if s.Broken || !s.HasAccuracy || width.N.Cmp(s.Accuracy.N.Mul(unit.Int(2))) > 0 {
						continue
					}
					p.Report(diag.Finding{
						Place:   t.ClearsPlace,
						Subject: t.Path,
						Message: fmt.Sprintf("the dead band of %s is %s wide, and the accuracy of %s is %s", t.Name, width, s.Path, in(s.Accuracy, width.Unit)),
						Help: fmt.Sprintf("make it wider than %s, or use a better sender",
							unit.DifferenceFromBase(s.Accuracy.N.Mul(unit.Int(2)), width.Unit)),
						Related: []diag.Related{{Place: t.SetsPlace, Note: "it sets here"}, {Place: s.NamePlace, Note: "the sender"}},
					})
					return
				}
			})
		},
	}
}

func deadBandUnnamed() rule.Rule {
	return rule.Rule{
		Name:     "dead-band-unnamed",
		Severity: diag.Warning,
		Summary:  "bands with a limit inside a threshold's dead band, and without a band that keeps",
		Why:      "between its two values the threshold keeps its state, so a band that claims one state there is wrong half of the time",
		Doc:      pages.Of("dead-band-unnamed"),
		Fixable:  true,
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				thresholds(p, func(t *model.Threshold) {
					lo, hi, ok := deadBand(p.Design, t, b.quantity)
					if ok {
						unnamed(p, b, t, lo, hi)
					}
				})
			}
		},
	}
}

// unnamed looks at one dead band from lo to hi. A partition is about a threshold if one
// of its lines lies in the dead band, ends included; one whose lines all lie elsewhere
// speaks of something else.
func unnamed(p *rule.Pass, b partition, t *model.Threshold, lo, hi unit.Value) {
	line, near, is := drawn(b, lo, hi)
	if !is {
		return
	}
	wrong := wrongWithin(p, b, lo, hi)
	if wrong == nil {
		return
	}
	dead := interval.Stretch{Lo: lo, Hi: hi}
	f := diag.Finding{
		Place:    span(line),
		Subject:  b.Path,
		Message:  fmt.Sprintf("%s begins inside the dead band of %s, %s to %s, which no band of %s names", line.Name, t.Path, in(lo, line.Lo.Unit), in(hi, line.Lo.Unit), b.Name),
		Help:     fmt.Sprintf("add `band %s: %s, keeps` and let its neighbours end there", freeName(b), rangeIn(dead, line.Lo.Unit)),
		Related:  []diag.Related{{Place: t.SetsPlace, Note: "the threshold"}, {Place: span(wrong.band), Note: "what it claims is not so in all of that"}},
		Evidence: evidence.Moves("to where it is not so", wrong.verdict.Trace),
	}
	if near != nil {
		f.Message = fmt.Sprintf("%s names a part of the dead band of %s only, which is %s to %s", near.Name, t.Path, in(lo, near.Lo.Unit), in(hi, near.Lo.Unit))
		f.Place = span(near)
		f.Help = fmt.Sprintf("let %s be %s, and its neighbours end there", near.Name, rangeIn(dead, near.Lo.Unit))
	}
	f.Fixes = nameDeadBand(b, t, near, dead)
	p.Report(f)
}

// nameDeadBand makes a partition name a dead band: the bands beside it end there, and one that
// keeps, near or a new one, is what lies between. There is none where that would leave a band
// without a stretch.
func nameDeadBand(b partition, t *model.Threshold, near *model.Band, dead interval.Stretch) []diag.Fix {
	var edits []diag.Edit
	var below, above *model.Band
	for i := range b.Bands.Bands {
		x := &b.Bands.Bands[i]
		switch {
		case x == near:
			edits = append(edits, reaching(x, dead.Lo, dead.Hi))
		case x.Hi.N.Less(dead.Lo.N) || dead.Hi.N.Less(x.Lo.N):
		case x.Keeps:
			return nil
		case x.Lo.N.Less(dead.Lo.N) && !dead.Hi.N.Less(x.Hi.N):
			below = x
			if !x.Hi.N.Equal(dead.Lo.N) {
				edits = append(edits, reaching(x, x.Lo, dead.Lo))
			}
		case dead.Hi.N.Less(x.Hi.N) && !x.Lo.N.Less(dead.Lo.N):
			above = x
			if !x.Lo.N.Equal(dead.Hi.N) {
				edits = append(edits, reaching(x, dead.Hi, x.Hi))
			}
		default:
			return nil
		}
	}
	if below == nil || above == nil {
		return nil
	}
	title := "let the bands beside it end where the dead band does"
	if near == nil {
		enters := below.Name // as the threshold is at first
		if !t.Rising() {
			enters = above.Name
		}
		text := fmt.Sprintf("band %s: %s, keeps, enters as %s", freeName(b), rangeIn(dead, above.Lo.Unit), enters)
		e, ok := before(above, text)
		if !ok {
			return nil
		}
		edits, title = append(edits, e), "write `"+text+"`, and let its neighbours end there"
	}
	return []diag.Fix{{Title: title, Edits: edits}}
}

// drawn is the band that begins inside a dead band from lo to hi, and one that keeps and names
// a part of it, if there is one; is reports whether the dead band is one that the partition is
// about and does not name.
func drawn(b partition, lo, hi unit.Value) (line, near *model.Band, is bool) {
	var named []interval.Stretch
	for i := range b.Bands.Bands {
		band := &b.Bands.Bands[i]
		if band.Keeps {
			named = append(named, interval.Stretch{Lo: band.Lo, Hi: band.Hi})
			if near == nil && band.Lo.N.Less(hi.N) && lo.N.Less(band.Hi.N) {
				near = band
			}
		}
		// The ends of the quantity's range are no lines that anybody drew.
		if line == nil && !band.Lo.N.Equal(b.quantity.Lo.N) && !band.Lo.N.Less(lo.N) && !hi.N.Less(band.Lo.N) {
			line = band
		}
	}
	// What nobody covers, band-gap tells of.
	return line, near, line != nil && !spans(append(named, b.cover.Gaps...), lo, hi)
}

// wrongWithin is a band that reaches into a dead band from lo to hi, other than one that keeps,
// and claims what does not hold throughout; nil where there is none. What claims nothing, or
// only what is so on both sides, is true there too.
func wrongWithin(p *rule.Pass, b partition, lo, hi unit.Value) *claim {
	all := claims.Of(p)
	for i := range all {
		if c := &all[i]; c.Bands == b.Bands && c.reachesInto(lo, hi) && c.verdict.Outcome == system.Fails {
			return c
		}
	}
	return nil
}

// reachesInto reports whether the band of a claim has a part of a stretch and does not keep.
func (c *claim) reachesInto(lo, hi unit.Value) bool {
	return !c.band.Keeps && c.band.Lo.N.Less(hi.N) && lo.N.Less(c.band.Hi.N)
}

// spans reports whether some stretches together reach from lo to hi.
func spans(ss []interval.Stretch, lo, hi unit.Value) bool {
	at := lo.N
	for moved := true; moved && at.Less(hi.N); {
		moved = false
		for _, s := range ss {
			if !at.Less(s.Lo.N) && at.Less(s.Hi.N) {
				at, moved = s.Hi.N, true
			}
		}
	}
	return !at.Less(hi.N)
}

// freeName is a name for a band between two others that the partition does not have yet.
func freeName(b partition) string {
	name := "between"
	for n := 2; slices.ContainsFunc(b.Bands.Bands, func(k model.Band) bool { return k.Name == name }); n++ {
		name = fmt.Sprintf("between%d", n)
	}
	return name
}

func thresholdNeverMoves() rule.Rule {
	return rule.Rule{
		Name:         "threshold-never-moves",
		Severity:     diag.Warning,
		Summary:      "a threshold that can never set, or can never clear",
		Why:          "what it switches is then always off, or stays on for good",
		Doc:          pages.Of("threshold-never-moves"),
		Needs:        rule.States,
		SuppressedBy: []string{"nothing-starts-it"},
		Everywhere:   true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return // a bench need not move everything
			}
			thresholds(p, func(t *model.Threshold) { neverMoves(p, t) })
		},
	}
}

func neverMoves(p *rule.Pass, t *model.Threshold) {
	s := p.System()
	mem := &p.Design.Memories[t.Memory]
	// A box without power, or an input without a sender, is the finding.
	if mem.Broken || t.Overlaps() || consequence.Unpowered(p, t.Controller) || consequence.Unread(p, t.Reading) {
		return
	}
	set, err := s.PossibleHere(p.Ctx, system.InState(t.Memory, 1))
	p.StopOn(err)
	switch set.Outcome {
	case system.Fails:
		if sets(p, t) || guards(p, t) {
			p.Clear(t.Path)
			return
		}
		if !outOfRange(p.Design, t) {
			f := diag.Finding{Place: t.SetsPlace, Subject: t.Path,
				Message: fmt.Sprintf("%s never sets, whatever is done from outside", t.Name),
				Help:    "check what it reads: the value that sets it is never reached"}
			unwired(p, t, &f)
			p.Report(f)
		}
		return
	case system.Undecided:
		p.UndecidedBy(t.NamePlace, t.Path, set)
		return
	case system.Unknown:
		return
	}
	clears, err := s.CanLeave(p.Ctx, system.InState(t.Memory, 1))
	p.StopOn(err)
	switch {
	case clears.Outcome == system.Fails && !outOfRange(p.Design, t) && !passes(p, t, 0):
		f := diag.Finding{Place: t.ClearsPlace, Subject: t.Path,
			Message: fmt.Sprintf("%s never clears again once it has set", t.Name),
			Help:    "check what it reads: the value that clears it is never reached"}
		if clears.Trace != nil {
			f.Evidence = []diag.Evidence{{Kind: diag.Trace, Title: "from here on it stays set", Lines: clears.Trace.Lines()}}
		}
		p.Report(f)
		return
	case clears.Outcome == system.Undecided:
		p.UndecidedBy(t.NamePlace, t.Path, clears)
		return
	}
	p.Clear(t.Path)
}

// guards reports whether a threshold on volts sets above all that the supplies are stated to give, and
// by no more than half of that: it is there for what is not to happen, as an over-voltage guard is.
func guards(p *rule.Pass, t *model.Threshold) bool {
	if t.Measure == nil || t.Measure.Kind != model.Volts && t.Measure.Kind != model.AbsVolts || !t.Rising() {
		return false
	}
	most := 0.0
	for i := range p.Design.Supplies {
		most = max(most, p.Design.Elements[p.Design.Supplies[i].Element].Volts.Max)
	}
	return t.Sets.Float64() >= most && t.Sets.Float64() <= 1.5*most
}

// sets reports whether a threshold that is set in no state at rest, at nominal values, sets
// after all: in the midst of settling, as one that trips what it watches, or with other volts
// or resistances that are stated.
func sets(p *rule.Pass, t *model.Threshold) bool {
	if passes(p, t, 1) {
		return true
	}
	got, err := p.System().Never(p.Ctx, system.InState(t.Memory, 1))
	p.StopOn(err)
	return got.Outcome != system.Holds
}

// passes reports whether a threshold is due to come to a state while things settle.
func passes(p *rule.Pass, t *model.Threshold, state int) bool {
	for _, r := range p.Design.Memories[t.Memory].Rules {
		if r.To != state {
			continue
		}
		is, err := p.System().Passes(p.Ctx, system.All(system.InState(t.Memory, 1-state), system.On(r.When)))
		p.StopOn(err)
		if is {
			return true
		}
	}
	return false
}

// outOfRange reports whether a value of a threshold lies where its quantity can't be,
// which is a finding of its own.
func outOfRange(d *model.Design, t *model.Threshold) bool {
	id, ok := quantityOf(d, t.Quantity, t.Reading)
	if !ok {
		return false
	}
	q := &d.Quantities[id]
	beyond := func(v unit.Value) bool { return v.N.Less(q.Lo.N) || q.Hi.N.Less(v.N) }
	return beyond(t.Sets) || beyond(t.Clears)
}
