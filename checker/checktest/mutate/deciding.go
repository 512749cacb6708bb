package mutate

import (
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func decidingKinds() []Kind {
	return []Kind{
		{"drop-row", "a row of a result, chart or timer is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.ResultRow, schema.ChartRow, schema.TimerRow) {
				m.drop(s)
			}
		}},
		{"drop-transition", "a transition is left out", func(m *maker, s *syntax.Stmt) {
			if is(s, schema.From) {
				m.drop(s)
			}
		}},
		{"exchange-rows", "two rows or transitions are exchanged in what they do", func(m *maker, s *syntax.Stmt) {
			o := next(m.file, s)
			if o == nil || !is(s, schema.ResultRow, schema.ChartRow, schema.TimerRow, schema.From) {
				return
			}
			a, b := s.Clauses(), o.Clauses()
			if len(a) == 0 || len(b) == 0 {
				return
			}
			x := source.Span{Start: a[0].Start, End: a[len(a)-1].End}
			y := source.Span{Start: b[0].Start, End: b[len(b)-1].End}
			m.emit(title(s)+" and "+title(o)+" are exchanged", []*syntax.Stmt{s, o}, edit{x, m.text(y)}, edit{y, m.text(x)})
		}},
		{"other-target", "a transition leads to another mode", func(m *maker, s *syntax.Stmt) {
			h := s.Head()
			if !is(s, schema.From) || h.To == nil {
				return
			}
			if o := next(m.file, s); o != nil && o.Head().To != nil && o.Head().To.String() != h.To.String() {
				m.emit("to "+h.To.String()+" becomes to "+o.Head().To.String(), []*syntax.Stmt{s}, edit{h.To.Span, o.Head().To.String()})
			}
		}},
		{"start", "a setting, a quantity or modes start elsewhere", func(m *maker, s *syntax.Stmt) {
			switch {
			case is(s, schema.Setting):
				list := s.All(schema.SettingPosition)
				if len(list) < 2 {
					return
				}
				last := list[len(list)-1].Word("position").Text
				if c := s.Clause(schema.SettingStarts); c == nil {
					end := s.Clauses()[len(s.Clauses())-1].End
					m.emit(title(s)+" starts at "+last, []*syntax.Stmt{s}, edit{source.Span{Start: end, End: end}, ", starts at " + last})
				} else if at := c.Word("position"); at.Text != last {
					m.emit(title(s)+" starts at "+last, []*syntax.Stmt{s}, edit{at.Span, last})
				} else {
					m.emit(title(s)+" starts at its first position", []*syntax.Stmt{s}, edit{at.Span, list[0].Word("position").Text})
				}
			case is(s, schema.Modes):
				c := s.Clause(schema.ModesStart)
				for _, b := range s.Body {
					if c == nil || b.Kind == nil || b.Kind.ID != schema.Mode {
						continue
					}
					for _, n := range b.Head().Names {
						if n.Text != c.Word("mode").Text {
							m.emit(title(s)+" starts in "+n.Text, []*syntax.Stmt{s}, edit{c.Word("mode").Span, n.Text})
							return
						}
					}
				}
			}
		}},
		{"other-side", "a driver feeds where it earths, or the other way round", func(m *maker, s *syntax.Stmt) {
			for id, words := range map[schema.FormID][2]string{schema.DriverEarths: {"earths", "to"}, schema.DriverFeeds: {"feeds", "from"}} {
				c := s.Clause(id)
				if c == nil {
					continue
				}
				other := [2]string{"feeds", "from"}
				behind := c.Ref("ground")
				if id == schema.DriverFeeds {
					other, behind = [2]string{"earths", "to"}, c.Ref("feed")
				}
				if p := m.otherRail(s, behind); p != "" && c.Ref("pin") != nil {
					m.emit(title(s)+": "+words[0]+" becomes "+other[0], []*syntax.Stmt{s}, edit{c.Span, other[0] + " " + c.Ref("pin").String() + " " + other[1] + " " + p})
				}
			}
		}},
		{"exchange-limits", "what sets a threshold and what clears it, or pull-in and drop-out, are exchanged", func(m *maker, s *syntax.Stmt) {
			for _, p := range [][2]schema.FormID{
				{schema.ThresholdSetsAt, schema.ThresholdClearsAt}, {schema.ThresholdSetsAt, schema.ThresholdClearsBelow}, {schema.ThresholdSetsAt, schema.ThresholdClearsAbove},
				{schema.ThresholdSetsAbove, schema.ThresholdClearsBelow}, {schema.ThresholdSetsBelow, schema.ThresholdClearsAbove},
				{schema.CoilPullsIn, schema.CoilDropsOut}, {schema.ArmaturePullsIn, schema.ArmatureDropsOut}, {schema.InputLow, schema.InputHigh},
			} {
				a, b := s.Clause(p[0]), s.Clause(p[1])
				if a == nil || b == nil {
					continue
				}
				x, y := quantityOf(a), quantityOf(b)
				if x != nil && y != nil {
					m.exchange(title(s)+": the two limits are exchanged", []*syntax.Stmt{s}, x, y)
				}
			}
		}},
		{"against", "a winding moves its armature the other way", func(m *maker, s *syntax.Stmt) {
			for _, c := range s.All(schema.ArmatureMoved) {
				m.emit(title(s)+": against", []*syntax.Stmt{s}, edit{source.Span{Start: c.End, End: c.End}, " against"})
				return
			}
			if a, b := s.Clause(schema.ArmatureSet), s.Clause(schema.ArmatureReleased); a != nil && b != nil && a.Ref("coil") != nil && b.Ref("coil") != nil {
				m.exchange(title(s)+": set and release are exchanged", []*syntax.Stmt{s}, a.Ref("coil"), b.Ref("coil"))
			}
		}},
		{"other-mover", "a contact is moved by another winding", func(m *maker, s *syntax.Stmt) {
			c := s.Clause(schema.ContactBy)
			if c == nil || c.Ref("mover") == nil {
				return
			}
			for _, o := range m.all {
				if o.Kind != nil && o.Parent == s.Parent && is(o, schema.Coil, schema.Armature) && o.Name().Text != c.Ref("mover").String() {
					m.emit(title(s)+": by "+o.Name().Text, []*syntax.Stmt{s}, edit{c.Ref("mover").Span, o.Name().Text})
					return
				}
			}
		}},
	}
}

// otherRail is the other end of the feed of the controller that a driver belongs to.
func (m *maker) otherRail(s *syntax.Stmt, behind *syntax.Ref) string {
	if behind == nil {
		return ""
	}
	for _, o := range m.all {
		if o.Kind != nil && o.Kind.ID == schema.Powered && o.Parent == s.Parent {
			h := o.Head()
			if h.From != nil && h.To != nil {
				if behind.String() == h.To.String() {
					return h.From.String()
				}
				return h.To.String()
			}
		}
	}
	return ""
}

// quantityOf is the value of a clause that has one.
func quantityOf(c *syntax.Clause) *syntax.Quantity {
	for _, a := range c.Args {
		if q, ok := a.Node.(*syntax.Quantity); ok && q.Param == nil {
			return q
		}
	}
	return nil
}
