package syntax

import (
	"slices"
	"strings"

	"pintle/lang/schema"
)

// sibling reports a clause that another kind has, or that names what it measures, where
// this kind says the same in its own way: `inside 10 mohm` of a contact, whose resistance
// stands by itself. It returns false where there is nothing of the sort.
func (p *parser) sibling(start int) bool {
	own, words, end := p.siblingOf(start)
	if own == nil {
		return false
	}
	span := p.quantitySpan(start, end)
	said := p.excerpt(start, start+words)
	what := p.between(p.spanAt(start+words).Start, span.End)
	meant, how := what, " by itself"
	if l := own.Literal(); l != "" {
		meant, how = l+" "+what, ""
	}
	role := only(own).Role
	p.report(span, "`"+p.kind.Name+"` has no `"+said+"`; write its "+role+how+": `"+meant+"`", schema.Clipped(own.Doc))
	p.findings[len(p.findings)-1].Fixes = insertion("write `"+meant+"`", span, meant)
	return true
}

// siblingOf finds the clause of the kind that says what stands at start, how many words
// there lead to what fills its slot, and where that ends.
func (p *parser) siblingOf(start int) (own *schema.Form, words, end int) {
	was, i, mark := p.fail, p.i, len(p.findings)
	defer func() { p.fail, p.i, p.findings = was, i, p.findings[:mark] }()
	fills := func(s *schema.Slot, from int) bool {
		p.i = from
		_, ok := p.slot(s)
		return ok && (p.i >= p.end || p.kindAt(p.i) == Comma)
	}
	for _, f := range p.kind.Forms {
		if s := only(f); s != nil && p.isWord(start, s.Role) && fills(s, start+1) {
			return f, 1, p.i
		}
	}
	for _, k := range schema.All() {
		for _, f := range k.Starting(p.textAt(start)) {
			s := only(f)
			n := len(strings.Fields(f.Literal()))
			if k == p.kind || s == nil || !p.standsAt(f, start) || !fills(s, start+n) {
				continue
			}
			for _, own := range p.kind.Forms {
				if o := only(own); o != nil && o.Role == s.Role && slices.Equal(o.Dims, s.Dims) {
					return own, n, p.i
				}
			}
		}
	}
	return nil, 0, 0
}

// only is the one quantity that a clause consists of, behind its words; nil for others.
func only(f *schema.Form) *schema.Slot {
	s := f.Elems[len(f.Elems)-1].Slot
	if s == nil || s.Type != schema.SlotQuantity || len(strings.Fields(f.Literal())) != len(f.Elems)-1 {
		return nil
	}
	return s
}

// standsAt reports whether the words that a form begins with stand at a token.
func (p *parser) standsAt(f *schema.Form, at int) bool {
	for n, w := range strings.Fields(f.Literal()) {
		if !p.isWord(at+n, w) {
			return false
		}
	}
	return true
}
