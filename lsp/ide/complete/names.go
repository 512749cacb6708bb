package complete

import (
	"slices"
	"strconv"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// expected turns one thing that could stand here into items.
func (c *completer) expected(e *syntax.Expected, said []int) {
	if len(c.Before) > 0 {
		switch e.What {
		case syntax.ExpectPath, syntax.ExpectSubject, syntax.ExpectPart, syntax.ExpectArgumentValue:
		default:
			return // behind a dot there are only names
		}
	}
	group := c.group(e.Form, said)
	switch e.What {
	case syntax.ExpectClause:
		c.form(e.Form, said)
	case syntax.ExpectWord:
		c.joining(e.Word)
	case syntax.ExpectChoice:
		c.words(e.Word, "", 'a')
	case syntax.ExpectPath:
		suit := sortFor(e)
		if e.Subject != nil && e.Subject.Kind >= syntax.CurrentThrough {
			suit = c.own(suit)
		}
		c.names(suit, group)
	case syntax.ExpectName:
		c.ownNames(e)
	case syntax.ExpectText:
		c.text0()
	case syntax.ExpectColour:
		c.colours()
	case syntax.ExpectCount:
		c.counts(group)
	case syntax.ExpectValue:
		c.values(e, group)
	case syntax.ExpectUnit:
		c.units(c.dims(e))
	case syntax.ExpectTolerance:
		c.words("+-10 %", "tolerance", 'd')
	case syntax.ExpectSubject:
		c.subject(e, group)
	case syntax.ExpectComparison:
		c.predicates(e)
	case syntax.ExpectState:
		c.states(e)
	case syntax.ExpectType:
		c.types(e.Slot)
	case syntax.ExpectPart:
		c.names(isPart, 'a')
	case syntax.ExpectArgument:
		c.arguments(e)
	case syntax.ExpectArgumentValue:
		c.argumentValue(e)
	}
}

// subject offers what a condition can begin with, or what a threshold looks at.
func (c *completer) subject(e *syntax.Expected, group byte) {
	threshold := e.Slot != nil && e.Slot.Type == schema.SlotSubject
	c.opening(threshold)
	switch {
	case threshold:
		c.names(c.own(slotSort(schema.FormOf(schema.ThresholdSubject).Slot("subject"))), group)
	case c.acts():
		c.names(c.ownLogic, group)
	default:
		c.names(condSubject, group)
	}
}

// named is what a path before the cursor names.
func (c *completer) named(r *syntax.Ref) *name.Def {
	if r == nil {
		return nil
	}
	return ide.FollowText(c.scope, r.String())
}

// names offers what can be named here and suits, or leads to what does.
func (c *completer) names(suit sortOf, group byte) {
	if len(c.Before) > 0 {
		c.behindDot(suit)
		return
	}
	if c.scope == nil {
		return
	}
	list := slices.Collect(c.scope.Visible())
	for s := c.scope; s != nil; s = s.Outer {
		list = append(list, s.Claims...)
	}
	for _, d := range list {
		f := suit(d)
		if f == unfit || d.Sort == name.Lost || c.itself(d) {
			continue
		}
		near := 0
		if d.In != c.scope {
			near = 1
		}
		if f == leads {
			near += 3
		}
		c.add(c.item(d, rank(group, near)))
	}
	for _, d := range c.terminals(suit) {
		it := c.item(d, rank(group, 1))
		it.Label = d.In.Owner.Name + "." + d.Name
		it.Text, it.Filter = it.Label, it.Label
		c.add(it)
	}
}

// acts reports whether the statement decides what a controller does: it may then name only
// what the controller reads and what is its own.
func (c *completer) acts() bool {
	return c.scope != nil && c.scope.Controller && c.statementDecides()
}

func (c *completer) statementDecides() bool {
	for st := c.Stmt; st != nil; st = st.Parent {
		if st.Kind == nil {
			return false
		}
		switch st.Kind.ID {
		case schema.Driver:
			return true
		case schema.Fit, schema.Part, schema.Bench:
			return false
		}
		if st.Kind.Group == schema.Deciding {
			return true
		}
	}
	return false
}

// ownLogic is what a controller may act on.
func (c *completer) ownLogic(d *name.Def) fitness {
	if d.Sort != name.Thing {
		return unfit
	}
	switch d.Kind {
	case schema.Option:
		return suits
	case schema.Input, schema.Driver, schema.Threshold, schema.Timer, schema.Beat, schema.Condition, schema.Modes, schema.Result, schema.Bands:
		if d.In == c.scope {
			return suits
		}
	}
	return unfit
}

// own restricts a sort to what belongs to the controller, where one acts.
func (c *completer) own(suit sortOf) sortOf {
	if !c.acts() {
		return suit
	}
	return func(d *name.Def) fitness {
		if f := suit(d); d.In == c.scope && (f == suits || f == suitsOn) {
			return suits
		}
		return unfit
	}
}

// terminals lists the ends that supplies name themselves: there is no other way to find
// out what they are called.
func (c *completer) terminals(suit sortOf) []*name.Def {
	var out []*name.Def
	for d := range c.scope.Visible() {
		if d.Sort != name.Thing || d.Kind != schema.Supply || d.Inner == nil {
			continue
		}
		for _, t := range d.Inner.Defs {
			if t.Sort == name.Terminal && suit(t) == suits {
				out = append(out, t)
			}
		}
	}
	return out
}

// itself reports whether a definition is the one that is being written.
func (c *completer) itself(d *name.Def) bool {
	return c.Stmt != nil && d.Stmt == c.Stmt && d.Sort == name.Thing
}

// behindDot offers what is behind the dots of the path before the cursor.
func (c *completer) behindDot(suit sortOf) {
	d := ide.Follow(c.scope, c.Before)
	if d == nil {
		return
	}
	last := c.Before[len(c.Before)-1]
	_, err := strconv.ParseUint(last, 10, 31)
	numbered := err == nil && last != d.Name
	if n := many(d); n > 0 && !numbered {
		for i := range min(n, 100) {
			c.add(Item{
				Label: strconv.Itoa(i + 1), Kind: ItemMember, Detail: "number " + strconv.Itoa(i+1) + " of " + d.Name, Sort: rank('b', i),
				More: sourceOf(d),
			})
		}
		if d.Kind == schema.Connector || !c.overAll() {
			return
		}
	}
	for i, m := range name.Members(d) {
		f := suit(m)
		if f == unfit {
			continue
		}
		group := byte('a')
		if f == leads {
			group = 'b'
		}
		c.add(c.item(m, rank(group, i)))
	}
}

// overAll reports whether the path is over all of a repeated fit: `each plug.1`.
func (c *completer) overAll() bool {
	switch c.Toks[len(c.Toks)-1].Text {
	case "each", "every", "any":
		return true
	}
	return false
}

// many is how many of a thing there are by number; 0: it has no number.
func many(d *name.Def) int {
	if d.Sort != name.Thing || d.Stmt == nil {
		return 0
	}
	form, role := schema.FitMany, "count"
	switch d.Kind {
	case schema.Fit:
	case schema.Connector:
		form, role = schema.ConnectorWays, "ways"
	default:
		return 0
	}
	if cl := d.Stmt.Clause(form); cl != nil {
		if n := cl.Count(role); n != nil {
			return n.N
		}
	}
	return 0
}

// item is a definition as an item.
func (c *completer) item(d *name.Def, sort string) Item {
	it := Item{Label: d.Name, Kind: itemKind(d), Detail: summary(d), Sort: sort, More: sourceOf(d)}
	return it
}

func sourceOf(d *name.Def) ItemSource {
	s := ItemSource{What: "def", Name: d.Path(), At: d.NamePlace.Start}
	if d.NamePlace.File != nil {
		s.File = d.NamePlace.File.Name
	}
	return s
}

func itemKind(d *name.Def) ItemKind {
	switch d.Sort {
	case name.Position, name.Level, name.Way:
		return ItemMember
	case name.Terminal:
		return ItemPin
	case name.Short:
		return ItemShortName
	}
	switch d.Kind {
	case schema.Part:
		return ItemPart
	case schema.Takes:
		return ItemArgument
	case schema.Pin, schema.Port, schema.Node, schema.Ground, schema.Splice:
		return ItemPin
	case schema.Quantity, schema.Setting, schema.Option:
		return ItemQuantity
	case schema.Mode, schema.Band, schema.ResultRow, schema.TimerRow, schema.Step:
		return ItemMember
	}
	if schema.Of(d.Kind).Group == schema.Deciding {
		return ItemLogic
	}
	return ItemThing
}

// summary says in a few words what a definition is.
func summary(d *name.Def) string {
	w := d.Word()
	if d.Sort != name.Thing || d.Stmt == nil {
		if d.In != nil && d.In.Owner != nil {
			return w + " of " + d.In.Owner.Name
		}
		return w
	}
	switch d.Kind {
	case schema.Fit:
		if call := name.CallOf(d); call != nil && call.Part != nil {
			return call.Part.String()
		}
		return "fit"
	case schema.Takes:
		return "argument: " + ide.Takes(d)
	case schema.Quantity:
		if cl := d.Stmt.Clause(schema.QuantityRange); cl != nil {
			return "quantity, " + ide.TextOf(d.Stmt, cl)
		}
	}
	return w
}
