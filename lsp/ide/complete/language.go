package complete

import (
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// kinds offers what a statement can begin with here.
func (c *completer) kinds() {
	siblings := ide.BodyOf(c.File, c.Block)
	for i, k := range schema.All() {
		if k.Where&c.In == 0 && c.In != 0 || k.ID == schema.Only && c.In == 0 {
			continue
		}
		switch k.ID {
		case schema.Title, schema.Powered, schema.Ground:
			if c.has(siblings, k.ID) {
				continue
			}
		}
		it := Item{
			Label: k.Name, Kind: ItemKeyword, Detail: k.Group.String(), Text: k.Name + " ", Sort: rank('a', i),
			More: ItemSource{What: "kind", Name: k.Name, ID: int(k.ID)},
		}
		if c.restIsEmpty() {
			if c.opts.Snippets {
				it.Text, it.Snippet = k.Snippet, true
			}
		} else {
			it.Text = k.Name
		}
		c.add(it)
	}
}

// has reports whether one of some statements is of a kind, apart from the one at the cursor.
func (c *completer) has(list []*syntax.Stmt, id schema.ID) bool {
	return slices.ContainsFunc(list, func(st *syntax.Stmt) bool {
		return st.Kind != nil && st.Kind.ID == id && st.Span.Start != c.Word.Start
	})
}

// form offers a clause by its first words.
func (c *completer) form(f *schema.Form, said []int) {
	lit := f.Literal()
	if lit == "" || len(c.Before) > 0 {
		return
	}
	it := Item{
		Label: lit, Kind: ItemClause, Detail: schema.Reading(f), Text: lit, Sort: rank(c.group(f, said), formIndex(f)),
		More: ItemSource{What: "form", Name: f.Kind.Name, ID: int(f.ID)},
	}
	if len(strings.Fields(lit)) < len(f.Elems) {
		it.Text += " "
		if c.opts.Snippets && c.restIsEmpty() {
			it.Text, it.Snippet = f.Snippet(), true
		}
	}
	c.add(it)
}

// group puts clauses that are still to be said first.
func (c *completer) group(f *schema.Form, said []int) byte {
	if f == nil {
		return 'c'
	}
	first := f.Kind.Forms[f.Tally]
	if said[f.Tally] < first.Min {
		return 'b'
	}
	return 'e'
}

func formIndex(f *schema.Form) int { return slices.Index(f.Kind.Forms, f) }

// words offers words of the language.
func (c *completer) words(words, doc string, group byte) {
	if len(c.Before) > 0 || words == "" {
		return
	}
	c.add(Item{
		Label: words, Kind: ItemWord, Detail: doc, Text: words, Sort: rank(group, len(c.items)),
	})
}

// joining offers words that join conditions and paths. What changes at a move is asked in
// transitions of modes only, and in the conditions that they use.
func (c *completer) joining(words string) {
	switch words {
	case "begins", "ends", "stays":
		if id := c.Stmt.Kind.ID; id != schema.From && id != schema.Condition {
			return
		}
	}
	c.words(words, meaning[words], 'd')
}

// meaning of words that join conditions and paths.
var meaning = map[string]string{
	"and": "both", "or": "one of the two, or both", "for": "without a break for a time", "in the last": "at some time in the last",
	"begins": "becomes true in this move", "ends": "becomes false in this move", "stays": "was and is true",
	"each": "one for each of a repeated fit", "not": "the opposite", "any of": "one of several",
	"to": "", "any to": "from every mode", "as": "under a short name",
}

// opening offers what a condition can begin with besides names.
func (c *completer) opening(threshold bool) {
	if threshold {
		c.words("current through", "the current in a thing", 'e')
		c.words("volts", "between two points", 'e')
		c.words("volts at", "against ground", 'e')
		return
	}
	for _, w := range [...][2]string{
		{"not", "the opposite"}, {"always", "true"}, {"every", "all of a repeated fit"}, {"any", "one of a repeated fit"},
		{"current through", "the current in a thing"}, {"volts", "between two points"}, {"volts at", "against ground"},
	} {
		c.words(w[0], w[1], 'e')
	}
}

// colours offers colours; a slash before the word makes it a stripe.
func (c *completer) colours() {
	for _, w := range schema.Colours() {
		c.add(Item{Label: w, Kind: ItemColour, Sort: rank('d', 0), More: ItemSource{What: "word"}})
	}
	for _, w := range [...]string{"dark", "light"} {
		c.add(Item{Label: w, Kind: ItemColour, Detail: "shade of the colour that follows", Text: w + " ", Sort: rank('d', 1)})
	}
}

// units offers the units of some dimensions, those that the text uses already first.
func (c *completer) units(dims []unit.Dim) {
	if len(dims) == 0 {
		dims = unit.Dims()
	}
	for i, d := range dims {
		for j, u := range unit.Units(d) {
			if u.Symbol == "" {
				continue
			}
			c.add(Item{
				Label: u.Symbol, Kind: ItemUnit, Detail: u.Doc(), Sort: rank('a', i*100+j),
				More: ItemSource{What: "unit", Name: u.Symbol},
			})
		}
	}
}

// types offers what an argument of a part can be.
func (c *completer) types(s *schema.Slot) {
	for i, w := range s.Choices {
		c.add(Item{Label: w, Kind: ItemWord, Detail: argumentType(w), Sort: rank('a', i)})
	}
	for i, u := range unit.AllUnits() {
		if u.Symbol == "" || u.IsAWG() {
			continue
		}
		c.add(Item{Label: u.Symbol, Kind: ItemUnit, Detail: u.Doc(), Sort: rank('b', i), More: ItemSource{What: "unit", Name: u.Symbol}})
	}
}

// argumentType says what an argument of a type is.
func argumentType(t string) string {
	switch t {
	case "condition":
		return "a condition: NAME when COND"
	case "quantity":
		return "a quantity of the design"
	case "setting":
		return "a setting of the design"
	case "count":
		return "a whole number"
	}
	if u, ok := unit.Lookup(t); ok {
		return u.Dim.String() + " in any unit"
	}
	return ""
}

// rules offers the rules of the checker.
func (c *completer) rules() {
	if c.v.Catalogue == nil {
		return
	}
	for _, r := range c.v.Catalogue.Rules() {
		c.add(Item{
			Label: r.Name, Kind: ItemRule, Detail: r.Summary, Sort: rank('a', 0), Replace: c.Word,
			More: ItemSource{What: "rule", Name: r.Name},
		})
	}
}
