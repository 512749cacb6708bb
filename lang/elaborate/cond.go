package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// scene is where a condition stands, and what may be named in it.
type scene struct {
	y *body
	// owner is the thing whose condition it is.
	owner *model.Info
	// acts: it decides what a controller does, which then may name only what the
	// controller reads and what it has itself.
	acts bool
}

// condition lowers the condition in a slot; nil stands for always.
func (b *builder) condition(s scene, c clause, role string) *model.Cond {
	if c == nil {
		return nil
	}
	k := c.Cond(role)
	if k == nil {
		return &model.Cond{Op: model.CondUnknown, Place: diag.Place{File: s.y.scope.File.Src, Span: c.Span}}
	}
	return b.lower(s, k)
}

func (s scene) place(span source.Span) diag.Place {
	return diag.Place{File: s.y.scope.File.Src, Span: span}
}

// lower turns a condition of the text into one of the model.
func (b *builder) lower(s scene, c *syntax.Cond) *model.Cond {
	place := s.place(c.Span)
	switch c.Op {
	case syntax.CondAlways:
		return &model.Cond{Op: model.CondTrue, Place: place}
	case syntax.CondTest:
		return b.test(s, c)
	case syntax.CondAnd, syntax.CondOr:
		kids := b.lowerKids(s, c)
		join := model.And
		if c.Op == syntax.CondOr {
			join = model.Or
		}
		return at(join(kids...), place)
	case syntax.CondNot:
		return at(model.Not(b.lower(s, c.Kids[0])), place)
	case syntax.CondFor, syntax.CondInLast:
		return b.lowerDuration(s, c)
	case syntax.CondBegins, syntax.CondEnds, syntax.CondStays:
		return b.lowerEdge(s, c)
	}
	return unknownAt(place)
}

// at gives a condition that has just been made its place.
func at(c *model.Cond, place diag.Place) *model.Cond {
	if c.Place == place {
		return c
	}
	d := *c
	d.Place = place
	return &d
}

// said notes how the design says a condition, `SUBJECT ENDING`, where it reads otherwise once
// it is lowered.
func said(c *model.Cond, subject, ending string) *model.Cond {
	if c.Op == model.CondUnknown || ending == "" {
		return c
	}
	d := *c
	d.Said = &model.Said{Yes: subject + ending, No: "not " + subject + ending}
	if of, made, ok := c.Standing(); ok {
		d.Said.Of, d.Said.Made = of, made
	}
	return &d
}

// ending is what a condition says of its subject, with the space before it: ` is lit`; ""
// where it is not written in one piece.
func (s scene) ending(c *syntax.Cond) string {
	text := s.y.scope.File.Src.Text[c.Subject.Span.End:c.Span.End]
	if strings.ContainsAny(text, "#\n\r") {
		return ""
	}
	return text
}

// between keeps the words of what is lowered to two comparisons.
func (s scene) between(c *syntax.Cond, path string, lowered *model.Cond) *model.Cond {
	if c.Pred != syntax.PredBetween {
		return lowered
	}
	return said(lowered, path, s.ending(c))
}

func unknownAt(place diag.Place) *model.Cond {
	return &model.Cond{Op: model.CondUnknown, Place: place}
}

func atom(place diag.Place, a model.Atom) *model.Cond {
	return &model.Cond{Op: model.CondAtom, Atom: a, Place: place}
}

func settingIn(id model.SettingID, place diag.Place, in ...int) *model.Cond {
	return atom(place, model.Atom{Kind: model.AtomSetting, Index: int(id), In: in})
}

func memoryIs(id model.MemoryID, place diag.Place, in ...int) *model.Cond {
	return atom(place, model.Atom{Kind: model.AtomMemory, Index: int(id), In: in})
}

func measureIs(m model.Measure, c model.Cmp, level model.Param, place diag.Place) *model.Cond {
	return atom(place, model.Atom{Kind: model.AtomMeasure, Measure: m, Cmp: c, Level: level})
}

// test lowers what is said of one subject.
func (b *builder) test(s scene, c *syntax.Cond) *model.Cond {
	place := s.place(c.Span)
	switch c.Subject.Kind {
	case syntax.SubjectEvery, syntax.SubjectAny:
		group, path, ok := b.groupOf(s.y, c.Subject.A)
		if !ok {
			return unknownAt(place)
		}
		kids := make([]*model.Cond, len(group))
		for i := range group {
			kids[i] = b.testOne(s, c, i)
		}
		join, word := model.And, "every "
		if c.Subject.Kind == syntax.SubjectAny {
			join, word = model.Or, "any "
		}
		return said(at(join(kids...), place), word+path, s.ending(c))
	case syntax.CurrentThrough, syntax.VoltsBetween, syntax.VoltsAt:
		m, dim, ok := b.measure(s, &c.Subject)
		if !ok || !b.comparison(s, c, thing{}) {
			return unknownAt(place)
		}
		return b.compare(s, c, dim, func(cmp model.Cmp, q syntax.Quantity) *model.Cond {
			return measureIs(m, cmp, param(q, place), place)
		})
	}
	return b.testOne(s, c, -1)
}

// testOne is for one thing, the number-th of a group if that is not negative.
func (b *builder) testOne(s scene, c *syntax.Cond, number int) *model.Cond {
	place := s.place(c.Span)
	ref := c.Subject.A
	t, ok := b.resolveEach(s.y, ref, number)
	if !ok || !b.mayName(s, ref, t) {
		return unknownAt(place)
	}
	if i := b.infoOf(t.entity); i != nil && i.Broken && t.kind != schema.Fit {
		return unknownAt(place)
	}
	switch c.Pred {
	case syntax.PredTrue:
		return b.testTrue(s, c, t)
	case syntax.PredIs, syntax.PredIsNot, syntax.PredIsAnyOf:
		is := b.testIs(s, c, t)
		if c.Pred == syntax.PredIsNot {
			return at(model.Not(is), place)
		}
		return is
	}
	return b.testCompare(s, c, t)
}

// mayName reports whether a condition may name a thing: what decides what a controller
// does may only name what belongs to the controller.
func (b *builder) mayName(s scene, ref *syntax.Ref, t thing) bool {
	if !s.acts || t.kind == schema.Option {
		return true
	}
	own := t.home == s.y
	switch t.kind {
	case schema.Input, schema.Driver, schema.Threshold, schema.Timer, schema.Beat, schema.Condition, schema.Modes, schema.Result, schema.Bands:
		if own {
			return true
		}
	}
	b.actsOnlyOnWhatItReads(s, ref, t)
	return false
}

func (b *builder) actsOnlyOnWhatItReads(s scene, ref *syntax.Ref, t thing) {
	f := diag.Finding{
		Rule: "wrong-kind", Place: s.place(ref.Span), Subject: s.owner.Path,
		Message: "a controller acts only on what it reads, and `" + ref.String() + "` is " + article(wordOf(t)) + " outside of it",
		Why:     "the controller would know something that no wire brings to it, and a loose wire would never matter",
		Help:    "give the controller an input that reads it, and name the input here",
		Related: declaredHere(t),
	}
	switch t.kind {
	case schema.Quantity:
		f.Help = "let a sender put it on a wire and read that: input NAME: at PIN, reads sender, counts as … while disconnected"
	case schema.Setting, schema.Contact, schema.Coil, schema.Armature, schema.Node, aWay, schema.Load:
		f.Help = "read the volts that it puts on a pin: input NAME: at PIN, reads volts, low below 1.5 V, high above 3.5 V"
	}
	b.report(s.y, nil, f)
}

// comparison reports a measured subject of which nothing is compared.
func (b *builder) comparison(s scene, c *syntax.Cond, t thing) bool {
	switch c.Pred {
	case syntax.PredAbove, syntax.PredBelow, syntax.PredAtLeast, syntax.PredAtMost, syntax.PredBetween:
		return true
	}
	b.wrong(s.y, c.Span, t, "a measured value is compared with another", "write above, below, at least, at most or between with a value")
	return false
}

// compare lowers a comparison, checking that both sides are of one dimension.
func (b *builder) compare(s scene, c *syntax.Cond, dim unit.Dim, make func(model.Cmp, syntax.Quantity) *model.Cond) *model.Cond {
	place := s.place(c.Span)
	if c.Value == nil {
		return unknownAt(place)
	}
	q, ok := b.fillQuantity(s.y, c.Value, nil)
	if !ok || !b.sameDim(s.y, c.Value, q.Value, dim) {
		return unknownAt(place)
	}
	switch c.Pred {
	case syntax.PredBetween:
		hi := q
		hi.Value, hi.Ranged = q.Hi, false
		if !q.Ranged || !b.sameDim(s.y, c.Value, q.Hi, dim) {
			return unknownAt(place)
		}
		if !b.inOrder(s.y, c.Value, &q, betweenSlot) {
			return unknownAt(place)
		}
		q.Ranged = false
		return at(model.And(make(model.AtLeast, q), make(model.Below, hi)), place)
	case syntax.PredAbove:
		return make(model.Above, q)
	case syntax.PredBelow:
		return make(model.Below, q)
	case syntax.PredAtLeast:
		return make(model.AtLeast, q)
	case syntax.PredAtMost:
		return make(model.AtMost, q)
	}
	return unknownAt(place)
}

// betweenSlot is what `between` takes.
var betweenSlot = &schema.Slot{Role: "range", Type: schema.SlotQuantity, Shape: schema.Pair, Limit: schema.Signed, Order: schema.Rising}

func (b *builder) testCompare(s scene, c *syntax.Cond, t thing) *model.Cond {
	place := s.place(c.Span)
	switch t.kind {
	case schema.Quantity:
		q := &b.d.Quantities[t.id]
		return s.between(c, q.Path, b.compare(s, c, q.Lo.Dim(), func(cmp model.Cmp, v syntax.Quantity) *model.Cond {
			return atom(place, model.Atom{Kind: model.AtomQuantity, Index: int(t.id), Cmp: cmp, Value: v.Value})
		}))
	case schema.Input:
		r := &b.d.Readings[t.id]
		if r.Sender {
			if !r.HasCountsAs {
				return unknownAt(place)
			}
			return s.between(c, r.Path, b.compare(s, c, r.CountsAs.Dim(), func(cmp model.Cmp, v syntax.Quantity) *model.Cond {
				return atom(place, model.Atom{Kind: model.AtomReading, Index: int(t.id), Cmp: cmp, Value: v.Value})
			}))
		}
	}
	f := "`" + c.Subject.A.String() + "` is " + article(wordOf(t)) + ": it has no value to compare"
	b.wrong(s.y, c.Span, t, f, b.askable(t))
	return unknownAt(place)
}

// position finds a position among those of a setting, reporting one that is none.
func (b *builder) position(y *body, d *name.Def, positions []string, w syntax.Word, in *name.Scope) (int, bool) {
	if w.Text == "" {
		return 0, false
	}
	i := slices.Index(positions, w.Text)
	if i >= 0 {
		if in != nil {
			if m := in.Own(w.Text); m != nil {
				b.note(y, w.Span, m)
			}
		}
		return i, true
	}
	if d.Broken || b.unsure[d] || torn(d.Stmt) {
		return 0, false // it may be what could not be read
	}
	b.noSuchState(y, w, d, positions)
	return 0, false
}

func (b *builder) noSuchState(y *body, w syntax.Word, d *name.Def, states []string) {
	word := "position"
	switch d.Kind {
	case schema.Modes:
		word = "mode"
	case schema.Result:
		word = "row"
	case schema.Bands:
		word = "band"
	}
	f := diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: y.scope.File.Src, Span: w.Span},
		Message: "`" + w.Text + "` is no " + word + " of `" + d.Name + "`",
		Why:     "a condition that uses it can never be true",
		Help:    "it has " + listOf(states),
		Related: []diag.Related{{Place: d.NamePlace, Note: "declared here"}},
	}
	best := stateMeant(w.Text, states)
	if best == "" {
		best = nearest(w.Text, states)
	}
	didYouMean(&f, best)
	b.report(y, nil, f)
}
