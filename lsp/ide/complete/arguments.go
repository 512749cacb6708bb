package complete

import (
	"slices"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

func (c *completer) calledPart(e *syntax.Expected) *name.Def {
	if e.Part != nil {
		return ide.FollowText(c.scope, e.Part.String())
	}
	if p := ide.Enclosing(c.Block, schema.Part); p != nil {
		return ide.DefOf(ide.ScopeIn(c.x, c.File, p.Parent), p)
	}
	return nil
}

func (c *completer) argument(e *syntax.Expected) *name.Def {
	for _, a := range ide.ArgumentsOf(c.calledPart(e)) {
		if a.Name == e.Argument {
			return a
		}
	}
	return nil
}

func (c *completer) arguments(e *syntax.Expected) {
	for i, a := range ide.ArgumentsOf(c.calledPart(e)) {
		if slices.Contains(e.Given, a.Name) {
			continue
		}
		it := c.item(a, rank('a', i))
		if ide.Takes(a) == "condition" {
			it.Text += " when "
		} else {
			it.Text += " "
		}
		if !c.restIsEmpty() && !strings.HasPrefix(strings.TrimSpace(c.File.Src.Text[c.Word.End:]), ")") {
			it.Text = a.Name
		}
		c.add(it)
	}
}

func (c *completer) argumentValue(e *syntax.Expected) {
	a := c.argument(e)
	if a == nil {
		return
	}
	switch t := ide.Takes(a); t {
	case "condition":
		c.words("when", "the condition", 'a')
	case "quantity":
		c.names(orTakes("quantity", schema.Quantity), 'a')
	case "setting":
		c.names(orTakes("setting", schema.Setting), 'a')
	case "count":
		c.counts('a')
	default:
		c.values(e, 'a')
	}
}
