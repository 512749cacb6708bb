package ide

import (
	"strconv"
	"strings"

	"pintle/lang/syntax"
)

func (c *completer) states(e *syntax.Expected) {
	if e.Subject == nil || len(c.before) > 0 {
		return
	}
	names := strings.Split(e.Subject.A.String(), ".")
	d := follow(c.scope, names)
	last := names[len(names)-1]
	_, err := strconv.ParseUint(last, 10, 31)
	for i, s := range statesOf(d, err == nil) {
		it := CompletionItem{Label: s.word, Kind: ItemMember, Detail: s.doc, Sort: rank('a', i)}
		if s.def != nil {
			it.More = sourceOf(s.def)
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
	d := follow(c.scope, names)
	_, err := strconv.ParseUint(names[len(names)-1], 10, 31)
	switch {
	case d == nil:
		c.words("is", "", 'c')
		c.comparisons()
	case len(statesOf(d, err == nil)) > 0 || takes(d) == "setting":
		for i, s := range statesOf(d, err == nil) {
			c.add(CompletionItem{Label: "is " + s.word, Kind: ItemMember, Detail: s.doc, Sort: rank('a', i)})
		}
		c.words("is", "", 'b')
		c.words("is not", "", 'b')
		c.words("is any of", "one of several", 'b')
	case compares(d):
		c.comparisons()
	}
}

func (c *completer) comparisons() {
	for _, p := range [...][2]string{{"above", "more than"}, {"below", "less than"}, {"at least", "that or more"}, {"at most", "that or less"}, {"between", "from the lower value, included, up to the upper, not included"}} {
		c.words(p[0], p[1], 'b')
	}
}
