package bands

import (
	"fmt"

	"pintle/checker/engine/interval"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func bandOverlap() rule.Rule {
	return rule.Rule{
		Name:     "band-overlap",
		Severity: diag.Error,
		Summary:  "two bands of one `bands` statement cover the same stretch",
		Why:      "in that stretch the description says two things at once, and a test on the vehicle can confirm only one",
		Doc:      pages.Of("band-overlap"),
		Fixable:  true,
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				for _, o := range b.cover.Overlaps {
					one, other := &b.Bands.Bands[o.One], &b.Bands.Bands[o.Other]
					twice := inUnit(o.Stretch, other.Lo.Unit)
					p.Report(diag.Finding{
						Fixes:    endBefore(one, other),
						Place:    span(other),
						Subject:  other.Path,
						Message:  fmt.Sprintf("%s and %s both claim %s", one.Name, other.Name, twice),
						Help:     "end the lower band where the upper one begins; the lower end of a band belongs to it, the upper end does not",
						Related:  []diag.Related{{Place: span(one), Note: "the other band"}},
						Evidence: stretch("claimed twice", twice, span(other)),
					})
				}
			}
		},
	}
}

// endBefore lets the lower of two bands end where the upper one begins, where that leaves no
// gap above.
func endBefore(a, b *model.Band) []diag.Fix {
	if b.Lo.N.Less(a.Lo.N) {
		a, b = b, a
	}
	if !a.Lo.N.Less(b.Lo.N) || b.Hi.N.Less(a.Hi.N) {
		return nil
	}
	title := fmt.Sprintf("let %s end at %s, where %s begins", a.Name, toWrite(b.Lo, a.Lo.Unit), b.Name)
	return []diag.Fix{{Title: title, Edits: []diag.Edit{reaching(a, a.Lo, b.Lo)}}}
}

func bandGap() rule.Rule {
	return rule.Rule{
		Name:     "band-gap",
		Severity: diag.Warning,
		Summary:  "a stretch of the quantity's range without a band",
		Why:      "nothing says what holds there, and a fault in an unnamed stretch is easily explained wrongly",
		Doc:      pages.Of("band-gap"),
		Fixable:  true,
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				for _, gap := range b.cover.Gaps {
					reportGap(p, b, gap)
				}
			}
		},
	}
}

func reportGap(p *rule.Pass, b partition, gap interval.Stretch) {
	line := b.quantity.Lo.Unit
	f := diag.Finding{
		Place:   b.NamePlace,
		Subject: b.Path,
		Key:     gap.Key(),
		Help:    "name the stretch with a band, or move the ends of its neighbours",
	}
	// The band that begins where the gap ends is where people look.
	var above *model.Band
	for i := range b.Bands.Bands {
		band := &b.Bands.Bands[i]
		switch {
		case band.Lo.N.Equal(gap.Hi.N) && !gap.HiIn:
			f.Place, line, above = span(band), band.Lo.Unit, band
		case band.Hi.N.Equal(gap.Lo.N):
			f.Related = append(f.Related, diag.Related{Place: span(band), Note: "the band below it ends here"})
		}
	}
	gap = inUnit(gap, line)
	f.Message = fmt.Sprintf("no band of %s covers %s", b.Name, gap)
	f.Evidence = stretch("covered by no band", gap, b.NamePlace)
	// Where the gap is the dead band of a threshold, the thing to write is known.
	for i := range p.Design.Thresholds {
		t := &p.Design.Thresholds[i]
		lo, hi, ok := deadBand(p.Design, t, b.quantity)
		if !ok || !lo.N.Less(gap.Hi.N) || !gap.Lo.N.Less(hi.N) {
			continue
		}
		dead := interval.Stretch{Lo: lo, Hi: hi}
		if lo.N.Less(gap.Lo.N) || gap.Hi.N.Less(hi.N) {
			widen(&f, b, gap, lo, hi)
			continue
		}
		shown := inUnit(dead, line)
		f.Related = append(f.Related, diag.Related{Place: t.SetsPlace,
			Note: fmt.Sprintf("between %s and %s %s keeps what it was", shown.Lo, shown.Hi, t.Path)})
		if !lo.N.Equal(gap.Lo.N) || !hi.N.Equal(gap.Hi.N) {
			// Beside the dead band nothing keeps: the neighbours reach up to it.
			f.Help = fmt.Sprintf("let its neighbours reach to %s and to %s, and name the stretch between, a dead band, with a band that keeps", shown.Lo, shown.Hi)
			continue
		}
		text := fmt.Sprintf("band %s: %s, keeps%s", freeName(b), rangeIn(dead, line), entering(b, t, gap))
		f.Help = fmt.Sprintf("name the stretch with a band that keeps: `%s`", text)
		if above == nil {
			continue
		}
		if e, ok := before(above, text); ok {
			f.Fixes = []diag.Fix{{Title: "write `" + text + "`", Edits: []diag.Edit{e}}}
		}
	}
	p.Report(f)
}

// widen proposes to let a band that keeps reach over a gap beside it, where both lie in one
// dead band.
func widen(f *diag.Finding, b partition, gap interval.Stretch, lo, hi unit.Value) {
	if gap.Lo.N.Less(lo.N) || hi.N.Less(gap.Hi.N) {
		return
	}
	for i := range b.Bands.Bands {
		k := &b.Bands.Bands[i]
		switch {
		case !k.Keeps || k.Lo.N.Less(lo.N) || hi.N.Less(k.Hi.N):
		case k.Lo.N.Equal(gap.Hi.N):
			to := toWrite(gap.Lo, k.Lo.Unit)
			f.Help = fmt.Sprintf("let %s begin at %s, where the dead band does", k.Name, to)
			f.Fixes = []diag.Fix{{Title: fmt.Sprintf("let %s begin at %s", k.Name, to), Edits: []diag.Edit{reaching(k, gap.Lo, k.Hi)}}}
		case k.Hi.N.Equal(gap.Lo.N):
			to := toWrite(gap.Hi, k.Hi.Unit)
			f.Help = fmt.Sprintf("let %s end at %s, where the dead band does", k.Name, to)
			f.Fixes = []diag.Fix{{Title: fmt.Sprintf("let %s end at %s", k.Name, to), Edits: []diag.Edit{reaching(k, k.Lo, gap.Hi)}}}
		}
	}
}

func bandInverted() rule.Rule {
	return rule.Rule{
		Name:     "band-inverted",
		Severity: diag.Error,
		Summary:  "a band's lower end lies above its upper end",
		Why:      "such a band covers nothing, so its claim is never checked",
		Doc:      pages.Of("band-inverted"),
		Fixable:  true,
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				for _, i := range b.cover.Inverted {
					band := &b.Bands.Bands[i]
					p.Report(diag.Finding{
						Place:   span(band),
						Subject: band.Path,
						Message: fmt.Sprintf("%s begins at %s and ends below that, at %s", band.Name, band.Lo, in(band.Hi, band.Lo.Unit)),
						Help:    "write the lower end first",
						Fixes:   turnRange(b, band),
					})
				}
			}
		},
	}
}

// turnRange writes the ends of a band the other way round, where no other band claims that
// stretch.
func turnRange(b partition, band *model.Band) []diag.Fix {
	for i := range b.Bands.Bands {
		if o := &b.Bands.Bands[i]; o != band && o.Lo.N.Less(band.Lo.N) && band.Hi.N.Less(o.Hi.N) {
			return nil
		}
	}
	return []diag.Fix{{Title: "write the lower end first", Edits: []diag.Edit{reaching(band, band.Hi, band.Lo)}}}
}

func bandEmpty() rule.Rule {
	return rule.Rule{
		Name:     "band-empty",
		Severity: diag.Error,
		Summary:  "a band begins and ends at the same value",
		Why:      "the upper end does not belong to a band, so such a band covers nothing",
		Doc:      pages.Of("band-empty"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				for _, i := range b.cover.Empty {
					band := &b.Bands.Bands[i]
					p.Report(diag.Finding{
						Place:   span(band),
						Subject: band.Path,
						Message: fmt.Sprintf("%s begins and ends at %s and holds nowhere", band.Name, band.Lo),
						Help:    "give it a stretch, or leave it out",
					})
				}
			}
		},
	}
}

func bandOutsideRange() rule.Rule {
	return rule.Rule{
		Name:     "band-outside-range",
		Severity: diag.Error,
		Summary:  "a band, a threshold or a comparison outside the quantity's range",
		Why:      "values outside the range never happen: either the range is too short, or a number is wrong",
		Doc:      pages.Of("band-outside-range"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			for _, b := range partitions.Of(p) {
				for _, beyond := range b.cover.Outside {
					band := &b.Bands.Bands[beyond.Band]
					p.Report(outside(span(band), band.Path, fmt.Sprintf("%s reaches over %s", band.Name, inUnit(beyond.Stretch, band.Lo.Unit)), b.quantity, band.Lo.Unit))
				}
			}
			comparisons(p)
		},
	}
}

// outside tells of what lies beyond the range of a quantity, in the unit of the line.
func outside(at diag.Place, subject, what string, q *model.Quantity, u unit.Unit) diag.Finding {
	return diag.Finding{
		Place:   at,
		Subject: subject,
		Message: fmt.Sprintf("%s, but %s runs from %s to %s", what, q.Path, in(q.Lo, u), in(q.Hi, u)),
		Help:    "correct the number, or widen the range of " + q.Path,
		Related: []diag.Related{{Place: q.NamePlace, Note: "its range"}},
	}
}

// comparisons finds values that a quantity or a reading is compared with and that it can
// never come to. The ends of bands are looked at as bands.
func comparisons(p *rule.Pass) {
	ends := map[diag.Place]bool{}
	for i := range p.Design.Bands {
		for k := range p.Design.Bands[i].Bands {
			band := &p.Design.Bands[i].Bands[k]
			band.In.Atoms(func(c *model.Cond) { ends[c.Place] = true })
		}
	}
	said := map[diag.Place]bool{}
	p.Design.EachCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			if c.Said != nil {
				return // it asks for something else, which is moved by this comparison
			}
			a := &c.Atom
			q, r := model.QuantityID(model.None), model.ReadingID(model.None)
			switch a.Kind {
			case model.AtomQuantity:
				q = model.QuantityID(a.Index)
			case model.AtomReading:
				r = model.ReadingID(a.Index)
			default:
				return
			}
			if q, ok := quantityOf(p.Design, q, r); ok && !ends[c.Place] && !said[c.Place] {
				said[c.Place] = true
				x := &p.Design.Quantities[q]
				if !x.Broken && (a.Value.N.Less(x.Lo.N) || x.Hi.N.Less(a.Value.N)) {
					p.Report(outside(c.Place, x.Path, fmt.Sprintf("nothing is ever %s %s", a.Cmp, a.Value), x, a.Value.Unit))
				}
			}
		})
	})
}

// entering names the band beside a gap as which a band that keeps is entered: the one in which
// the threshold is clear, as it is at first.
func entering(b partition, t *model.Threshold, gap interval.Stretch) string {
	for i := range b.Bands.Bands {
		band := &b.Bands.Bands[i]
		if !band.Keeps && (t.Rising() && band.Hi.N.Equal(gap.Lo.N) || !t.Rising() && band.Lo.N.Equal(gap.Hi.N)) {
			return ", enters as " + band.Name
		}
	}
	return ""
}
