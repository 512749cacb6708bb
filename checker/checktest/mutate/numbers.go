package mutate

import (
	"fmt"
	"strconv"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// scaled writes a quantity with its numbers multiplied, or false if it has none.
func (m *maker) scaled(q *syntax.Quantity, by, plus float64) (string, bool) {
	if q.Param != nil || q.Ranged && q.HiParam != nil {
		return "", false
	}
	words := strings.Fields(m.text(q.Span))
	changed := false
	for i, w := range words {
		if strings.HasPrefix(w, "+-") || strings.HasPrefix(w, "±") {
			break
		}
		number, rest := w, ""
		if n, unit, ok := syntax.SplitNumber(w); ok {
			number, rest = n, unit
		}
		x, err := strconv.ParseFloat(number, 64)
		if err != nil || i > 0 && strings.HasPrefix(words[i-1], "+-") {
			continue
		}
		words[i] = strconv.FormatFloat(round(x*by+plus), 'f', -1, 64) + rest
		changed = true
	}
	return strings.Join(words, " "), changed
}

// round keeps four digits behind the point, so that 0.1*3 reads as people write it.
func round(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', 4, 64), 64)
	return y
}

func (m *maker) scale(s *syntax.Stmt, q *syntax.Quantity, by float64) {
	if q == nil {
		return
	}
	if to, ok := m.scaled(q, by, 0); ok {
		m.emit(fmt.Sprintf("%s: %s becomes %s", title(s), m.text(q.Span), to), []*syntax.Stmt{s}, edit{q.Span, to})
	}
}

// scales makes a kind that multiplies the value of some clauses.
func scales(name, doc string, by float64, ids ...schema.FormID) Kind {
	return Kind{name, doc, func(m *maker, s *syntax.Stmt) {
		for _, id := range ids {
			for _, c := range s.All(id) {
				m.scale(s, quantityOf(c), by)
			}
		}
	}}
}

// argument makes a kind that multiplies the arguments of one unit of a fit.
func (m *maker) arguments(s *syntax.Stmt, f func(*syntax.Quantity, string)) {
	for _, id := range []schema.FormID{schema.FitPart, schema.FitMany} {
		c := s.Clause(id)
		if c == nil || c.Call("part") == nil {
			continue
		}
		for _, a := range c.Call("part").Args {
			if a.Quantity != nil && a.Quantity.Param == nil {
				f(a.Quantity, a.Name.Text)
			}
		}
	}
}

// units by what is written by mistake in their place.
var mistakenUnits = map[string]string{
	"V": "mV", "mV": "V", "A": "mA", "mA": "A", "ohm": "kohm", "kohm": "ohm", "mohm": "ohm", "s": "ms", "ms": "s", "min": "s", "h": "min",
	"degC": "degF", "degF": "degC", "W": "kW", "kW": "W", "m": "cm", "cm": "m", "mm": "m", "bar": "kPa", "kPa": "bar",
}

func numberKinds() []Kind {
	return []Kind{
		scales("thin-wire", "a wire is an eighth as thick", 0.125, schema.WireArea),
		scales("lengthen-wire", "a wire is twenty times as long", 20, schema.WireLength),
		{"fuse-up", "a fuse is four times as large", func(m *maker, s *syntax.Stmt) {
			m.scale(s, clauseValue(s, schema.FuseRating), 4)
			m.arguments(s, func(q *syntax.Quantity, name string) {
				if name == "rating" && fuselike(s) {
					m.scale(s, q, 4)
				}
			})
		}},
		{"fuse-down", "a fuse is a sixth as large", func(m *maker, s *syntax.Stmt) {
			m.scale(s, clauseValue(s, schema.FuseRating), 1.0/6)
			m.arguments(s, func(q *syntax.Quantity, name string) {
				if name == "rating" && fuselike(s) {
					m.scale(s, q, 1.0/6)
				}
			})
		}},
		scales("load-up", "a load takes eight times as much", 8, schema.LoadRated),
		scales("load-down", "a load takes a twentieth", 0.05, schema.LoadRated),
		{"argument-up", "an argument of a part is eight times as large", func(m *maker, s *syntax.Stmt) {
			if !fuselike(s) {
				m.arguments(s, func(q *syntax.Quantity, _ string) { m.scale(s, q, 8) })
			}
		}},
		scales("resistance", "a resistor or winding has thirty times the resistance", 30, schema.ResistorValue, schema.CoilResistance),
		scales("pull-in", "an armature pulls in at three times the value", 3, schema.CoilPullsIn, schema.ArmaturePullsIn),
		scales("volts", "a supply has twice the volts", 2, schema.SupplyVolts),
		scales("contact-down", "a contact or driver may carry a fiftieth", 0.02, schema.ContactUpTo, schema.ChartUpTo, schema.DriverUpTo),
		scales("time", "something lasts fifty times as long", 50, schema.TimerLasts, schema.TimerRowLasts, schema.BeatOn),
		scales("works-from", "a controller works from twice the volts", 2, schema.PoweredWorks),
		{"shift", "a value that something is compared with is shifted by a third of it", func(m *maker, s *syntax.Stmt) {
			shift := func(q *syntax.Quantity) {
				if to, ok := m.scaled(q, 1.35, 0); ok {
					m.emit(fmt.Sprintf("%s: %s becomes %s", title(s), m.text(q.Span), to), []*syntax.Stmt{s}, edit{q.Span, to})
				}
			}
			conds(s, func(c *syntax.Cond) {
				if c.Op == syntax.CondTest && c.Value != nil && c.Value.Param == nil {
					shift(c.Value)
				}
			})
			for _, c := range s.Clauses() {
				switch c.Form.ID {
				case schema.ThresholdSetsAt, schema.ThresholdSetsAbove, schema.ThresholdSetsBelow,
					schema.ThresholdClearsAt, schema.ThresholdClearsAbove, schema.ThresholdClearsBelow, schema.InputLow, schema.InputHigh:
					if q := quantityOf(c); q != nil {
						shift(q)
					}
				}
			}
		}},
		{"beyond", "a value that something is compared with is far outside", func(m *maker, s *syntax.Stmt) {
			for _, c := range s.Clauses() {
				switch c.Form.ID {
				case schema.ThresholdSetsAt, schema.ThresholdSetsAbove, schema.ThresholdSetsBelow:
					m.scale(s, quantityOf(c), 20)
				}
			}
			conds(s, func(c *syntax.Cond) {
				if c.Op == syntax.CondTest && c.Value != nil && c.Value.Param == nil {
					m.scale(s, c.Value, 20)
				}
			})
		}},
		{"unit", "a value is written in another unit of the same dimension", func(m *maker, s *syntax.Stmt) {
			for n := range s.Nodes() {
				q, ok := n.(*syntax.Quantity)
				if !ok || q.Param != nil || is(s, schema.Quantity) {
					continue
				}
				text := m.text(q.Span)
				at := strings.LastIndexByte(text, ' ')
				if at < 0 || q.HasTol {
					continue
				}
				if to, ok := mistakenUnits[text[at+1:]]; ok {
					m.emit(fmt.Sprintf("%s: %s becomes %s", title(s), text, text[:at+1]+to), []*syntax.Stmt{s}, edit{q.Span, text[:at+1] + to})
				}
			}
		}},
		{"wire-rating", "a wire has the cross-section of its neighbour in millimetres squared written as AWG", func(m *maker, s *syntax.Stmt) {
			if c := s.Clause(schema.WireArea); c != nil && quantityOf(c) != nil {
				m.emit(title(s)+": 30 AWG", []*syntax.Stmt{s}, edit{c.Span, "30 AWG"})
			}
		}},
	}
}

func clauseValue(s *syntax.Stmt, id schema.FormID) *syntax.Quantity {
	if c := s.Clause(id); c != nil {
		return quantityOf(c)
	}
	return nil
}

// fuselike reports whether a fit puts in place a part that is called after a fuse.
func fuselike(s *syntax.Stmt) bool {
	c := s.Clause(schema.FitPart)
	return c != nil && c.Call("part") != nil && c.Call("part").Part != nil && strings.Contains(c.Call("part").Part.String(), "Fuse")
}
