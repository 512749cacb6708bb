package syntax

import (
	"slices"
	"strings"

	"pintle/lang/schema"
)

// whole are the changes that move words about, or look at more of a line than a few words.
func (d *draft) whole() []repair {
	var out []repair
	if m, ok := d.quotes(); ok {
		out = append(out, m)
	}
	if m, ok := d.minus(); ok {
		out = append(out, m)
	}
	if d.p.kind == nil {
		return append(out, d.trade()...)
	}
	switch d.p.kind.ID {
	case schema.Require:
		out = append(out, d.turned()...)
	case schema.Use, schema.Title, schema.Symptom, schema.Accept:
		if m, ok := d.unquoted(); ok {
			out = append(out, m)
		}
	case schema.Fit:
		out = append(out, d.many()...)
	case schema.Wire, schema.Connector:
		out = append(out, d.colours()...)
	case schema.Contact:
		if m, ok := d.opened(); ok {
			out = append(out, m)
		}
	}
	return out
}

// trade puts the kind in the place of a word of the trade.
func (d *draft) trade() []repair {
	var out []repair
	word := d.text(0)
	for _, k := range []string{schema.Suggest(word, d.p.in), schema.MeantKind(word)} {
		if k != "" {
			out = append(out, d.tokens(0, 1, k).only())
		}
	}
	return out
}

// quotes straightens curly and single quotes, where there are two of them.
func (d *draft) quotes() (repair, bool) {
	const curly = "“”„‟«»"
	text := d.line
	if strings.ContainsAny(text, curly) {
		for _, q := range curly {
			text = strings.ReplaceAll(text, string(q), `"`)
		}
	} else {
		for _, q := range []string{"'", "`", "’", "‘"} {
			if strings.Count(text, q) == 2 {
				text = strings.ReplaceAll(text, q, `"`)
			}
		}
		if a, rest, ok := strings.Cut(text, "‘"); ok && text == d.line {
			if b, c, ok := strings.Cut(rest, "’"); ok {
				text = a + `"` + b + `"` + c
			}
		}
	}
	if text == d.line {
		return repair{}, false
	}
	lo, hi, straight := difference(d.line, text)
	return repair{start: lo, end: hi, text: straight, shown: d.line[lo:hi],
		habit: &idiom{says: "texts are written in straight double quotes", why: "write `" + shorten(straight) + "`"}}, true
}

// minus is a long dash before a number that no number stands before.
func (d *draft) minus() (repair, bool) {
	i := d.at
	switch d.text(i) {
	case "–", "—", "−":
	default:
		return repair{}, false
	}
	next := d.p.sigs[min(i+1, d.last())]
	if next.kind != Number && next.kind != Mixed || next.start != d.p.sigs[i].end || i > 0 && d.p.sigs[i-1].end == d.p.sigs[i].start {
		return repair{}, false
	}
	m := repair{start: int(d.p.sigs[i].start), end: int(d.p.sigs[i].end), text: "-", shown: d.text(i)}
	m.habit = &idiom{why: "the short one, joined to its number"}
	return m, true
}

// many is a number of fits without its `of`: `4 Bulb`, `4x Bulb`.
func (d *draft) many() []repair {
	i := d.clauseStart()
	t := d.text(i)
	if i == 0 || i+1 >= d.last() || d.p.sigs[i+1].kind != NameTok {
		return nil
	}
	m := d.tokens(i+1, i+1, "of")
	if number, ok := strings.CutSuffix(strings.ToLower(t), "x"); ok && isWhole(number) {
		m = d.tokens(i, i+1, number+" of")
	} else if !isWhole(t) {
		return nil
	}
	m.habit = &idiom{says: "`of` is missing before `" + d.text(i+1) + "`"}
	return []repair{m.only()}
}

// colours corrects a colour, or joins two.
func (d *draft) colours() []repair {
	var out []repair
	for i := max(d.at-1, 0); i <= d.at+1; i++ {
		if c := schema.ColourMeant(d.text(i)); c != "" && c != d.text(i) {
			out = append(out, d.tokens(i, i+1, c))
		}
	}
	if i := d.at; i > 0 {
		base, ok := schema.Colour(d.text(i - 1))
		if stripe, ok2 := schema.Colour(d.text(i)); ok && ok2 {
			m := d.tokens(i-1, i+1, base+"/"+stripe)
			m.habit = &idiom{why: "base first, then the stripe"}
			out = append(out, m)
		}
	}
	return out
}

// unquoted puts what is to be a text in quotes, up to the end of its clause.
func (d *draft) unquoted() (repair, bool) {
	from := d.at
	if from >= d.last() || d.p.sigs[from].kind == Text {
		return repair{}, false
	}
	to := from
	for to < d.last() && d.p.sigs[to].kind != Comma && d.p.sigs[to].kind != Colon && d.text(to) != "as" {
		to++
	}
	if to == from {
		return repair{}, false
	}
	text := d.line[d.p.sigs[from].start:d.p.sigs[to-1].end]
	if strings.Contains(text, `"`) {
		return repair{}, false
	}
	if d.p.kind.ID == schema.Use && !strings.HasSuffix(text, ".pintle") {
		text += ".pintle"
	}
	return d.tokens(from, to, `"`+text+`"`), true
}

// opened writes a contact that is said to open when something is so: it is closed when that
// is not so.
func (d *draft) opened() (repair, bool) {
	for i := max(d.at-1, 0); i <= d.at; i++ {
		switch d.text(i) {
		case "open", "opens", "opened", "broken":
		default:
			continue
		}
		switch d.text(i + 1) {
		case "when", "while", "if":
		default:
			continue
		}
		end := i + 2
		several := false
		for ; end < d.last() && d.p.sigs[end].kind != Comma; end++ {
			several = several || d.text(end) == "and" || d.text(end) == "or"
		}
		if end == i+2 {
			return repair{}, false
		}
		cond := d.between(i+2, end)
		if several {
			cond = "(" + cond + ")"
		}
		m := d.tokens(i, end, "made when not "+cond)
		m.habit = &idiom{why: "`made when` says when the contact is closed"}
		return m, true
	}
	return repair{}, false
}

func (d *draft) between(from, to int) string {
	if from >= to {
		return ""
	}
	return d.line[d.p.sigs[from].start:d.p.sigs[to-1].end]
}

// turned writes what people say as `if X then Y`, `Y unless X` or `Y only if X` as a
// requirement, in which what must hold comes first.
func (d *draft) turned() []repair {
	start := 0
	for start < d.last() && d.p.sigs[start].kind != Colon {
		start++
	}
	start++
	end := d.last()
	for i := start; i < end; i++ {
		if d.p.sigs[i].kind == Comma && strings.EqualFold(d.text(i+1), "despite") {
			end = i
		}
	}
	if start >= end {
		return nil
	}
	first := strings.ToLower(d.text(start))
	find := func(words ...string) int {
		for i := start; i+len(words) < end; i++ {
			if !slices.ContainsFunc(words, func(w string) bool { return !strings.EqualFold(d.text(i+slices.Index(words, w)), w) }) {
				return i
			}
		}
		return -1
	}
	say := func(then, given string) repair {
		m := d.tokens(start, end, then+" whenever "+given)
		m.habit = &idiom{says: "what must hold comes first, then `whenever` and the condition", why: "write `" + then + " whenever " + given + "`"}
		return m
	}
	var out []repair
	switch first {
	case "if", "when", "whenever", "while":
		split, n := find("then"), 1
		if split < 0 {
			for split = start; split < end && d.p.sigs[split].kind != Comma; split++ {
			}
			if split == end {
				return nil
			}
		} else if d.p.sigs[split-1].kind == Comma {
			split, n = split-1, 2
		}
		if split > start+1 && split+n < end {
			out = append(out, say(d.between(split+n, end), d.between(start+1, split)))
		}
		return out
	}
	for _, w := range [][]string{{"only", "if"}, {"only", "when"}, {"only", "while"}, {"only", "whenever"}, {"implies"}, {"=>"}, {"->"}} {
		if i := find(w...); i > start {
			out = append(out, say(d.between(i+len(w), end), d.between(start, i)))
		}
	}
	if i := find("unless"); i > start {
		out = append(out, say(d.between(start, i), "not ("+d.between(i+1, end)+")"))
	}
	return append(out, d.bare(start, end)...)
}

// bare is a requirement that says what must hold and not when: `always` is meant, and
// whoever wrote it may not know of the other two.
func (d *draft) bare(start, end int) []repair {
	if d.at != d.last() || end != d.last() {
		return nil
	}
	claim := d.between(start, end)
	if strings.Contains(claim, " and ") || strings.Contains(claim, " or ") {
		claim = "(" + claim + ")"
	}
	m := d.tokens(start, end, "always "+claim)
	m.habit = &idiom{says: "it does not say when this must hold",
		why: "write `always " + claim + "`, `possible " + claim + "`, or `" + claim + " whenever COND`"}
	return []repair{m}
}
