package syntax

import "pintle/lang/schema"

// What follows finds, from the indentation and from what kinds may stand where, how a
// text was meant in which something is missing that divides statements.

// lacksBrace reports whether the `{` of a statement was forgotten: there are closing braces
// to spare, the kind has a body, and what follows is indented like one.
func (c *cutter) lacksBrace(s cutStmt) bool {
	if !c.extra || s.kind == nil || s.kind.Body == schema.NoBody || c.at >= len(c.sigs)-1 {
		return false
	}
	next := c.sigs[c.at]
	return next.first && next.kind == NameTok && c.indent(c.at) > c.ownIndent() && len(schema.Named(c.word(c.at))) > 0
}

// leaveByIndent closes the blocks out of which a line seems to have stepped: its kind
// is one that may stand further out, and it is not indented deeper than what opened
// the block.
func (c *cutter) leaveByIndent(at int) {
	if len(c.open) == 0 || c.sigs[at].kind != NameTok {
		return
	}
	indent, word := c.indent(at), c.word(at)
	if len(schema.Named(word)) == 0 {
		return
	}
	for n := len(c.open); n > 0 && c.open[n-1].indent >= indent; n-- {
		out := schema.InTop
		if n > 1 {
			out = c.open[n-2].in
		}
		if _, ok := schema.Lookup(word, out); !ok && out != 0 {
			continue
		}
		for len(c.open) >= n {
			c.leave(-1)
		}
	}
}

// strayLine reports whether a line can't be a statement, as it begins with no kind, and is
// indented like the continuation of the line before: a comma or a colon was forgotten.
func (c *cutter) strayLine(at int) bool {
	switch c.sigs[at].kind {
	case NameTok:
		if len(schema.Named(c.word(at))) > 0 {
			return false
		}
	case PathTok, Number, Mixed, Text:
	default:
		return false
	}
	for i := at + 1; i < len(c.sigs)-1 && !c.sigs[i].first; i++ {
		if k := c.sigs[i].kind; k == Colon || k == OpenBrace {
			return false // a statement whose kind was forgotten
		}
	}
	return c.indent(at) > c.ownIndent()
}

// nextStatement reports whether the next statement begins at a line although the one
// before seems to go on: a line that was left half typed ends in a comma too. What
// begins like a statement, and no deeper than this one, is one; where a `{` is missing,
// what begins like one of its body as well.
func (c *cutter) nextStatement(at int, s cutStmt) bool {
	word := c.word(at)
	k, ok := schema.Lookup(word, s.in)
	for n := len(c.open) - 1; !ok && n >= 0; n-- {
		out := schema.InTop
		if n > 0 {
			out = c.open[n-1].in
		}
		k, ok = schema.Lookup(word, out)
	}
	if ok && c.beginsStatement(at, k) && c.indent(at) <= c.ownIndent() {
		return true
	}
	if !c.extra || s.kind == nil || s.kind.Body == schema.NoBody || c.sigs[at-1].kind != Colon {
		return false
	}
	k, ok = schema.Lookup(word, c.inside(s))
	return ok && c.beginsStatement(at, k) && c.indent(at) > c.ownIndent()
}

// beginsStatement reports whether a line reads like the beginning of a statement of a
// kind: the word, the head, and then a colon, a brace, or the end of the line if the
// kind needs no clauses.
func (c *cutter) beginsStatement(at int, k *schema.Kind) bool {
	i := at + 1
	for ; i < len(c.sigs)-1 && !c.sigs[i].first; i++ {
		switch t := c.sigs[i]; t.kind {
		case Colon, OpenBrace:
			return i > at+1 || k.Head == schema.HeadOptionalName
		case NameTok, PathTok, Number, Mixed, Comma, Text:
		default:
			return false
		}
	}
	// The end of the line: only after a head, which is no clause.
	return i > at+1 && !k.NeedsClause() && k.Body == schema.NoBody
}
