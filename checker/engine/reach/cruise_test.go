package reach

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
)

// The cruise control mode table of the requirements literature: Kirby 1987;
// Atlee and Gannon, IEEE TSE 19(1), 1993; read second-hand, in full, in Owre,
// Rushby and Shankar, SRI-CSL-95-12, which also reports its defects. Counts of
// states and conflicts beside it were computed by brute force.
//
// Columns: Ignited Running Toofast Brake Activate Deactivate Resume. @T: was
// false, is true; @F the reverse; T, F: was and is; -: anything.

const (
	cruiseOff, cruiseInactive, cruiseCruise, cruiseOverride = 0, 1, 2, 3
)

type cruiseRow struct {
	from  int
	cells string
	to    int
}

var cruiseOriginal = []cruiseRow{
	{cruiseOff, "@T - - - - - -", cruiseInactive},
	{cruiseInactive, "@F - - - - - -", cruiseOff},
	{cruiseInactive, "T T - F @T - -", cruiseCruise},
	{cruiseCruise, "@F - - - - - -", cruiseOff},
	{cruiseCruise, "- @F - - - - -", cruiseInactive},
	{cruiseCruise, "- - @T - - - -", cruiseInactive},
	{cruiseCruise, "- - - @T - - -", cruiseOverride},
	{cruiseCruise, "- - - - - @T -", cruiseOverride},
	{cruiseOverride, "@F - - - - - -", cruiseOff},
	{cruiseOverride, "- @F - - - - -", cruiseInactive},
	{cruiseOverride, "T T - F @T - -", cruiseCruise},
	{cruiseOverride, "T T - F - - @T", cruiseCruise},
}

// cruiseTable is the original with some rows replaced.
func cruiseTable(cells map[int]string) []cruiseRow {
	rows := append([]cruiseRow(nil), cruiseOriginal...)
	for i, c := range cells {
		rows[i].cells = c
	}
	return rows
}

var (
	cruiseDeterministic = cruiseTable(map[int]string{
		2: "- T - F @T - -", 4: "T @F - - - - -", 6: "- T F @T - - -", 7: "- T F - - @T -",
		9: "T @F - - - - -", 10: "- T - F @T - -", 11: "- T - F - - @T",
	})
	cruiseCorrected = cruiseTable(map[int]string{
		2: "- T F F @T - -", 4: "T @F - - - - -", 6: "- T F @T - - -", 7: "- T F - - @T -",
		9: "T @F - - - - -", 10: "- T F F @T - -", 11: "- T F F - - @T",
	})
)

// misprint is the printed listing's T for F in Cruise rows 4 and 5.
func misprint(rows []cruiseRow) []cruiseRow {
	out := append([]cruiseRow(nil), rows...)
	out[6].cells, out[7].cells = "- T T @T - - -", "- T T - - @T -"
	return out
}

// surroundings is one combination of what the table reads.
type surroundings struct {
	engine, lever  int // off, ignition, running; activate, deactivate, resume, neutral
	toofast, brake bool
}

func (s surroundings) column(i int) bool {
	return [...]bool{s.engine >= 1, s.engine == 2, s.toofast, s.brake, s.lever == 0, s.lever == 1, s.lever == 2}[i]
}

func allSurroundings(levers int, axiom bool) []surroundings {
	var out []surroundings
	for engine := range 3 {
		for lever := range levers {
			for b := range 4 {
				s := surroundings{engine: engine, lever: lever, toofast: b&1 == 1, brake: b&2 == 2}
				if !axiom || !s.toofast || engine == 2 {
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// cruise is the table as a System: one joint input, an edge for each column.
type cruise struct {
	*System
	input, mode logic.Var
	edges       [7]logic.Var
	prior       logic.Var // was Inactive and ready to cruise, not activated
	all         []surroundings
}

func (c *cruise) column(i int) *logic.Expr {
	var set logic.Set
	for x, s := range c.all {
		if s.column(i) {
			set = set.Union(logic.SetOf(x))
		}
	}
	return c.Space.In(c.input, set)
}

// ready is what cruising asks of the surroundings, the lever apart.
func (c *cruise) ready() *logic.Expr {
	return c.Space.And(c.column(0), c.column(1), c.Space.Not(c.column(2)), c.Space.Not(c.column(3)))
}

func newCruise(t testing.TB, rows []cruiseRow, levers int) *cruise {
	sp := logic.NewSpace()
	c := &cruise{System: &System{Space: sp}, all: allSurroundings(levers, true)}
	add := func(name string, size int, v Var) logic.Var {
		x, err := sp.Add(logic.Domain{Name: name, Size: size})
		require.NoError(t, err)
		c.Vars = append(c.Vars, v)
		return x
	}
	var initial logic.Set
	in := InputMoves{}
	for x, s := range c.all {
		if s.engine == 0 {
			initial = initial.Union(logic.SetOf(x))
		}
		for y := range c.all {
			if x != y {
				in.Moves = append(in.Moves, Move{From: x, To: y})
			}
		}
	}
	c.input = add("input", len(c.all), Var{Kind: Input, Initial: initial})
	in.Var = c.input
	c.Inputs = []InputMoves{in}
	c.mode = add("mode", 4, Var{Kind: Machine})
	for i := range c.edges {
		c.edges[i] = add(fmt.Sprint("was", i), 2, Var{Kind: Edge})
		c.Edges = append(c.Edges, EdgeMemory{Var: c.edges[i], Of: c.column(i)})
	}
	c.prior = add("prior", 2, Var{Kind: Edge})
	c.Edges = append(c.Edges, EdgeMemory{Var: c.prior, Of: sp.And(sp.Is(c.mode, cruiseInactive), c.ready(), sp.Not(c.column(4)))})
	k := ModeMachine{Var: c.mode}
	for _, r := range rows {
		k.Transitions = append(k.Transitions, Transition{From: logic.SetOf(r.from), To: r.to, When: c.condition(r.cells)})
	}
	c.Machines = []ModeMachine{k}
	return c
}

func (c *cruise) condition(cells string) *logic.Expr {
	sp := c.Space
	var parts []*logic.Expr
	for i, cell := range strings.Fields(cells) {
		now, was := c.column(i), sp.Is(c.edges[i], 1)
		switch cell {
		case "@T":
			parts = append(parts, now, sp.Not(was))
		case "@F":
			parts = append(parts, sp.Not(now), was)
		case "T":
			parts = append(parts, now, was)
		case "F":
			parts = append(parts, sp.Not(now), sp.Not(was))
		}
	}
	return sp.And(parts...)
}

func TestCruiseControlStates(t *testing.T) {
	ctx := context.Background()
	for _, c := range []struct {
		name        string
		rows        []cruiseRow
		levers      int
		perMode     [4]int64
		bad3, bad4  int64
		unreachable int
	}{
		{"deterministic", cruiseDeterministic, 3, [4]int64{6, 18, 12, 12}, 4, 10, -1},
		{"corrected", cruiseCorrected, 3, [4]int64{6, 18, 2, 12}, 4, 0, -1},
		{"misprint of the deterministic", misprint(cruiseDeterministic), 3, [4]int64{6, 18, 8, 12}, 4, 6, -1},
		{"misprint of the corrected", misprint(cruiseCorrected), 3, [4]int64{6, 18, 6, 0}, 4, 4, cruiseOverride},
	} {
		t.Run(c.name, func(t *testing.T) {
			sys := newCruise(t, c.rows, c.levers)
			sp := sys.Space
			e, err := New(sys.System, Options{})
			require.NoError(t, err)
			in := func(mode int) *logic.Expr { return sp.Is(sys.mode, mode) }
			total := int64(0)
			for mode, want := range c.perMode {
				f, r, err := e.Reachable(ctx, sys.input, sys.mode)
				require.NoError(t, err)
				require.Equal(t, want, f.Count(f.And(r, f.Of(in(mode))), sys.input, sys.mode).Int64(), "mode %d", mode)
				total += want
				v, err := e.Possible(ctx, in(mode))
				require.NoError(t, err)
				require.Equal(t, mode != c.unreachable, v.Outcome == Holds)
			}
			x, err := e.States(ctx, sys.input, sys.mode)
			require.NoError(t, err)
			require.Equal(t, total, x.States.Int64())

			not, ignited, running, toofast := sp.Not, sys.column(0), sys.column(1), sys.column(2)
			invariants := []struct {
				bad   *logic.Expr
				count int64
			}{
				{sp.And(in(cruiseOff), ignited), 0},
				{sp.And(not(in(cruiseOff)), not(ignited)), 0},
				{sp.And(in(cruiseInactive), not(sp.And(ignited, not(sp.And(running, sys.column(4)))))), c.bad3},
				{sp.And(in(cruiseCruise), not(sp.And(ignited, running, not(toofast), not(sys.column(3)), not(sys.column(5))))), c.bad4},
				{sp.And(in(cruiseOverride), not(sp.And(ignited, running))), 0},
			}
			for i, inv := range invariants {
				f, r, err := e.Reachable(ctx, sys.input, sys.mode)
				require.NoError(t, err)
				require.Equal(t, inv.count, f.Count(f.And(r, f.Of(inv.bad)), sys.input, sys.mode).Int64(), "invariant %d", i+1)
				v, err := e.Never(ctx, inv.bad)
				require.NoError(t, err)
				require.Equal(t, inv.count == 0, v.Outcome == Holds, "invariant %d", i+1)
			}
		})
	}
}

// Invariant 6 replaces the mis-stated 3: who is Inactive and ready to cruise
// does not stay Inactive when activated.
func TestCruiseControlStep(t *testing.T) {
	for _, rows := range [][]cruiseRow{cruiseDeterministic, cruiseCorrected} {
		sys := newCruise(t, rows, 3)
		sp := sys.Space
		e, err := New(sys.System, Options{})
		require.NoError(t, err)
		stays := sp.And(sp.Is(sys.prior, 1), sys.ready(), sys.column(4), sp.Not(e.Leaves(0, cruiseInactive)))
		v, err := e.NeverAtStep(context.Background(), stays)
		require.NoError(t, err)
		require.Equal(t, Holds, v.Outcome)
		for i, a := range rows { // as published: no two rows of either table conflict
			for j := range rows[:i] {
				if rows[j].to != a.to {
					v, err := e.PossibleAtStep(context.Background(), e.Ambiguous(0, j, i))
					require.NoError(t, err)
					require.Equal(t, Fails, v.Outcome, "rows %d and %d", j, i)
				}
			}
		}
	}
}

func TestCruiseControlFourLevers(t *testing.T) {
	for _, c := range []struct {
		rows               []cruiseRow
		total, cruise, bad int64
	}{{cruiseDeterministic, 64, 16, 13}, {cruiseCorrected, 51, 3, 0}} {
		sys := newCruise(t, c.rows, 4)
		sp := sys.Space
		e, err := New(sys.System, Options{})
		require.NoError(t, err)
		f, r, err := e.Reachable(context.Background(), sys.input, sys.mode)
		require.NoError(t, err)
		count := func(x *logic.Expr) int64 { return f.Count(f.And(r, f.Of(x)), sys.input, sys.mode).Int64() }
		require.Equal(t, c.total, count(sp.True()))
		require.Equal(t, c.cruise, count(sp.Is(sys.mode, cruiseCruise)))
		ok := sp.And(sys.column(0), sys.column(1), sp.Not(sys.column(2)), sp.Not(sys.column(3)), sp.Not(sys.column(5)))
		require.Equal(t, c.bad, count(sp.And(sp.Is(sys.mode, cruiseCruise), sp.Not(ok))))
	}
}

// Row pairs of one mode, with different targets, that can both fire.
func TestCruiseControlConflicts(t *testing.T) {
	pairs := func(rows []cruiseRow, axiom bool) []string {
		all := allSurroundings(3, axiom)
		sp := logic.NewSpace()
		was, err := sp.Add(logic.Domain{Name: "was", Size: len(all)})
		require.NoError(t, err)
		is, err := sp.Add(logic.Domain{Name: "is", Size: len(all)})
		require.NoError(t, err)
		f, err := logic.NewManager(sp, logic.ManagerOptions{})
		require.NoError(t, err)
		row := func(cells string) *logic.Expr {
			e := sp.True()
			for i, cell := range strings.Fields(cells) {
				var set logic.Set
				for x, s := range all {
					if s.column(i) {
						set = set.Union(logic.SetOf(x))
					}
				}
				now, before := sp.In(is, set), sp.In(was, set)
				switch cell {
				case "@T":
					e = sp.And(e, now, sp.Not(before))
				case "@F":
					e = sp.And(e, sp.Not(now), before)
				case "T":
					e = sp.And(e, now, before)
				case "F":
					e = sp.And(e, sp.Not(now), sp.Not(before))
				}
			}
			return e
		}
		var out []string
		first := 0
		for i, a := range rows {
			if i > 0 && rows[i-1].from != a.from {
				first = i
			}
			for j := first; j < i; j++ {
				both := f.And(f.Valid(), f.Of(sp.And(row(rows[j].cells), row(a.cells))))
				if a.to != rows[j].to && both != logic.Never {
					out = append(out, fmt.Sprintf("%d: %d-%d", a.from, j-first+1, i-first+1))
				}
			}
		}
		return out
	}
	require.ElementsMatch(t, []string{"2: 1-2", "2: 1-3", "2: 1-4", "2: 1-5", "2: 2-4", "2: 2-5", "2: 3-4", "2: 3-5", "3: 1-2"}, pairs(cruiseOriginal, false))
	require.Len(t, pairs(cruiseOriginal, true), 8)
	for _, rows := range [][]cruiseRow{cruiseDeterministic, cruiseCorrected} {
		require.Equal(t, []string{"2: 1-3"}, pairs(rows, false))
		require.Empty(t, pairs(rows, true))
	}
}
