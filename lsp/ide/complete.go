package ide

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Completion is what could stand at a cursor, the likeliest first.
type Completion struct {
	Items []CompletionItem
	// Incomplete: there is more, which further typing brings up.
	Incomplete bool
}

// CompletionItem is one thing that could stand there.
type CompletionItem struct {
	Label  string
	Kind   ItemKind
	Detail string // beside the label, in a few words
	// Text replaces Replace, or Insert where the editor keeps what follows the cursor;
	// both end or contain the cursor and lie in its line. Snippet: Text has places to
	// fill in, and is indented like the line that it goes into.
	Text            string
	Snippet         bool
	Insert, Replace source.Span
	// Sort orders items; Filter is what typing is compared with.
	Sort, Filter string
	// More is what Resolve makes documentation of.
	More ItemSource
}

// ItemKind says what an item is, for the picture beside it.
type ItemKind uint8

// The kinds of items.
const (
	ItemKeyword   ItemKind = iota // the kind of a statement
	ItemClause                    // a clause
	ItemWord                      // words of the language
	ItemThing                     // a thing of the design
	ItemPin                       // a point or port
	ItemQuantity                  // a quantity, setting or option
	ItemLogic                     // what decides
	ItemMember                    // a position, mode, row, band, level
	ItemPart                      // a part
	ItemArgument                  // an argument
	ItemUnit                      // a unit
	ItemColour                    // a colour
	ItemRule                      // a rule of the checker
	ItemFile                      // a file
	ItemShortName                 // the short name of a file
)

// ItemSource names what an item is about, so that its documentation can be made when
// somebody looks at it. It is plain data that a client may carry about.
type ItemSource struct {
	What string `json:"what,omitempty"` // kind, form, def, unit, rule, word
	Name string `json:"name,omitempty"`
	File string `json:"file,omitempty"` // of a def: where its name stands
	At   int    `json:"at,omitempty"`
	ID   int    `json:"id,omitempty"` // of a kind or form
}

// CompleteOptions say what the editor can do.
type CompleteOptions struct {
	Snippets bool
}

// maxItems is how many items are sent at once.
const maxItems = 400

// Complete lists what could stand at a byte offset.
func Complete(ctx context.Context, v *View, off int, opts CompleteOptions) (Completion, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return Completion{}, err
	}
	c := &completer{ctx: ctx, v: v, x: x, spot: findSpot(v.Tree, off), opts: opts, seen: map[string]bool{}}
	c.scope = scopeIn(x, v.Tree, c.block)
	if err := c.run(); err != nil {
		return Completion{}, err
	}
	return c.result(), nil
}

// completer collects items.
type completer struct {
	*spot
	ctx   context.Context
	v     *View
	x     *name.Index
	scope *name.Scope
	opts  CompleteOptions
	items []CompletionItem
	seen  map[string]bool
}

func (c *completer) run() error {
	switch {
	case c.comment:
		return nil
	case c.text != nil:
		if c.stmt != nil && c.stmt.Kind != nil && c.stmt.Kind.ID == schema.Use {
			return c.files()
		}
		return nil
	case c.stmt == nil:
		if len(c.before) == 0 {
			c.kinds()
		}
		return nil
	case c.stmt.Kind == nil:
		return nil
	}
	said := c.said()
	for _, e := range c.stmt.Expect(c.word.Start, c.isArgument) {
		if f := e.Form; f != nil && e.Begins && f.Max > 0 && said[f.Tally] >= f.Max {
			continue // what may be said once is said
		}
		c.expected(&e, said)
	}
	return nil
}

// isArgument reports whether a name is that of an argument, which may stand for a value.
func (c *completer) isArgument(n string) bool {
	d := followText(c.scope, n)
	return d != nil && takes(d) != ""
}

// said counts the clauses of the statement by form, those alike together, but for the one
// that the cursor is in.
func (c *completer) said() []int {
	count := make([]int, len(c.stmt.Kind.Forms))
	from := c.stmt.Span.Start
	depth := 0
	for _, t := range c.toks {
		switch t.kind {
		case syntax.OpenParen:
			depth++
		case syntax.CloseParen:
			depth = max(depth-1, 0)
		case syntax.Comma, syntax.Colon:
			if depth == 0 {
				from = t.End
			}
		}
	}
	for _, cl := range c.stmt.Clauses() {
		if cl.Form == nil || cl.Span.Start >= from && cl.Span.Start <= c.word.End {
			continue
		}
		count[cl.Form.Tally]++
	}
	return count
}

// add takes an item up, once.
func (c *completer) add(it CompletionItem) {
	key := fmt.Sprint(it.Kind, " ", it.Label)
	if c.seen[key] {
		return
	}
	c.seen[key] = true
	if it.Text == "" {
		it.Text = it.Label
	}
	if it.Filter == "" {
		it.Filter = it.Label
	}
	if it.Replace == (source.Span{}) {
		it.Replace = c.part
	}
	if it.Insert == (source.Span{}) {
		it.Insert = source.Span{Start: it.Replace.Start, End: min(max(c.off, it.Replace.Start), it.Replace.End)}
	}
	c.items = append(c.items, it)
}

// result orders the items. Where there are very many, only those that go with what was
// typed are kept.
func (c *completer) result() Completion {
	slices.SortStableFunc(c.items, func(a, b CompletionItem) int {
		return cmp.Or(strings.Compare(a.Sort, b.Sort), strings.Compare(a.Label, b.Label))
	})
	out := Completion{Items: c.items}
	if len(out.Items) <= maxItems {
		return out
	}
	typed := c.typed()
	out.Items = slices.DeleteFunc(out.Items, func(it CompletionItem) bool {
		_, ok := fuzzy(typed, it.Filter)
		return !ok
	})
	out.Incomplete = true
	out.Items = out.Items[:min(len(out.Items), maxItems)]
	return out
}

// rank makes a key to sort by: groups are letters, a the first.
func rank(group byte, n int) string { return fmt.Sprintf("%c%04d", group, n) }

// restIsEmpty tells whether nothing of the statement follows the word in its line: only
// then is there room for more than a word.
func (c *completer) restIsEmpty() bool {
	rest := c.file.Src.Text[c.word.End:]
	if i := strings.IndexAny(rest, "\r\n"); i >= 0 {
		rest = rest[:i]
	}
	rest = strings.TrimSpace(rest)
	return rest == "" || rest[0] == '#' || rest[0] == '}' || rest[0] == ','
}
