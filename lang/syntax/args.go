package syntax

import "pintle/lang/schema"

// anyQuantity is what an argument may be given.
var anyQuantity = &schema.Slot{Role: "value", Type: schema.SlotQuantity, Shape: schema.OneOrRange, Tolerance: true, Written: true}

// argDefault reads a quantity, a whole number or a name.
func (p *parser) argDefault() (Node, bool) {
	p.expects(p.i, ExpectValue)
	switch p.kindAt(p.i) {
	case NameTok, PathTok:
		return p.ref(), true
	case Number, Mixed:
		if p.bareCount() {
			return p.count()
		}
		return p.quantity(anyQuantity)
	}
	return nil, false
}

// bareCount reports whether a whole number without a unit stands here.
func (p *parser) bareCount() bool {
	if p.kindAt(p.i) != Number || !isWhole(p.textAt(p.i)) {
		return false
	}
	p.expects(p.i+1, ExpectUnit)
	switch p.kindAt(p.i + 1) {
	case Comma, CloseParen, Newline:
		return true
	}
	return p.isWord(p.i+1, "unless")
}

// call reads a part and what it is given.
func (p *parser) call() (Node, bool) {
	start := p.i
	p.expects(p.i, ExpectPart)
	c := &Call{Part: p.ref()}
	if c.Part == nil {
		return nil, false
	}
	if p.cursor != nil {
		p.cursor.part = c.Part
		defer func() { p.cursor.part = nil }()
	}
	if p.kindAt(p.i) == OpenParen {
		open := p.i
		p.i++
		p.inParens++
		var ok bool
		if p.kindAt(p.i) != CloseParen {
			c.Args, ok = p.argList()
			if !ok {
				p.inParens--
				return nil, false
			}
		}
		p.inParens--
		if p.kindAt(p.i) != CloseParen {
			switch {
			case p.i >= p.end:
				return nil, p.failed(fail{why: failParen, start: open, at: p.i})
			case p.nameHere() && len(c.Args) > 0:
				return nil, p.failed(fail{why: failComma, start: p.i, at: p.i})
			}
			return nil, p.failed(fail{why: failTrailing, start: p.i, at: p.i})
		}
		p.i++
	}
	c.Span = p.from(start)
	return c, true
}

// argList reads `rating 10 A, made when key is run`.
func (p *parser) argList() ([]NamedArg, bool) {
	var list []NamedArg
	if p.cursor != nil {
		p.cursor.given = nil
		defer func() { p.cursor.given, p.cursor.argument = nil, "" }()
	}
	for {
		start := p.i
		if p.expects(p.i, ExpectArgument) || !p.nameHere() {
			return nil, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "the name of what the part takes, and its value, are expected here"})
		}
		a := NamedArg{Name: p.wordAt(p.i)}
		p.i++
		if p.cursor != nil {
			p.cursor.given, p.cursor.argument = append(p.cursor.given, a.Name.Text), a.Name.Text
		}
		switch {
		case p.expects(p.i, ExpectArgumentValue):
			return nil, false
		case p.isWord(p.i, "when"):
			p.i++
			cond, ok := p.cond()
			if !ok {
				return nil, false
			}
			a.Cond = cond
		default:
			n, ok := p.argDefault()
			if !ok {
				return nil, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "a value is expected after `" + a.Name.Text + "`: a quantity, a name, or `when` and a condition"})
			}
			switch n := n.(type) {
			case *Quantity:
				a.Quantity = n
			case *Count:
				a.Count = n
			case *Ref:
				a.Ref = n
			}
		}
		a.Span = p.from(start)
		list = append(list, a)
		if p.cursor != nil {
			p.cursor.argument = ""
		}
		// On a bench `with` may be repeated before each argument.
		if p.kindAt(p.i) != Comma || p.inParens == 0 && p.isWord(p.i+1, "with") {
			return list, true
		}
		p.i++
	}
}
