package ide

import (
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// fill matches what fills a slot and returns where it can end.
func (r *reader) fill(s *schema.Slot, i int) []int {
	switch s.Type {
	case schema.SlotName, schema.SlotWord:
		return r.one(i, wantName)
	case schema.SlotRef:
		return r.path(i)
	case schema.SlotPin:
		if r.end(i) {
			r.add(want{what: wantWord, word: "each"})
		}
		if r.is(i, "each") {
			return append(r.path(i+1), i+1)
		}
		return r.path(i)
	case schema.SlotRefs:
		return r.list(i, r.path)
	case schema.SlotFaults:
		return r.list(i, func(i int) []int { return r.fault(s, i) })
	case schema.SlotQuantity:
		return r.quantity(s, i, subject{})
	case schema.SlotCount:
		return r.one(i, wantCount)
	case schema.SlotCond:
		return r.cond(i)
	case schema.SlotText:
		return r.one(i, wantText)
	case schema.SlotColour:
		return r.colour(i)
	case schema.SlotDate:
		return r.one(i, wantDate)
	case schema.SlotChoice:
		return r.choice(s.Choices, i)
	case schema.SlotArgType:
		return r.argType(i)
	case schema.SlotDefault:
		if r.kind(i) == syntax.NameTok {
			return []int{i + 1}
		}
		return r.quantity(s, i, subject{})
	case schema.SlotSubject:
		return r.watched(i)
	case schema.SlotCall:
		return r.call(i)
	case schema.SlotArgs:
		return r.args(i, "")
	}
	return nil
}

// fault steps over a fault: a thing and how it fails, a swap, or the name of one.
func (r *reader) fault(s *schema.Slot, i int) []int {
	if r.end(i) {
		r.add(want{what: wantWord, word: "swap"})
	}
	if r.is(i, "swap") {
		var out []int
		for _, e := range r.path(i + 1) {
			for _, w := range r.word(e, "with") {
				out = append(out, r.path(w)...)
			}
		}
		return out
	}
	out := r.path(i)
	for _, e := range slices.Clone(out) {
		out = append(out, r.choice(s.Choices, e)...)
	}
	return out
}

// one steps over a single token.
func (r *reader) one(i int, what wantKind) []int {
	if r.end(i) {
		r.add(want{what: what})
		return nil
	}
	if wordish(r.kind(i)) || r.kind(i) == syntax.Text {
		return []int{i + 1}
	}
	return nil
}

// list steps over one or more items with commas between; it may end behind each.
func (r *reader) list(i int, item func(int) []int) []int {
	var out []int
	ends := item(i)
	for len(ends) > 0 {
		var next []int
		for _, e := range ends {
			out = append(out, e)
			if r.kind(e) == syntax.Comma {
				next = append(next, item(e+1)...)
			}
		}
		ends = next
	}
	return out
}

// quantity steps over a value, a range or a pair, of what a subject has, if any.
func (r *reader) quantity(s *schema.Slot, i int, of subject) []int {
	ends := r.value(i, of)
	switch s.Shape {
	case schema.Range, schema.OneOrRange, schema.Pair:
		between := "to"
		if s.Shape == schema.Pair {
			between = "and"
		}
		var both []int
		for _, e := range ends {
			for _, j := range r.word(e, between) {
				both = append(both, r.value(j, of)...)
			}
		}
		if s.Shape == schema.OneOrRange {
			both = append(both, ends...)
		}
		ends = both
	}
	if !s.Tolerance {
		return ends
	}
	for _, e := range slices.Clone(ends) {
		switch {
		case r.end(e):
			r.add(want{what: wantWord, word: "+-10 %"})
		case r.kind(e) == syntax.PlusMinus:
			ends = append(ends, r.value(e+1, of)...)
		}
	}
	return ends
}

// value steps over a number with its unit, or the name of an argument.
func (r *reader) value(i int, of subject) []int {
	switch r.kind(i) {
	case syntax.Newline:
		if r.end(i) {
			r.add(want{what: wantValue, subject: of})
		}
		return nil
	case syntax.NameTok:
		if r.argument != nil && !r.argument(r.text(i)) {
			return nil
		}
		return []int{i + 1}
	case syntax.Mixed:
		return []int{i + 1}
	case syntax.Number:
	default:
		return nil
	}
	i++
	if r.kind(i) == syntax.Slash && r.kind(i+1) == syntax.Number {
		i += 2 // 2/0 AWG
	}
	if r.end(i) {
		r.add(want{what: wantUnit, subject: of})
		return []int{i}
	}
	ends := []int{i}
	if k := r.kind(i); k == syntax.NameTok || k == syntax.Percent || k == syntax.Mixed {
		i++
		ends = append(ends, i)
		if r.kind(i) == syntax.Slash && r.kind(i+1) == syntax.NameTok {
			i += 2 // L/min
			ends = append(ends, i)
		}
		if r.is(i, "gauge") || r.is(i, "absolute") {
			ends = append(ends, i+1)
		}
	}
	return ends
}

// colour steps over a colour with a stripe.
func (r *reader) colour(i int) []int {
	var out []int
	for {
		if schema.IsShade(r.text(i)) {
			i++
		}
		if r.end(i) {
			r.add(want{what: wantColour})
			return out
		}
		if r.kind(i) != syntax.NameTok {
			return out
		}
		if _, ok := schema.Colour(r.text(i)); !ok {
			return out
		}
		i++
		out = append(out, i)
		if r.kind(i) != syntax.Slash {
			return out
		}
		i++
	}
}

func (r *reader) text(i int) string {
	if i < len(r.toks) {
		return r.toks[i].text
	}
	return ""
}

// choice steps over one of several choices, which may be of several words.
func (r *reader) choice(choices []string, i int) []int {
	var out []int
	for _, c := range choices {
		words := strings.Fields(c)
		for n := range words {
			if r.end(i + n) {
				r.add(want{what: wantChoice, word: strings.Join(words[n:], " ")})
				break
			}
			if r.text(i+n) != words[n] {
				break
			}
			if n == len(words)-1 {
				out = append(out, i+n+1)
			}
		}
	}
	return out
}

func (r *reader) argType(i int) []int {
	ends := r.one(i, wantType)
	for _, e := range slices.Clone(ends) {
		if r.is(e, "gauge") || r.is(e, "absolute") {
			ends = append(ends, e+1)
		}
	}
	return ends
}

// call steps over a part with its arguments.
func (r *reader) call(i int) []int {
	if r.end(i) {
		r.add(want{what: wantPart})
		return nil
	}
	if !wordish(r.kind(i)) {
		return nil
	}
	out := []int{i + 1}
	if r.kind(i+1) != syntax.OpenParen {
		return out
	}
	for _, e := range r.args(i+2, r.text(i)) {
		if r.kind(e) == syntax.CloseParen {
			out = append(out, e+1)
		}
	}
	return out
}

// args steps over named arguments of a part; part is empty for those of a bench.
func (r *reader) args(i int, part string) []int {
	var given []string
	return r.list(i, func(i int) []int {
		if r.end(i) {
			r.add(want{what: wantArg, ref: part, args: slices.Clone(given)})
			return nil
		}
		if !wordish(r.kind(i)) {
			return nil
		}
		arg := r.text(i)
		given = append(given, arg)
		if r.is(i+1, "when") {
			return r.cond(i + 2)
		}
		if r.end(i + 1) {
			r.add(want{what: wantArgValue, ref: part, arg: arg})
			return nil
		}
		if r.kind(i+1) == syntax.Number && r.end(i+2) {
			r.add(want{what: wantUnit, ref: part, arg: arg})
			return []int{i + 2}
		}
		if k := r.kind(i + 1); k == syntax.NameTok || k == syntax.PathTok {
			return []int{i + 2}
		}
		return r.value(i+1, subject{})
	})
}
