package syntax

import (
	"strings"

	"pintle/lang/schema"
)

// faults reads faults separated by commas, as far as they don't begin another clause.
func (p *parser) faults(s *schema.Slot) (Node, bool) {
	start := p.i
	var list []FaultName
	for {
		f, ok := p.fault(s)
		if !ok {
			return nil, false
		}
		list = append(list, f)
		if p.kindAt(p.i) == Comma && p.expects(p.i+1, ExpectPath) {
			p.expectsWords(p.i+1, "swap")
		}
		if p.kindAt(p.i) != Comma || !p.faultFollows(s, p.i+1) {
			return &Faults{List: list, Span: p.from(start)}, true
		}
		p.listMayEnd()
		p.i++
	}
}

// fault reads one fault.
func (p *parser) fault(s *schema.Slot) (f FaultName, ok bool) {
	start := p.i
	p.expectsWords(p.i, "swap")
	swap := p.isWord(p.i, "swap") && (p.isRef(p.i+1) || p.atCursor(p.i+1))
	if swap {
		p.i++
	}
	if f.Thing = p.refHere(); f.Thing == nil {
		return f, false
	}
	switch {
	case swap:
		p.expectsWords(p.i, "with")
		if !p.isWord(p.i, "with") {
			return f, p.failed(fail{why: failWord, word: "with", start: p.i, at: p.i, inner: true})
		}
		p.i++
		if f.Other = p.refHere(); f.Other == nil {
			return f, false
		}
	case p.atCursor(p.i):
		p.choice(s.Choices)
	case p.i < p.end && p.kindAt(p.i) != Comma:
		mode, ok := p.choice(s.Choices)
		if !ok {
			return f, p.failed(fail{why: failSlot, slot: &schema.Slot{Role: "mode", Type: schema.SlotChoice, Choices: s.Choices}, start: p.i, at: p.i})
		}
		f.Mode = *mode.(*Word)
	}
	f.Span = p.from(start)
	return f, true
}

// faultFollows reports whether what begins at a token is a further fault of a list and not
// another clause: a path, and behind it nothing, or what can't go on a condition.
func (p *parser) faultFollows(s *schema.Slot, i int) bool {
	switch {
	case !p.isRef(i):
		return false
	case p.isWord(i, "swap"):
		return true
	case p.kindAt(i) == NameTok && len(p.kind.Starting(p.textAt(i))) > 0:
		return false
	case i+1 >= p.end || p.kindAt(i+1) == Comma:
		return !p.ownClause(i)
	case p.kindAt(i+1) != NameTok:
		return false
	}
	next := p.textAt(i + 1)
	for _, c := range s.Choices {
		if first, _, _ := strings.Cut(c, " "); first == next {
			return true
		}
	}
	switch next {
	case "is", "above", "below", "at", "between", "and", "or", "for", "in", "begins", "ends", "stays", "whenever", "within", "repeats":
		return false
	}
	return true // a slip in the mode
}
