package complete

import (
	"strconv"
	"strings"

	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

func (c *completer) states(e *syntax.Expected) {
	if e.Subject == nil || len(c.Before) > 0 {
		return
	}
	names := strings.Split(e.Subject.A.String(), ".")
	d := ide.Follow(c.scope, names)
	last := names[len(names)-1]
	_, err := strconv.ParseUint(last, 10, 31)
	for i, s := range ide.StatesOf(d, err == nil) {
		it := Item{Label: s.Word, Kind: ItemMember, Detail: s.Doc, Sort: rank('a', i)}
		if s.Def != nil {
			it.More = sourceOf(s.Def)
		}
		c.add(it)
	}
}

func (c *completer) predicates(e *syntax.Expected) {
	if e.Subject.Kind >= syntax.CurrentThrough {
		c.comparisons()
		return
	}
	names := strings.Split(e.Subject.A.String(), ".")
	d := ide.Follow(c.scope, names)
	_, err := strconv.ParseUint(names[len(names)-1], 10, 31)
	switch {
	case d == nil:
		c.words("is", "", 'c')
		c.comparisons()
	case len(ide.StatesOf(d, err == nil)) > 0 || ide.Takes(d) == "setting":
		for i, s := range ide.StatesOf(d, err == nil) {
			c.add(Item{Label: "is " + s.Word, Kind: ItemMember, Detail: s.Doc, Sort: rank('a', i)})
		}
		c.words("is", "", 'b')
		c.words("is not", "", 'b')
		c.words("is any of", "one of several", 'b')
	case ide.Compares(d):
		c.comparisons()
	}
}

func (c *completer) comparisons() {
	for _, p := range [...][2]string{{"above", "more than"}, {"below", "less than"}, {"at least", "that or more"}, {"at most", "that or less"}, {"between", "from the lower value, included, up to the upper, not included"}} {
		c.words(p[0], p[1], 'b')
	}
}
