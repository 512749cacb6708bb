package mutate

import (
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// conds calls f with every node of the conditions of a statement.
func conds(s *syntax.Stmt, f func(*syntax.Cond)) {
	for n := range s.Nodes() {
		if c, ok := n.(*syntax.Cond); ok && c.Op != syntax.CondBad {
			f(c)
		}
	}
}

// whole conditions of the clauses and of the arguments of a statement.
func conditions(s *syntax.Stmt, f func(*syntax.Cond)) {
	inside := source.Span{}
	conds(s, func(c *syntax.Cond) {
		if c.Start >= inside.End {
			inside = c.Span
			f(c)
		}
	})
}

// flip puts the opposite in the place of one word in a span, if that stands there once.
func (m *maker) flip(s *syntax.Stmt, in source.Span, pairs map[string]string) {
	for i, w := range m.words(in) {
		to, ok := pairs[m.text(w)]
		if !ok || i == 0 && false {
			continue
		}
		m.emit(title(s)+": "+m.text(w)+" becomes "+to, []*syntax.Stmt{s}, edit{w, to})
		return
	}
}

// words are the spans of the words in a span.
func (m *maker) words(in source.Span) []source.Span {
	var out []source.Span
	text := m.text(in)
	for at := 0; at < len(text); {
		if strings.ContainsRune(" \t\n,()", rune(text[at])) {
			at++
			continue
		}
		end := at
		for end < len(text) && !strings.ContainsRune(" \t\n,()", rune(text[end])) {
			end++
		}
		out = append(out, source.Span{Start: in.Start + at, End: in.Start + end})
		at = end
	}
	return out
}

// opposites: `open` has none, since it is the name of many positions, too.
var opposites = map[string]string{
	"energised": "released", "released": "energised", "made": "open",
	"fed": "vented", "vented": "fed", "live": "grounded", "grounded": "live",
	"low": "high", "high": "low", "on": "off", "off": "on", "running": "done", "done": "running", "idle": "running",
}

var comparisons = map[string]string{"above": "below", "below": "above", "least": "most", "most": "least"}

func switchingKinds() []Kind {
	return []Kind{
		{"invert-contact", "a contact that makes breaks, or the other way round", func(m *maker, s *syntax.Stmt) {
			for id, to := range map[schema.FormID]string{schema.ContactMake: "break", schema.ContactBreak: "make"} {
				if c := s.Clause(id); c != nil {
					m.emit(title(s)+": "+m.text(c.Span)+" becomes "+to, []*syntax.Stmt{s}, edit{c.Span, to})
				}
			}
		}},
		{"negate", "a condition is negated", func(m *maker, s *syntax.Stmt) {
			conditions(s, func(c *syntax.Cond) {
				if c.Op != syntax.CondAlways {
					m.emit(title(s)+": not ("+m.text(c.Span)+")", []*syntax.Stmt{s}, edit{c.Span, "not (" + m.text(c.Span) + ")"})
				}
			})
		}},
		{"and-or", "and and or are exchanged", func(m *maker, s *syntax.Stmt) {
			conds(s, func(c *syntax.Cond) {
				from, to := " and ", " or "
				if c.Op == syntax.CondOr {
					from, to = to, from
				} else if c.Op != syntax.CondAnd {
					return
				}
				var parts []string
				for _, k := range c.Kids {
					parts = append(parts, m.text(k.Span))
				}
				_ = from
				m.emit(title(s)+":"+from+"becomes"+to, []*syntax.Stmt{s}, edit{c.Span, "(" + strings.Join(bracketed(c, parts), to) + ")"})
			})
		}},
		{"drop-term", "a term of a condition is left out", func(m *maker, s *syntax.Stmt) {
			conds(s, func(c *syntax.Cond) {
				if c.Op != syntax.CondAnd && c.Op != syntax.CondOr {
					return
				}
				for i, k := range c.Kids {
					var parts []string
					for j, o := range c.Kids {
						if i != j {
							parts = append(parts, m.text(o.Span))
						}
					}
					word := " and "
					if c.Op == syntax.CondOr {
						word = " or "
					}
					m.emit(title(s)+": "+m.text(k.Span)+" is left out", []*syntax.Stmt{s}, edit{c.Span, "(" + strings.Join(parts, word) + ")"})
				}
			})
		}},
		{"above-below", "a comparison is the other way round", func(m *maker, s *syntax.Stmt) {
			conds(s, func(c *syntax.Cond) {
				if c.Op == syntax.CondTest && c.Value != nil {
					switch c.Pred {
					case syntax.PredAbove, syntax.PredBelow, syntax.PredAtLeast, syntax.PredAtMost:
						m.flip(s, source.Span{Start: c.Start, End: c.Value.Start}, comparisons)
					}
				}
			})
		}},
		{"opposite", "energised, made, fed, live, high, on … is the opposite", func(m *maker, s *syntax.Stmt) {
			conds(s, func(c *syntax.Cond) {
				if c.Op == syntax.CondTest && c.Pred == syntax.PredIs && len(c.Words) == 1 {
					if _, is := m.position(c); !is {
						m.flip(s, c.Words[0].Span, opposites)
					}
				}
			})
		}},
		{"other-position", "a condition asks for another position or mode", func(m *maker, s *syntax.Stmt) {
			conds(s, func(c *syntax.Cond) {
				if c.Op == syntax.CondTest && len(c.Words) == 1 {
					if other, ok := m.position(c); ok {
						m.emit(title(s)+": "+c.Words[0].Text+" becomes "+other, []*syntax.Stmt{s}, edit{c.Words[0].Span, other})
					}
				}
			})
		}},
		{"drop-clause", "one way, while, clamped, makes first, in order, counts as … is left out", func(m *maker, s *syntax.Stmt) {
			for _, c := range s.Clauses() {
				switch c.Form.ID {
				case schema.SupplyOneWay, schema.SupplyWhile, schema.PassageOneWay, schema.OriginPresent, schema.SettingInOrder, schema.SettingSpringsBack,
					schema.ContactMakesFirst, schema.DriverClamped, schema.InputCountsLevel, schema.InputCountsValue, schema.InputPulledUp,
					schema.InputPulledDown, schema.BeatWhile, schema.TimerStops, schema.ConnectorKeyed, schema.QuantityChanges, schema.ThresholdStartsSet:
					m.emit(title(s)+": "+m.text(c.Span)+" is left out", []*syntax.Stmt{s}, edit{m.withComma(c.Span), ""})
				}
			}
		}},
	}
}

// bracketed puts parts into parentheses where their operator needs it.
func bracketed(c *syntax.Cond, parts []string) []string {
	for i, k := range c.Kids {
		if (k.Op == syntax.CondAnd || k.Op == syntax.CondOr) && !strings.HasPrefix(parts[i], "(") {
			parts[i] = "(" + parts[i] + ")"
		}
	}
	return parts
}

// position finds another position of the setting, or mode of the machine, that a test
// names one of.
func (m *maker) position(c *syntax.Cond) (string, bool) {
	if c.Subject.A == nil || len(c.Subject.A.Parts) == 0 || len(c.Words) == 0 {
		return "", false
	}
	name := c.Subject.A.Parts[len(c.Subject.A.Parts)-1].Text
	for _, o := range m.all {
		if o.Kind == nil || o.Name().Text != name {
			continue
		}
		var all []string
		switch o.Kind.ID {
		case schema.Setting:
			for _, p := range o.All(schema.SettingPosition) {
				all = append(all, p.Word("position").Text)
			}
		case schema.Modes:
			for _, b := range o.Body {
				if b.Kind != nil && b.Kind.ID == schema.Mode {
					for _, n := range b.Head().Names {
						all = append(all, n.Text)
					}
				}
			}
		case schema.Result:
			for _, b := range o.Body {
				all = append(all, b.Name().Text)
			}
		}
		for i, p := range all {
			if p == c.Words[0].Text && len(all) > 1 {
				return all[(i+1)%len(all)], true
			}
		}
	}
	return "", false
}

// withComma is a clause with the comma before it, or behind it.
func (m *maker) withComma(s source.Span) source.Span {
	text := m.file.Src.Text
	for at := s.Start - 1; at >= 0; at-- {
		if text[at] == ',' {
			return source.Span{Start: at, End: s.End}
		}
		if !strings.ContainsRune(" \t\n\r", rune(text[at])) {
			break
		}
	}
	for s.End < len(text) && strings.ContainsRune(" \t\n\r,", rune(text[s.End])) {
		s.End++
	}
	return s
}
