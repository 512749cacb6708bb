package mutate

import (
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// ends are the two that a statement joins, or nil.
func ends(s *syntax.Stmt) (a, b *syntax.Ref) {
	if s.Kind.ID == schema.Powered {
		return s.Head().From, s.Head().To
	}
	for _, e := range []struct {
		id   schema.FormID
		a, b string
	}{
		{schema.WireEnds, "from", "to"}, {schema.HoseEnds, "from", "to"}, {schema.SupplyEnds, "minus", "plus"}, {schema.CoilEnds, "a", "b"},
		{schema.ContactEnds, "a", "b"}, {schema.LoadEnds, "a", "b"}, {schema.ResistorEnds, "a", "b"}, {schema.DiodeEnds, "a", "b"},
		{schema.FuseEnds, "a", "b"}, {schema.PassageEnds, "a", "b"}, {schema.DriverEarths, "pin", "ground"},
		{schema.DriverFeeds, "pin", "feed"}, {schema.ContactRests, "common", "resting"},
	} {
		if c := s.Clause(e.id); c != nil {
			return c.Ref(e.a), c.Ref(e.b)
		}
	}
	return nil, nil
}

func is(s *syntax.Stmt, ids ...schema.ID) bool {
	for _, id := range ids {
		if s.Kind.ID == id {
			return true
		}
	}
	return false
}

// toGround reports whether a wire ends at the ground of its file.
func (m *maker) toGround(s *syntax.Stmt) bool {
	a, b := ends(s)
	if a == nil || b == nil {
		return false
	}
	for _, g := range m.all {
		if g.Kind != nil && g.Kind.ID == schema.Ground && (a.String() == g.Name().Text || b.String() == g.Name().Text) {
			return true
		}
	}
	return false
}

func (m *maker) drop(s *syntax.Stmt) {
	m.emit(title(s)+" is left out", []*syntax.Stmt{s}, edit{m.whole(s), ""})
}

// exchange swaps two spans.
func (m *maker) exchange(what string, on []*syntax.Stmt, a, b syntax.Node) {
	m.emit(what, on, edit{a.Extent(), m.text(b.Extent())}, edit{b.Extent(), m.text(a.Extent())})
}

func joiningKinds() []Kind {
	return []Kind{
		{"drop-wire", "a wire is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.Wire) && !m.toGround(s) {
				m.drop(s)
			}
		}},
		{"drop-earth", "a wire to ground is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.Wire) && m.toGround(s) {
				m.drop(s)
			}
		}},
		{"drop-hose", "a hose or passage is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.Hose, schema.Passage) {
				m.drop(s)
			}
		}},
		{"drop-diode", "a diode is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.Diode) {
				m.drop(s)
			}
		}},
		{"drop-element", "a load, winding, contact, resistor or fuse that nothing names is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.Load, schema.Coil, schema.Contact, schema.Resistor, schema.Fuse, schema.Sender) && !m.named(s) {
				m.drop(s)
			}
		}},
		{"move-end", "an end of a wire is put where another wire ends", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if !is(s, schema.Wire) || o == nil {
				return
			}
			a, b := ends(s)
			c, d := ends(o)
			if a == nil || b == nil || c == nil || d == nil {
				return
			}
			for _, to := range []*syntax.Ref{d, c} {
				if to.String() != a.String() && to.String() != b.String() && !b.Each && !to.Each {
					m.emit(title(s)+": "+b.String()+" becomes "+to.String(), []*syntax.Stmt{s}, edit{b.Span, m.text(to.Span)})
					return
				}
			}
		}},
		{"move-start", "the beginning of a wire is put where another wire ends", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if !is(s, schema.Wire) || o == nil {
				return
			}
			a, b := ends(s)
			c, d := ends(o)
			if a == nil || b == nil || c == nil || d == nil {
				return
			}
			for _, to := range []*syntax.Ref{c, d} {
				if to.String() != a.String() && to.String() != b.String() && !a.Each && !to.Each {
					m.emit(title(s)+": "+a.String()+" becomes "+to.String(), []*syntax.Stmt{s}, edit{a.Span, m.text(to.Span)})
					return
				}
			}
		}},
		{"move-hose", "an end of a hose or passage is put where another ends", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if !is(s, schema.Hose, schema.Passage) || o == nil {
				return
			}
			a, b := ends(s)
			_, d := ends(o)
			if a != nil && b != nil && d != nil && d.String() != a.String() && d.String() != b.String() {
				m.emit(title(s)+": "+b.String()+" becomes "+d.String(), []*syntax.Stmt{s}, edit{b.Span, m.text(d.Span)})
			}
		}},
		{"reverse", "the ends of something without direction, or of a supply or a controller's feed, are exchanged", func(m *maker, s *syntax.Stmt) {
			if a, b := ends(s); a != nil && b != nil && !is(s, schema.Diode, schema.Driver) && !s.Has(schema.ContactRests) {
				m.exchange(title(s)+" is turned round", []*syntax.Stmt{s}, a, b)
			}
		}},
		{"turn-diode", "a diode is put in the wrong way round", func(m *maker, s *syntax.Stmt) {
			if a, b := ends(s); is(s, schema.Diode) && a != nil && b != nil {
				m.exchange(title(s)+" is turned round", []*syntax.Stmt{s}, a, b)
			}
		}},
		{"swap-ends", "two wires are exchanged at one end", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if !is(s, schema.Wire) || o == nil {
				return
			}
			_, b := ends(s)
			_, d := ends(o)
			if b != nil && d != nil && b.String() != d.String() && !b.Each && !d.Each {
				m.exchange(title(s)+" and "+title(o)+" are exchanged", []*syntax.Stmt{s, o}, b, d)
			}
		}},
		{"swap-pins", "two wires are exchanged at the pins of one thing", swapPins},
		{"swap-throws", "the throws of a changeover are exchanged", func(m *maker, s *syntax.Stmt) {
			rests, works := s.Clause(schema.ContactRests), s.Clause(schema.ContactGoesTo)
			if rests != nil && works != nil && rests.Ref("resting") != nil && works.Ref("working") != nil {
				m.exchange(title(s)+": its throws are exchanged", []*syntax.Stmt{s}, rests.Ref("resting"), works.Ref("working"))
			}
		}},
		{"swap-common", "the common of a changeover is exchanged with its resting throw", func(m *maker, s *syntax.Stmt) {
			if rests := s.Clause(schema.ContactRests); rests != nil && rests.Ref("resting") != nil && rests.Ref("common") != nil {
				m.exchange(title(s)+": common and rest are exchanged", []*syntax.Stmt{s}, rests.Ref("common"), rests.Ref("resting"))
			}
		}},
		{"move-pin", "an input, sender or driver is on the pin of its neighbour", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if o == nil {
				return
			}
			a, b := pinOf(s), pinOf(o)
			if a != nil && b != nil && a.String() != b.String() {
				m.exchange(title(s)+" and "+title(o)+" are exchanged", []*syntax.Stmt{s, o}, a, b)
			}
		}},
	}
}

// named reports whether anything outside names what a statement declares.
func (m *maker) named(s *syntax.Stmt) bool {
	for r := range m.refs {
		if r == s.Name().Text || hasLast(r, s.Name().Text) {
			return true
		}
	}
	for _, o := range m.all {
		if o.Kind != nil && o.Kind.ID == schema.Shows {
			for _, w := range o.Head().Names {
				if w.Text == s.Name().Text {
					return true
				}
			}
		}
	}
	return false
}

func hasLast(path, name string) bool {
	n := len(path) - len(name)
	return n > 0 && path[n:] == name && path[n-1] == '.'
}

// swapPins exchanges a wire with the next one that ends at the same thing, at it.
func swapPins(m *maker, s *syntax.Stmt) {
	if !is(s, schema.Wire) {
		return
	}
	list := siblings(m.file, s)
	for i, o := range list {
		if o != s {
			continue
		}
		for _, other := range list[i+1:] {
			for _, mine := range both(s) {
				for _, theirs := range both(other) {
					if len(mine.Parts) > 1 && len(theirs.Parts) == len(mine.Parts) && mine.Parts[0].Text == theirs.Parts[0].Text &&
						mine.String() != theirs.String() && !mine.Each && !theirs.Each {
						m.exchange(title(s)+" and "+title(other)+" are exchanged at "+mine.Parts[0].Text, []*syntax.Stmt{s, other}, mine, theirs)
						return
					}
				}
			}
		}
	}
}

func both(s *syntax.Stmt) []*syntax.Ref {
	a, b := ends(s)
	if a == nil || b == nil {
		return nil
	}
	return []*syntax.Ref{a, b}
}

// pinOf is the pin of an input, sender or driver.
func pinOf(s *syntax.Stmt) *syntax.Ref {
	for _, id := range []schema.FormID{schema.InputAt, schema.SenderAt, schema.DriverEarths, schema.DriverFeeds} {
		if c := s.Clause(id); c != nil {
			return c.Ref("pin")
		}
	}
	return nil
}
