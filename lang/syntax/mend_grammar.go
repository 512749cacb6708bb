package syntax

import (
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/spelling"
)

// grammatical changes the line by what the grammar expected where it was not understood.
func (d *draft) grammatical() []repair {
	var out []repair
	p, at := d.p, d.at
	add := func(m repair) { out = append(out, m) }
	// A word in capitals.
	for i := max(at-1, 0); i <= at; i++ {
		if w := d.text(i); strings.ToLower(w) != w {
			m := d.tokens(i, i+1, strings.ToLower(w))
			m.habit = small
			add(m)
		}
	}
	if at > 0 && at < d.last() && p.sigs[at].kind == NameTok && (p.sigs[at-1].kind == NameTok || p.sigs[at-1].kind == PathTok) {
		m := d.tokens(at, at, "is")
		m.habit = &idiom{says: "`is` is missing before `" + d.text(at) + "`"}
		add(m)
	}
	if f := &p.why; f.why == failWord && p.kind != nil {
		if d.text(at) != "" && spelling.Distance(d.text(at), f.word) <= 1+len(f.word)/4 {
			add(d.tokens(at, at+1, f.word))
		}
		if p.kindAt(at) == Comma || p.kindAt(at) == Foreign || fillers[d.text(at)] {
			add(d.tokens(at, at+1, f.word).only())
		}
		if m := d.tokens(at, at, f.word); p.kind.ID != schema.Require {
			// Behind nothing but words of the clause there is no doubt about it.
			m.alone = at-d.clauseStart() != f.words
			add(m)
		}
	}
	// 6-way
	if t := d.text(at); at < d.last() && p.sigs[at].kind == Mixed {
		if number, word, ok := strings.Cut(t, "-"); ok && isWhole(number) && isLetters(word) {
			add(d.tokens(at, at+1, number+" "+word))
		}
	}
	if p.kind != nil && (p.kind.Head == schema.HeadNames || p.kind.Head == schema.HeadPins) && at > 0 && at < d.last() && p.sigs[at-1].kind != Comma {
		m := d.tokens(at, at, ",")
		m.start, m.text = int(p.sigs[at-1].end), ","
		m.end = m.start
		add(m)
	}
	for i := max(at-1, 0); i <= at && at < d.last(); i++ {
		if fillers[strings.ToLower(d.text(i))] {
			add(d.tokens(i, i+1, "").only())
		}
	}
	return append(out, d.beginnings()...)
}

// clauseStart is the first token of the clause that was not understood.
func (d *draft) clauseStart() int {
	start := min(d.at, d.last())
	for start > 0 && d.p.sigs[start-1].kind != Comma && d.p.sigs[start-1].kind != Colon {
		start--
	}
	return start
}

// beginnings change how the clause begins to what one of the kind begins with.
func (d *draft) beginnings() []repair {
	p := d.p
	if p.kind == nil {
		return nil
	}
	start := d.clauseStart()
	if start == 0 {
		return nil
	}
	for i := start; i < d.at; i++ {
		if p.sigs[i].kind != NameTok || i-start > 3 {
			return nil // it is not about the beginning
		}
	}
	var words []string
	for i := start; i < d.last() && p.sigs[i].kind == NameTok; i++ {
		words = append(words, d.text(i))
	}
	var out []repair
	if f := p.kind.Suggest(words); f != nil {
		literal := strings.Fields(f.Literal())
		for n := min(len(words), 4); n > 0; n-- {
			if n == len(words) || !slices.Contains(literal, words[n]) {
				out = append(out, d.tokens(start, start+n, f.Literal()).only())
			}
		}
	}
	var before []repair
	for _, f := range p.kind.Forms {
		if l := f.Literal(); l != "" && p.kind.ID != schema.Require && p.kind.ID != schema.Assume {
			first, _, _ := strings.Cut(l, " ")
			before = append(before, d.tokens(start, start, l).only())
			if first != l {
				before = append(before, d.tokens(start, start, first).only())
			}
		}
	}
	if len(before) > 4 {
		return out // too many to choose from
	}
	return append(out, before...)
}

// only lets a change be taken only if nothing is wrong with the line then.
func (m repair) only() repair {
	m.alone = true
	return m
}

// small is the idiom of writing words of the language in capitals.
var small = &idiom{why: "words of the language are written small"}

// joints are words that stand between names and are hardly ever one.
var joints = map[string]bool{"at": true, "to": true, "of": true, "is": true, "from": true, "with": true, "through": true, "and": true, "or": true}

// fillers are words that people put between others and that say nothing more.
var fillers = map[string]bool{
	"a": true, "an": true, "the": true, "then": true, "to": true, "for": true, "of": true, "be": true, "by": true, "at": true,
	"with": true, "from": true, "that": true, "when": true, "is": true, "are": true, "on": true, "has": true, "please": true,
}
