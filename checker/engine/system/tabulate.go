package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
)

// Layout is what a decision table is to show.
type Layout struct {
	// Columns are the conditions whose truth makes the cells of each column.
	Columns [][]Condition
	// Among: the table is about the reachable states in which this holds.
	Among Condition
	// Over are the variables that the rows may speak of; nil: all inputs, and what remembers as
	// far as inputs alone do not decide.
	Over []logic.Var
	// MostRows bounds the rows.
	MostRows int
}

// Tabulation is a decision table: the reachable states at rest, at nominal values, as rows of
// which each state matches exactly one.
type Tabulation struct {
	Rows []TabulatedRow
	// Vars are the variables that the rows speak of: inputs first.
	Vars []logic.Var
	// Inputs are those that the columns may depend on.
	Inputs []logic.Var
	// Open says of each column why nothing is known of it; nil: it is known.
	Open []*Verdict
	// TooMany: there would be more rows than allowed, so that there are none.
	TooMany bool
}

// TabulatedRow is one row.
type TabulatedRow struct {
	When logic.Cube
	// Can are for each column the sets of its conditions that hold at once in states of the row:
	// one set, unless something decides that the row does not speak of.
	Can [][][]int
}

// class is a set of states in which the same conditions hold.
type class struct {
	states logic.Ref
	holds  [][]int // by column
}

// Tabulate makes a decision table.
func (s *System) Tabulate(ctx context.Context, l Layout) (*Tabulation, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	t := &Tabulation{Open: make([]*Verdict, len(l.Columns))}
	among, err := s.translated(ctx, []Condition{l.Among})
	if err != nil {
		return nil, err
	}
	columns := make([][]meaning, len(l.Columns))
	all := among
	for i, conds := range l.Columns {
		if columns[i], err = s.translated(ctx, conds); err != nil {
			return nil, err
		}
		ms := slices.Concat(columns[i], among)
		if v, sure := s.sure(ms); !sure {
			t.Open[i] = &v
			continue
		}
		rests, err := s.engine.Settles(ctx, s.cone(ms)...)
		if err != nil {
			return nil, err
		}
		if !rests {
			t.Open[i] = &Verdict{Outcome: Undecided, Why: "something that it depends on never settles"}
			continue
		}
		all = append(all, columns[i]...)
	}
	cone := s.cone(all)
	f, r, err := s.engine.Reachable(ctx, cone...)
	if err != nil {
		return nil, err
	}
	r = f.And(r, f.Of(among[0].expr))
	most := 4 * l.MostRows
	classes := []class{{states: r, holds: make([][]int, len(columns))}}
	if r == logic.Never {
		return t, f.Err()
	}
	for i, ms := range columns {
		if t.Open[i] != nil {
			continue
		}
		for k := range ms {
			if classes = split(f, classes, i, k, f.Of(ms[k].expr)); len(classes) > most {
				t.TooMany = true
				t.Inputs = s.inputsOf(cone)
				return t, f.Err()
			}
		}
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	return t, s.tabulated(ctx, t, l, f, cone, classes)
}

// split divides classes by a further condition of a column.
func split(f *logic.Manager, classes []class, column, cond int, by logic.Ref) []class {
	var out []class
	for _, c := range classes {
		yes := f.And(c.states, by)
		if no := f.Diff(c.states, by); no != logic.Never {
			out = append(out, class{no, c.holds})
		}
		if yes != logic.Never {
			holds := slices.Clone(c.holds)
			holds[column] = append(slices.Clone(holds[column]), cond)
			out = append(out, class{yes, holds})
		}
	}
	return out
}

// tabulated fills in the rows.
func (s *System) tabulated(ctx context.Context, t *Tabulation, l Layout, f *logic.Manager, cone []logic.Var, classes []class) error {
	sets := make([]logic.Ref, len(classes))
	for i, c := range classes {
		sets[i] = c.states
	}
	t.Inputs = s.inputsOf(cone)
	vars := slices.DeleteFunc(slices.Clone(l.Over), func(v logic.Var) bool { return !slices.Contains(cone, v) })
	if l.Over == nil {
		var err error
		if vars, err = s.deciding(ctx, f, cone, sets); err != nil {
			return err
		}
	}
	g, sets, err := s.project(ctx, f, vars, sets)
	if err != nil {
		return err
	}
	blocks := blocksOf(g, classes, sets, l.MostRows*4)
	if blocks == nil {
		t.TooMany = true
		return g.Err()
	}
	care := logic.Never
	for _, b := range blocks {
		care = g.Or(care, b.states)
	}
	var known, inputs []logic.Var
	for _, v := range g.Order() {
		if slices.Contains(vars, v) || s.role(v).Kind == RoleMode && g != f {
			known = append(known, v)
			if s.rank(v) == 0 {
				inputs = append(inputs, v)
			}
		}
	}
	slices.Sort(known)
	options := logic.SimplifyOptions{Rank: s.rank, MaxTerms: l.MostRows}
	for _, b := range blocks {
		// First what inputs alone decide.
		rows, rest, ok := g.Rows(b.states, care, inputs, options)
		if ok && rest != logic.Never {
			var more []logic.Cube
			// What the first rows have is none of the rest.
			more, _, ok = g.Rows(rest, care, known, options)
			rows = append(rows, more...)
		}
		if !ok || len(t.Rows)+len(rows) > l.MostRows {
			t.TooMany, t.Rows = g.Err() == nil, nil
			return g.Err()
		}
		for _, c := range rows {
			t.Rows = append(t.Rows, TabulatedRow{When: c, Can: b.can})
		}
	}
	t.Vars = s.spokenOf(t.Rows)
	slices.SortStableFunc(t.Rows, func(a, b TabulatedRow) int { return s.before(t.Vars, a.When, b.When) })
	return g.Err()
}

// sameCells is a set of states with the cells that its rows have.
type sameCells struct {
	states logic.Ref
	can    [][][]int
}

// blocksOf sorts the states, as far as they can be told apart, by which classes they may be of;
// those with the same cells are one block. Nil: there are too many.
func blocksOf(g *logic.Manager, classes []class, sets []logic.Ref, most int) []sameCells {
	type mixed struct {
		states logic.Ref
		of     []int
	}
	var parts []mixed
	for i, set := range sets {
		var out []mixed
		left := set
		for _, p := range parts {
			both := g.And(p.states, left)
			if rest := g.Diff(p.states, left); rest != logic.Never {
				out = append(out, mixed{rest, p.of})
			}
			if both != logic.Never {
				out = append(out, mixed{both, append(slices.Clone(p.of), i)})
				left = g.Diff(left, both)
			}
		}
		if left != logic.Never {
			out = append(out, mixed{left, []int{i}})
		}
		if parts = out; len(parts) > most || g.Err() != nil {
			return nil
		}
	}
	var out []sameCells
	for _, p := range parts {
		can := make([][][]int, len(classes[0].holds))
		for c := range can {
			for _, k := range p.of {
				if !slices.ContainsFunc(can[c], func(h []int) bool { return slices.Equal(h, classes[k].holds[c]) }) {
					can[c] = append(can[c], classes[k].holds[c])
				}
			}
			slices.SortFunc(can[c], slices.Compare)
		}
		at := slices.IndexFunc(out, func(b sameCells) bool {
			return slices.EqualFunc(b.can, can, func(x, y [][]int) bool { return slices.EqualFunc(x, y, slices.Equal[[]int]) })
		})
		if at < 0 {
			out = append(out, sameCells{p.states, can})
		} else {
			out[at].states = g.Or(out[at].states, p.states)
		}
	}
	return out
}

// deciding are the inputs, and as little of what remembers as decides between sets.
func (s *System) deciding(ctx context.Context, f *logic.Manager, cone []logic.Var, sets []logic.Ref) ([]logic.Var, error) {
	var vars []logic.Var
	tells := func(vars []logic.Var) (bool, error) {
		g, _, err := s.seenBy(ctx, f, vars, sets...)
		return g != nil, err
	}
	for level := range levelsOfWords {
		vars = nil
		for _, v := range cone {
			if s.rank(v) <= level {
				vars = append(vars, v)
			}
		}
		if ok, err := tells(vars); err != nil || ok && level == 0 {
			return vars, err
		} else if ok {
			break
		}
	}
	// Drop what is not needed, that first which a reader knows least.
	order := slices.Clone(vars)
	slices.SortStableFunc(order, func(a, b logic.Var) int { return s.rank(b) - s.rank(a) })
	if ok, err := tells(vars); err != nil || !ok {
		return vars, err // something that has no words decides, too
	}
	for _, v := range order {
		if s.rank(v) == 0 {
			break
		}
		if s.role(v).Kind == RoleDisowner {
			continue // goes with its machine
		}
		fewer := slices.DeleteFunc(slices.Clone(vars), func(w logic.Var) bool {
			return w == v || s.role(v).Kind == RoleMachine && s.role(w) == Role{Kind: RoleDisowner, Index: s.role(v).Index}
		})
		ok, err := tells(fewer)
		if err != nil {
			return nil, err
		}
		if ok {
			vars = fewer
		}
	}
	return vars, nil
}

func (s *System) inputsOf(vars []logic.Var) []logic.Var {
	return slices.DeleteFunc(slices.Clone(vars), func(v logic.Var) bool {
		return s.rank(v) != 0 || s.reach.Vars[v].Kind != reach.Input
	})
}

// spokenOf lists the variables of some rows, those that a reader knows best first.
func (s *System) spokenOf(rows []TabulatedRow) []logic.Var {
	var out []logic.Var
	for _, r := range rows {
		for v := range r.When.Bounds {
			out = append(out, v)
		}
	}
	slices.SortFunc(out, func(a, b logic.Var) int {
		if d := s.rank(a) - s.rank(b); d != 0 {
			return d
		}
		return int(a - b)
	})
	return slices.Compact(out)
}

// before orders rows by the values of the variables, one after the other.
func (s *System) before(vars []logic.Var, a, b logic.Cube) int {
	for _, v := range vars {
		x, y := -1, -1
		if set, ok := a.Bounds[v]; ok {
			x = set.Min()
		}
		if set, ok := b.Bounds[v]; ok {
			y = set.Min()
		}
		if x != y {
			return x - y
		}
	}
	return 0
}
