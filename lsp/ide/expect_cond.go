package ide

import (
	"slices"

	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// cond matches a condition.
func (r *reader) cond(i int) []int {
	if r.depth >= maxNested {
		return nil
	}
	r.depth++
	defer func() { r.depth-- }()
	var out []int
	ends := r.term(i)
	for len(ends) > 0 {
		var next []int
		for _, e := range ends {
			if slices.Contains(out, e) {
				continue
			}
			out = append(out, e)
			switch {
			case r.end(e):
				r.add(want{what: wantWord, word: "and"})
				r.add(want{what: wantWord, word: "or"})
			case r.is(e, "and"), r.is(e, "or"):
				next = append(next, r.term(e+1)...)
			}
		}
		ends = next
	}
	return out
}

// term matches one term with what may follow it in time.
func (r *reader) term(i int) []int {
	if r.end(i) {
		r.add(want{what: wantSubject})
		return nil
	}
	if r.is(i, "not") {
		if r.depth >= maxNested {
			return nil
		}
		r.depth++
		defer func() { r.depth-- }()
		return r.term(i + 1)
	}
	var ends []int
	if r.kind(i) == syntax.OpenParen {
		for _, e := range r.cond(i + 1) {
			if r.kind(e) == syntax.CloseParen {
				ends = append(ends, e+1)
			}
		}
	} else {
		ends = r.atom(i)
	}
	var out []int
	for _, e := range ends {
		out = append(out, e)
		out = append(out, r.inTime(e)...)
	}
	return out
}

var duration = &schema.Slot{Role: "time", Type: schema.SlotQuantity, Shape: schema.OneOrRange, Dims: schema.FormOf(schema.StepWait).Slot("time").Dims}

// inTime matches `for T`, `in the last T`, `begins`, `ends`, `stays`.
func (r *reader) inTime(i int) []int {
	var out []int
	slot := r.slot
	for _, words := range [...]string{"for", "in the last"} {
		for _, e := range r.word(i, words) {
			r.slot = duration
			out = append(out, r.quantity(duration, e, subject{})...)
			r.slot = slot
		}
	}
	for _, w := range [...]string{"begins", "ends", "stays"} {
		if r.kind(i-1) == syntax.CloseParen || !r.end(i) {
			out = append(out, r.word(i, w)...)
		}
	}
	return out
}

// atom matches a subject and what is said of it.
func (r *reader) atom(i int) []int {
	if r.is(i, "always") {
		return []int{i + 1}
	}
	var out []int
	for _, s := range r.subjects(i) {
		if s.of.kind == syntax.SubjectRef {
			out = append(out, s.at)
		}
		out = append(out, r.predicate(s.at, s.of)...)
	}
	return out
}

// subjectEnd is a subject and where it ends.
type subjectEnd struct {
	at int
	of subject
}

// subjects matches what can be asked about.
func (r *reader) subjects(i int) []subjectEnd {
	var out []subjectEnd
	path := func(kind syntax.SubjectKind, i int) {
		slot := r.slot
		if kind != syntax.SubjectRef {
			r.slot = subjectSlots[kind]
		}
		for _, e := range r.path(i) {
			out = append(out, subjectEnd{e, subject{kind, r.text(i)}})
		}
		r.slot = slot
	}
	switch {
	case r.is(i, "every"):
		path(syntax.SubjectEvery, i+1)
	case r.is(i, "any"):
		path(syntax.SubjectAny, i+1)
	case r.is(i, "current") && (r.end(i+1) || r.is(i+1, "through")):
		for _, j := range r.word(i+1, "through") {
			path(syntax.CurrentThrough, j)
		}
	case r.is(i, "volts") && (r.is(i+1, "at") || r.end(i+1)):
		if r.end(i + 1) {
			r.add(want{what: wantRef, slot: subjectSlots[syntax.VoltsAt]})
		}
		for _, j := range r.word(i+1, "at") {
			path(syntax.VoltsAt, j)
		}
	case r.is(i, "volts") && wordish(r.kind(i+1)) && !r.is(i+1, "is"):
		for _, j := range r.word(i+2, "to") {
			path(syntax.VoltsBetween, j)
		}
	case wordish(r.kind(i)):
		out = append(out, subjectEnd{i + 1, subject{syntax.SubjectRef, r.text(i)}})
	}
	return out
}

// subjectSlots say what fills the path of a subject.
var subjectSlots = map[syntax.SubjectKind]*schema.Slot{
	syntax.SubjectEvery:   {Role: "every", Type: schema.SlotRef},
	syntax.SubjectAny:     {Role: "every", Type: schema.SlotRef},
	syntax.CurrentThrough: {Role: "through", Type: schema.SlotRef},
	syntax.VoltsAt:        {Role: "pin", Type: schema.SlotPin},
	syntax.VoltsBetween:   {Role: "pin", Type: schema.SlotPin},
}

// watched matches the subject of a threshold.
func (r *reader) watched(i int) []int {
	if r.end(i) {
		r.add(want{what: wantSubject})
		return nil
	}
	var out []int
	for _, s := range r.subjects(i) {
		out = append(out, s.at)
	}
	return out
}

// predicate matches what is said of a subject.
func (r *reader) predicate(i int, of subject) []int {
	if r.end(i) {
		r.add(want{what: wantPredicate, subject: of})
		return nil
	}
	state := func(i int) []int {
		if r.end(i) {
			r.add(want{what: wantState, subject: of})
			return nil
		}
		return r.one(i, wantState)
	}
	compare := &schema.Slot{Role: "value", Type: schema.SlotQuantity}
	slot := r.slot
	r.slot = compare
	defer func() { r.slot = slot }()
	switch {
	case r.is(i, "is"):
		if r.end(i + 1) {
			r.add(want{what: wantWord, word: "not"})
			r.add(want{what: wantWord, word: "any of"})
		}
		if r.is(i+1, "not") {
			return state(i + 2)
		}
		if r.is(i+1, "any") {
			var out []int
			for _, j := range r.word(i+2, "of") {
				out = append(out, r.list(j, state)...)
			}
			return out
		}
		return state(i + 1)
	case r.is(i, "above"), r.is(i, "below"):
		return r.quantity(compare, i+1, of)
	case r.is(i, "at"):
		if r.end(i + 1) {
			r.add(want{what: wantWord, word: "least"})
			r.add(want{what: wantWord, word: "most"})
		}
		if r.is(i+1, "least") || r.is(i+1, "most") {
			return r.quantity(compare, i+2, of)
		}
	case r.is(i, "between"):
		pair := *compare
		pair.Shape = schema.Pair
		return r.quantity(&pair, i+1, of)
	}
	return nil
}
