package table

import (
	"maps"
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// while is the name of the column of what remembers.
const while = "while"

func (m *maker) expr(c logic.Cube) *logic.Expr { return c.Expr(m.System.Reach().Space) }

// name is what a variable is called.
func (m *maker) name(v logic.Var) string {
	d, r := m.System.Design(), m.System.Role(v)
	switch r.Kind {
	case system.RoleSetting:
		return d.Settings[r.Index].Path
	case system.RoleQuantity:
		return d.Quantities[r.Index].Path
	case system.RoleFree:
		return d.Elements[r.Index].Path
	case system.RoleMachine, system.RoleMode:
		return d.Machines[r.Index].Path
	}
	return while
}

// inputs gives the columns in which the rows say when they hold, and what each row says there.
func (m *maker) inputs(t *system.Tabulation) (names []string, when [][]string) {
	for _, v := range t.Vars {
		if n := m.name(v); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	for i := range t.Rows {
		row := make([]string, len(names))
		for _, v := range t.Vars {
			set, ok := t.Rows[i].When.Bounds[v]
			if !ok {
				continue
			}
			at := slices.Index(names, m.name(v))
			if row[at] != "" {
				row[at] += ", "
			}
			row[at] += m.value(v, set)
		}
		when = append(when, row)
	}
	return names, when
}

// value says which values a variable has.
func (m *maker) value(v logic.Var, set logic.Set) string {
	s := m.System
	d, r := s.Design(), s.Role(v)
	text := s.Words(s.Reach().Space.In(v, set))
	switch r.Kind {
	case system.RoleQuantity:
		return s.Axis(model.QuantityID(r.Index)).Text(slices.Collect(set.All()))
	case system.RoleSetting, system.RoleFree, system.RoleMachine, system.RoleMode:
		text = strings.TrimPrefix(strings.TrimPrefix(text, m.name(v)+" is "), "any of ")
	case system.RoleMemory:
		if side := m.side(&d.Memories[r.Index], set); side != "" {
			return side + " (" + text + ")"
		}
	}
	return text
}

// side says from where a quantity came, if a memory is that of a threshold over one.
func (m *maker) side(mem *model.Memory, set logic.Set) string {
	d := m.System.Design()
	if mem.MemKind != model.MemThreshold || mem.Of < 0 || mem.Of >= len(d.Thresholds) || set.Len() != 1 {
		return ""
	}
	t := &d.Thresholds[mem.Of]
	if t.Quantity == model.None {
		return ""
	}
	// What sets on the way up, and still is set where it need not be, has come from above.
	if set.Has(1) == t.Rising() {
		return d.Quantities[t.Quantity].Path + " came from above"
	}
	return d.Quantities[t.Quantity].Path + " came from below"
}

// cells are what a column says in each row.
func (m *maker) cells(c *Column, column int, conds []system.Condition, t *system.Tabulation) (out []Cell, note string) {
	for i := range t.Rows {
		cell := Cell{}
		for _, holds := range t.Rows[i].Can[column] {
			if text := c.said(holds); !slices.Contains(cell.Values, text) {
				cell.Values = append(cell.Values, text)
			}
		}
		if c.Measure != nil {
			here, within := ask.Range(m.Pass, m.System, *c.Measure, system.All(m.row(t, i), m.Among))
			cell.Nominal, cell.Within, cell.Dim = &here, &within, unit.Voltage
			if c.Measure.Kind == model.Amps {
				cell.Dim = unit.Current
			}
			cell.Values = nil
		}
		out = append(out, cell)
	}
	if c.Measure != nil {
		return out, ""
	}
	// Whether that is so within all tolerances, first of all rows at once.
	var rows, so []system.Condition
	for i := range t.Rows {
		rows = append(rows, m.row(t, i))
		so = append(so, system.Any(system.Not(rows[i]), holding(conds, t.Rows[i].Can[column])))
	}
	v := m.throughout(system.All(so...), system.All(m.Among, system.Any(rows...)))
	switch {
	case v.Outcome == system.Holds && !v.NominalOnly:
		return out, ""
	case v.Outcome != system.HoldsNominally:
		return out, "within the tolerances undecided: " + v.Why
	}
	for i := range t.Rows {
		v := m.throughout(holding(conds, t.Rows[i].Can[column]), system.All(m.Among, rows[i]))
		switch {
		case v.Outcome == system.HoldsNominally:
			out[i].Else = append(out[i].Else, m.there(c, conds, rows[i], out[i].Values, v))
		case v.Outcome != system.Holds || v.NominalOnly:
			note = "within the tolerances undecided in some rows: " + v.Why
		}
	}
	return out, note
}

// throughout decides whether something holds in some states within all tolerances.
func (m *maker) throughout(c, when system.Condition) system.Verdict {
	v, err := m.System.Whenever(m.Pass.Ctx, c, when)
	m.Pass.StopOn(err)
	return v
}

// there is what a cell may be in the corner of a verdict.
func (m *maker) there(c *Column, conds []system.Condition, row system.Condition, known []string, v system.Verdict) Otherwise {
	out := Otherwise{Corner: v.Corner}
	s, err := m.System.At(m.Pass.Ctx, v.Where)
	m.Pass.StopOn(err)
	for _, value := range c.values {
		if slices.Contains(known, value.text) {
			continue
		}
		got, err := s.PossibleHere(m.Pass.Ctx, system.All(m.Among, row, exactly(conds, value.holds)))
		m.Pass.StopOn(err)
		if got.Outcome == system.Holds {
			out.Values = append(out.Values, value.text)
		}
	}
	return out
}

// row is where a row holds. The mode that one with two copies reads as is no variable of the
// engine's.
func (m *maker) row(t *system.Tabulation, i int) system.Condition {
	cube, space := t.Rows[i].When, m.System.Reach().Space
	out := []system.Condition{system.On(nil)}
	for _, v := range slices.Sorted(maps.Keys(cube.Bounds)) {
		if r := m.System.Role(v); r.Kind == system.RoleMode {
			out = append(out, system.On(atom(model.Atom{Kind: model.AtomMachine, Index: r.Index, In: slices.Collect(cube.Bounds[v].All())})))
		} else {
			out = append(out, system.Literal(space.In(v, cube.Bounds[v])))
		}
	}
	return system.All(out...)
}

// holding is where exactly one of some sets of conditions holds.
func holding(conds []system.Condition, sets [][]int) system.Condition {
	var out []system.Condition
	for _, set := range sets {
		out = append(out, exactly(conds, set))
	}
	return system.Any(out...)
}

// exactly is where these of some conditions hold and no others.
func exactly(conds []system.Condition, set []int) system.Condition {
	out := []system.Condition{system.On(nil)}
	for i, c := range conds {
		if slices.Contains(set, i) {
			out = append(out, c)
		} else {
			out = append(out, system.Not(c))
		}
	}
	return system.All(out...)
}
