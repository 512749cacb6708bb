package complete

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
	"pintle/lsp/ide"
)

// List is what could stand at a cursor, the likeliest first.
type List struct {
	Items []Item
	// Incomplete: there is more, which further typing brings up.
	Incomplete bool
}

// Item is one thing that could stand there.
type Item struct {
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

// Options say what the editor can do.
type Options struct {
	Snippets bool
}

// maxItems is how many items are sent at once.
const maxItems = 400

// At lists what could stand at a byte offset.
func At(ctx context.Context, v *ide.View, off int, opts Options) (List, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return List{}, err
	}
	c := &completer{ctx: ctx, v: v, x: x, Spot: ide.FindSpot(v.Tree, off), opts: opts, seen: map[string]bool{}}
	c.scope = ide.ScopeIn(x, v.Tree, c.Block)
	if err := c.run(); err != nil {
		return List{}, err
	}
	return c.result(), nil
}

// completer collects items.
type completer struct {
	*ide.Spot
	ctx   context.Context
	v     *ide.View
	x     *name.Index
	scope *name.Scope
	opts  Options
	items []Item
	seen  map[string]bool
}

func (c *completer) run() error {
	switch {
	case c.Comment:
		return nil
	case c.Text != nil:
		if c.Stmt != nil && c.Stmt.Kind != nil && c.Stmt.Kind.ID == schema.Use {
			return c.files()
		}
		return nil
	case c.Stmt == nil:
		if len(c.Before) == 0 {
			c.kinds()
		}
		return nil
	case c.Stmt.Kind == nil:
		return nil
	}
	said := c.said()
	for _, e := range c.Stmt.Expect(c.Word.Start, c.isArgument) {
		if f := e.Form; f != nil && e.Begins && f.Max > 0 && said[f.Tally] >= f.Max {
			continue // what may be said once is said
		}
		c.expected(&e, said)
	}
	return nil
}

// isArgument reports whether a name is that of an argument, which may stand for a value.
func (c *completer) isArgument(n string) bool {
	d := ide.FollowText(c.scope, n)
	return d != nil && ide.Takes(d) != ""
}

// said counts the clauses of the statement by form, those alike together, but for the one
// that the cursor is in.
func (c *completer) said() []int {
	count := make([]int, len(c.Stmt.Kind.Forms))
	from := c.Stmt.Span.Start
	depth := 0
	for _, t := range c.Toks {
		switch t.Kind {
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
	for _, cl := range c.Stmt.Clauses() {
		if cl.Form == nil || cl.Span.Start >= from && cl.Span.Start <= c.Word.End {
			continue
		}
		count[cl.Form.Tally]++
	}
	return count
}

// add takes an item up, once.
func (c *completer) add(it Item) {
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
		it.Replace = c.Part
	}
	if it.Insert == (source.Span{}) {
		it.Insert = source.Span{Start: it.Replace.Start, End: min(max(c.Off, it.Replace.Start), it.Replace.End)}
	}
	c.items = append(c.items, it)
}

// result orders the items. Where there are very many, only those that go with what was
// typed are kept.
func (c *completer) result() List {
	slices.SortStableFunc(c.items, func(a, b Item) int {
		return cmp.Or(strings.Compare(a.Sort, b.Sort), strings.Compare(a.Label, b.Label))
	})
	out := List{Items: c.items}
	if len(out.Items) <= maxItems {
		return out
	}
	typed := c.Typed()
	out.Items = slices.DeleteFunc(out.Items, func(it Item) bool {
		_, ok := ide.Fuzzy(typed, it.Filter)
		return !ok
	})
	out.Incomplete = true
	out.Items = out.Items[:min(len(out.Items), maxItems)]
	return out
}

// rank makes a key to sort by: groups are letters, a the first.
func rank(group byte, n int) string { return fmt.Sprintf("%c%04d", group, n) }

// restIsEmpty reports whether nothing of the statement follows the word in its line: only
// then is there room for more than a word.
func (c *completer) restIsEmpty() bool {
	rest := c.File.Src.Text[c.Word.End:]
	if i := strings.IndexAny(rest, "\r\n"); i >= 0 {
		rest = rest[:i]
	}
	rest = strings.TrimSpace(rest)
	return rest == "" || rest[0] == '#' || rest[0] == '}' || rest[0] == ','
}
