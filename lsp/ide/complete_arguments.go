package ide

import (
	"slices"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
)

func (c *completer) calledPart(w *want) *name.Def {
	if w.ref != "" {
		return followText(c.scope, w.ref)
	}
	if p := enclosing(c.block, schema.Part); p != nil {
		return defOf(scopeIn(c.x, c.file, p.Parent), p)
	}
	return nil
}

func (c *completer) argument(w *want) *name.Def {
	for _, a := range argumentsOf(c.calledPart(w)) {
		if a.Name == w.arg {
			return a
		}
	}
	return nil
}

func (c *completer) arguments(w *want) {
	given := slices.Clone(w.args)
	for i, a := range argumentsOf(c.calledPart(w)) {
		if slices.Contains(given, a.Name) {
			continue
		}
		it := c.item(a, rank('a', i))
		if takes(a) == "condition" {
			it.Text += " when "
		} else {
			it.Text += " "
		}
		if !c.restIsEmpty() && !strings.HasPrefix(strings.TrimSpace(c.file.Src.Text[c.word.End:]), ")") {
			it.Text = a.Name
		}
		c.add(it)
	}
}

func (c *completer) argumentValue(w *want) {
	a := c.argument(w)
	if a == nil {
		return
	}
	switch t := takes(a); t {
	case "condition":
		c.words("when", "the condition", 'a')
	case "quantity":
		c.names(orTakes("quantity", schema.Quantity), 'a')
	case "setting":
		c.names(orTakes("setting", schema.Setting), 'a')
	case "count":
		w.what = wantCount
		c.values(w, 'a')
	default:
		c.values(w, 'a')
	}
}
