package table

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// MostRows bounds the rows of one table, if nothing else is asked for: more than fits on two
// pages is no table to be read.
const MostRows = 100

// Wish is what a table is to show.
type Wish struct {
	Columns []Column
	// Over are the paths of what the rows may speak of; empty: settings, quantities, and what
	// remembers where these don't decide.
	Over []string
	// MostRows bounds the rows of each table; 0: MostRows.
	MostRows int
}

// Table is a decision table.
type Table struct {
	Inputs  []string // names of what the rows speak of
	Columns []string
	Rows    []Row
	Same    []Constant // columns that say the same in all rows
	Open    []Unknown  // columns of which nothing is known
	// Why there are no rows; empty: there are, or no state is as given.
	Why string
	// Notes are what within the tolerances stays undecided.
	Notes []string
}

// Row is one row.
type Row struct {
	When []string // by Inputs; empty: it does not matter
	// Condition is the same as a condition of the language.
	Condition string
	Cells     []Cell
	// Cube is it for the engine.
	Cube logic.Cube
}

// Constant is a column that says the same everywhere.
type Constant struct{ Name, Text string }

// Unknown is a column of which nothing is known.
type Unknown struct{ Name, Why string }

// Cell is what a column says in a row.
type Cell struct {
	// Values are what it may be: one, unless something decides that the row does not speak of.
	Values []string
	// Else is what it may be besides with other values within the tolerances.
	Else []Otherwise
	// Nominal and Within are where a measure ranges; nil: it is none.
	Nominal, Within *ask.Span
	Dim             unit.Dim
}

// Otherwise is what a cell is in a corner of the tolerances.
type Otherwise struct {
	Corner string
	Values []string // empty: another one
}

// Text is a cell in words.
func (c *Cell) Text() string {
	var parts []string
	if len(c.Values) > 0 && c.Nominal == nil {
		parts = append(parts, strings.Join(c.Values, " or "))
	}
	if c.Nominal != nil {
		parts = append(parts, c.span())
	}
	for _, o := range c.Else {
		what := strings.Join(o.Values, " or ")
		if what == "" {
			what = "otherwise"
		}
		parts = append(parts, fmt.Sprintf("%s with %s", what, o.Corner))
	}
	return strings.Join(parts, "; ")
}

func (c *Cell) span() string {
	if c.Nominal.Open != "" {
		return "undecided"
	}
	if c.Nominal.Empty {
		return ""
	}
	between := func(s *ask.Span) string {
		lo, hi := unit.Format(s.Low.Value, c.Dim), unit.Format(s.High.Value, c.Dim)
		if lo == hi {
			return lo
		}
		return lo + " to " + hi
	}
	out := between(c.Nominal)
	if c.Within.Open == "" && !c.Within.Empty {
		if w := between(c.Within); w != out {
			out += " (" + w + ")"
		}
	}
	for _, e := range [...]ask.End{c.Nominal.Low, c.Nominal.High, c.Within.Low, c.Within.High} {
		if !e.Proved {
			return out + ", not proved"
		}
	}
	return out
}

// maker makes the tables of one design.
type maker struct {
	*ask.Asking
	most int
	over []logic.Var
}

// Make makes the table that is wished for. Where one table of all columns would be too long,
// there are several: columns that depend on the same things stand together. over are paths that
// name nothing.
func Make(a *ask.Asking, w Wish) (tables []Table, over []string) {
	m := &maker{Asking: a, most: w.MostRows}
	if m.most <= 0 {
		m.most = MostRows
	}
	for _, path := range w.Over {
		v, ok := m.variable(path)
		if !ok {
			over = append(over, path)
		}
		m.over = append(m.over, v...)
	}
	if len(over) > 0 {
		return nil, over
	}
	all, t := m.table(w.Columns)
	if !t.TooMany || len(w.Columns) == 1 {
		return []Table{all}, nil
	}
	// Those that speak of the same stand together.
	var groups [][]Column
	var keys []string
	single := map[string]Table{}
	for _, c := range w.Columns {
		one, t := m.table([]Column{c})
		key := fmt.Sprint(t.Vars, t.TooMany)
		at := slices.Index(keys, key)
		if at < 0 || t.TooMany {
			groups, keys = append(groups, []Column{c}), append(keys, key)
		} else {
			groups[at] = append(groups[at], c)
		}
		single[c.Name] = one
	}
	var same Table
	for _, g := range groups {
		if len(g) > 1 {
			if joint, t := m.table(g); !t.TooMany {
				tables = append(tables, joint)
				continue
			}
		}
		for _, c := range g {
			if one := single[c.Name]; len(one.Columns) == 0 && one.Why == "" { // nothing to be looked up
				same.Same, same.Open = append(same.Same, one.Same...), append(same.Open, one.Open...)
			} else {
				tables = append(tables, one)
			}
		}
	}
	if len(same.Same)+len(same.Open) > 0 {
		tables = append(tables, same)
	}
	return tables, nil
}

// variable finds what a path names that rows can speak of.
func (m *maker) variable(path string) ([]logic.Var, bool) {
	s, d := m.System, m.System.Design()
	for i := range d.Settings {
		if d.Settings[i].Path == path {
			return []logic.Var{s.SettingVar(model.SettingID(i))}, true
		}
	}
	for i := range d.Quantities {
		if d.Quantities[i].Path == path {
			return []logic.Var{s.QuantityVar(model.QuantityID(i))}, true
		}
	}
	for i := range d.Memories {
		if d.Memories[i].Path == path {
			return []logic.Var{s.MemoryVar(model.MemoryID(i))}, true
		}
	}
	for i := range d.Machines {
		if d.Machines[i].Path == path {
			v, ok := s.Var(system.Role{Kind: system.RoleMachine, Index: i})
			if w, two := s.Var(system.Role{Kind: system.RoleDisowner, Index: i}); two {
				return []logic.Var{v, w}, ok
			}
			return []logic.Var{v}, ok
		}
	}
	return nil, false
}

func (m *maker) condition(c *model.Cond) system.Condition {
	if m.Of != nil {
		c = m.Of(c)
	}
	return system.On(c)
}

// table makes one table of some columns.
func (m *maker) table(columns []Column) (Table, *system.Tabulation) {
	l := system.Layout{Among: m.Among, Over: m.over, MostRows: m.most}
	for i := range columns {
		var conds []system.Condition
		for _, c := range columns[i].conds {
			conds = append(conds, m.condition(c))
		}
		l.Columns = append(l.Columns, conds)
	}
	t, err := m.System.Tabulate(m.Pass.Ctx, l)
	m.Pass.StopOn(err)
	var out Table
	if t.TooMany {
		out.Why = m.tooMany(columns, t)
		return out, t
	}
	for i := range columns {
		if v := t.Open[i]; v != nil {
			why := v.Why
			if why == "" {
				why = "something that it depends on could not be read; `pintle check` says what"
			}
			out.Open = append(out.Open, Unknown{columns[i].Name, why})
		}
	}
	names, when := m.inputs(t)
	out.Inputs = names
	for k := range t.Rows {
		out.Rows = append(out.Rows, Row{When: when[k], Condition: m.System.Words(m.expr(t.Rows[k].When)), Cube: t.Rows[k].When})
	}
	for i := range columns {
		if t.Open[i] != nil || len(t.Rows) == 0 {
			continue
		}
		cells, note := m.cells(&columns[i], i, l.Columns[i], t)
		if note != "" {
			out.Notes = append(out.Notes, columns[i].Name+": "+note)
		}
		text := cells[0].Text()
		if columns[i].Measure == nil && !slices.ContainsFunc(cells, func(c Cell) bool { return c.Text() != text }) {
			out.Same = append(out.Same, Constant{columns[i].Name, text})
			continue
		}
		out.Columns = append(out.Columns, columns[i].Name)
		for k := range cells {
			out.Rows[k].Cells = append(out.Rows[k].Cells, cells[k])
		}
	}
	return out, t
}

// tooMany says that a table is too long, and what to do.
func (m *maker) tooMany(columns []Column, t *system.Tabulation) string {
	var on []string
	for _, v := range t.Inputs {
		on = append(on, m.name(v))
	}
	out := fmt.Sprintf("the table of %s has more than %d rows", columns[0].Name, m.most)
	if len(columns) > 1 {
		out = fmt.Sprintf("a table of all %d columns has more than %d rows", len(columns), m.most)
	}
	if len(on) > 0 {
		out += "; it depends on " + strings.Join(on, ", ")
	}
	if len(on) > 1 {
		out += ". Choose fewer of these, for example --over " + strings.Join(on[:min(2, len(on)-1)], ",")
	}
	return out + ", or leave out states with --given"
}

// Undecided reports whether something of a table is not known.
func (t Table) Undecided() bool {
	return t.Why != "" || len(t.Open) > 0 || len(t.Notes) > 0 || slices.ContainsFunc(t.Rows, func(r Row) bool {
		return slices.ContainsFunc(r.Cells, func(c Cell) bool {
			return c.Nominal != nil && (c.Nominal.Open != "" || strings.HasSuffix(c.span(), "not proved"))
		})
	})
}
