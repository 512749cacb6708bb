package action

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/interval"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// partition is a `bands` of the document with its place in the text.
type partition struct {
	d        *model.Design
	bands    *model.Bands
	quantity *model.Quantity
	stmt     *syntax.Stmt
	rows     []*syntax.Stmt // one for each band
	cover    interval.Coverage
}

// partitionsHere finds the bands that the stretch touches, that could be read in full and
// whose ends are written as they are: not as names of arguments.
func (a *actor) partitionsHere() ([]partition, error) {
	st := a.f.At(a.r.Span.Start)
	for st != nil && (st.Kind == nil || st.Kind.ID != schema.Bands) {
		st = st.Parent
	}
	if st == nil || !st.HasBody || st.Broken || st.Span.End == st.BodySpan.End {
		return nil, nil
	}
	read, err := a.v.Read(a.ctx)
	if err != nil {
		return nil, err
	}
	for _, d := range read.Designs {
		for i := range d.Bands {
			b := &d.Bands[i]
			if b.NamePlace.File == nil || b.NamePlace.File.Name != a.f.Src.Name || b.NamePlace.Start != st.Name().Start {
				continue
			}
			if p, ok := a.partition(d, b, st); ok {
				return []partition{p}, nil
			}
		}
	}
	return nil, nil
}

func (a *actor) partition(d *model.Design, b *model.Bands, st *syntax.Stmt) (partition, bool) {
	p := partition{d: d, bands: b, stmt: st}
	q := b.Quantity
	if q == model.None && b.Reading != model.None {
		q = d.Readings[b.Reading].Quantity
	}
	if q == model.None || b.Broken || d.Quantities[q].Broken {
		return p, false
	}
	p.quantity = &d.Quantities[q]
	var stretches []interval.Band
	for i := range b.Bands {
		x := &b.Bands[i]
		row := a.f.At(x.NamePlace.Start)
		if x.Broken || row == nil || row.Kind == nil || row.Kind.ID != schema.Band || row.Parent != st {
			return p, false
		}
		r := row.Clause(schema.BandRange)
		if r == nil || r.Quantity("range") == nil || r.Quantity("range").Param != nil || r.Quantity("range").HiParam != nil {
			return p, false
		}
		p.rows = append(p.rows, row)
		stretches = append(stretches, interval.Band{Lo: x.Lo, Hi: x.Hi})
	}
	var err error
	p.cover, err = interval.Cover(p.quantity.Lo, p.quantity.Hi, stretches)
	return p, err == nil
}

// rangeText writes a stretch as the range of a band, its unit once where it can be.
func rangeText(lo, hi unit.Value) string {
	if lo.Unit == hi.Unit && !lo.Unit.IsAWG() {
		return lo.Written.String() + " to " + hi.String()
	}
	return lo.String() + " to " + hi.String()
}

// free is a name that no band has yet.
func (p *partition) free(word string) string {
	name := word
	for n := 2; slices.ContainsFunc(p.bands.Bands, func(b model.Band) bool { return b.Name == name }); n++ {
		name = fmt.Sprintf("%s_%d", word, n)
	}
	return name
}

// of lists the findings of a rule about the partition, to be cleared.
func (p *partition) of(rule string, all []diag.Finding, about func(diag.Finding) bool) []diag.Finding {
	var out []diag.Finding
	for _, f := range all {
		if f.Rule == rule && (f.Subject == p.bands.Path || strings.HasPrefix(f.Subject, p.bands.Path+".")) && about(f) {
			out = append(out, f)
		}
	}
	return out
}

// kept tells, for the dead band of a threshold on the quantity, from where to where it is,
// and in which neighbour a quantity stands that has been in none: with a threshold that
// is clear at first, on the side on which it clears.
func (p *partition) kept(t *model.Threshold) (lo, hi unit.Value, below, ok bool) {
	q := t.Quantity
	if q == model.None && t.Reading != model.None {
		q = p.d.Readings[t.Reading].Quantity
	}
	if q == model.None || t.Broken || &p.d.Quantities[q] != p.quantity {
		return lo, hi, false, false
	}
	lo, hi = t.Clears, t.Sets
	if !t.Rising() {
		lo, hi = hi, lo
	}
	set := t.Memory != model.None && p.d.Memories[t.Memory].Start == 1
	return lo, hi, t.Rising() != set, lo.N.Less(hi.N)
}

// bandsForGaps offers a band for each stretch that no band covers: one that keeps, where a
// threshold keeps what it was throughout the stretch.
func (a *actor) bandsForGaps() error {
	list, err := a.partitionsHere()
	if err != nil {
		return err
	}
	for _, p := range list {
		for _, gap := range p.cover.Gaps {
			a.bandForGap(p, gap)
		}
	}
	return nil
}

// mended reports whether a finding that an action would clear comes with a fix of its own: then
// that is the action.
func (a *actor) mended(rule string, clears []diag.Finding) bool {
	return slices.ContainsFunc(clears, func(f diag.Finding) bool { return f.Rule == rule && len(f.Fixes) > 0 })
}

func (a *actor) bandForGap(p partition, gap interval.Stretch) {
	lower, upper := -1, -1
	for i, b := range p.bands.Bands {
		if b.Hi.N.Equal(gap.Lo.N) && !b.Keeps {
			lower = i
		}
		if b.Lo.N.Equal(gap.Hi.N) && !b.Keeps {
			upper = i
		}
	}
	line := "band " + p.free("between") + ": " + rangeText(gap.Lo, gap.Hi)
	title := "Name " + rangeText(gap.Lo, gap.Hi) + " with a band"
	for i := range p.d.Thresholds {
		lo, hi, below, ok := p.kept(&p.d.Thresholds[i])
		if !ok || gap.Lo.N.Less(lo.N) || hi.N.Less(gap.Hi.N) {
			continue
		}
		title += " that keeps, as " + p.d.Thresholds[i].Name + " does"
		line += ", keeps"
		switch {
		case below && lower >= 0:
			line += ", enters as " + p.bands.Bands[lower].Name
		case !below && upper >= 0:
			line += ", enters as " + p.bands.Bands[upper].Name
		}
		break
	}
	clears := p.of("band-gap", a.r.Findings, func(f diag.Finding) bool { return f.Key == gap.Key() })
	if a.mended("band-gap", clears) {
		return
	}
	x := Action{Title: title, Kind: RefactorRewrite, Clears: clears}
	if len(clears) > 0 {
		x.Kind, x.Preferred = QuickFix, true
	}
	a.offer(x, a.newBand(p, gap, line))
}

// newBand puts the line of a band where it belongs in the order of the values.
func (a *actor) newBand(p partition, s interval.Stretch, line string) diag.Edit {
	src, nl := a.f.Src, ide.Newline(a.f.Src)
	for i, b := range p.bands.Bands {
		if b.Lo.N.Equal(s.Hi.N) {
			if lines, ok := ide.WholeLines(src, p.rows[i].Span); ok {
				return ide.Insert(src, ide.WithDocs(src, lines.Start), ide.LineIndent(src, p.rows[i].Span.Start)+line+nl)
			}
		}
	}
	for i, b := range p.bands.Bands {
		if b.Hi.N.Equal(s.Lo.N) {
			if lines, ok := ide.WholeLines(src, p.rows[i].Span); ok {
				return ide.Insert(src, lines.End, ide.LineIndent(src, p.rows[i].Span.Start)+line+nl)
			}
		}
	}
	return insertInside(a.f, p.stmt, line)
}

// deadBands offers a band that keeps for the dead band of each threshold that the
// partition draws a line through: its neighbours then end where it begins.
func (a *actor) deadBands() error {
	list, err := a.partitionsHere()
	if err != nil {
		return err
	}
	for _, p := range list {
		for i := range p.d.Thresholds {
			a.deadBand(p, &p.d.Thresholds[i])
		}
	}
	return nil
}

func (a *actor) deadBand(p partition, t *model.Threshold) {
	lo, hi, below, ok := p.kept(t)
	if !ok || len(p.cover.Gaps)+len(p.cover.Overlaps)+len(p.cover.Inverted)+len(p.cover.Empty) > 0 {
		return
	}
	// Exactly two bands meet in it, and both reach beyond it.
	lower, upper := -1, -1
	for k, b := range p.bands.Bands {
		if !b.Lo.N.Less(hi.N) || !lo.N.Less(b.Hi.N) {
			// Bands that begin or end at its ends are neighbours all the same.
			if b.Hi.N.Equal(lo.N) && lower < 0 {
				lower = k
			} else if b.Lo.N.Equal(hi.N) && upper < 0 {
				upper = k
			}
			continue
		}
		switch {
		case b.Keeps:
			return
		case b.Lo.N.Less(lo.N) && !hi.N.Less(b.Hi.N):
			lower = k
		case hi.N.Less(b.Hi.N) && !b.Lo.N.Less(lo.N):
			upper = k
		default:
			return
		}
	}
	if lower < 0 || upper < 0 || !p.bands.Bands[lower].Hi.N.Equal(p.bands.Bands[upper].Lo.N) {
		return
	}
	enters := p.bands.Bands[lower].Name
	if !below {
		enters = p.bands.Bands[upper].Name
	}
	line := "band " + p.free("between") + ": " + rangeText(lo, hi) + ", keeps, enters as " + enters
	var edits []diag.Edit
	set := func(k int, lo, hi unit.Value) {
		q := p.rows[k].Clause(schema.BandRange).Quantity("range")
		if b := &p.bands.Bands[k]; !b.Lo.N.Equal(lo.N) || !b.Hi.N.Equal(hi.N) {
			edits = append(edits, ide.Replace(a.f.Src, q.Span, rangeText(lo, hi)))
		}
	}
	set(lower, p.bands.Bands[lower].Lo, lo)
	set(upper, hi, p.bands.Bands[upper].Hi)
	// Between the two, in whichever order they are written.
	at, ok := ide.WholeLines(a.f.Src, p.rows[upper].Span)
	if !ok {
		return
	}
	where := ide.WithDocs(a.f.Src, at.Start)
	if p.rows[upper].Span.Start < p.rows[lower].Span.Start {
		where = at.End
	}
	edits = append(edits, ide.Insert(a.f.Src, where, ide.LineIndent(a.f.Src, p.rows[upper].Span.Start)+line+ide.Newline(a.f.Src)))
	clears := p.of("dead-band-unnamed", a.r.Findings, func(f diag.Finding) bool {
		return slices.ContainsFunc(f.Related, func(r diag.Related) bool { return ide.SamePlace(r.Place, t.SetsPlace) })
	})
	if a.mended("dead-band-unnamed", clears) {
		return
	}
	x := Action{Title: "Name the dead band of " + t.Name + ", " + rangeText(lo, hi), Kind: RefactorRewrite, Clears: clears}
	if len(clears) > 0 {
		x.Kind, x.Preferred = QuickFix, true
	}
	a.offer(x, edits...)
}

// namedIn reports whether a name stands for something in a scope or around it.
func namedIn(s *name.Scope, word string) bool { return s != nil && s.Lookup(word) != nil }

// spanOf is the text of a span.
func spanOf(src *source.File, s source.Span) string { return src.Text[s.Start:s.End] }
