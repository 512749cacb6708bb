package system

import (
	"context"
	"math/big"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// States counts the reachable resting states of the whole design.
func (s *System) States(ctx context.Context) (reach.Extent, error) {
	if err := s.needAll(ctx); err != nil {
		return reach.Extent{}, err
	}
	return s.engine.States(ctx)
}

// Count counts the reachable states in which c holds, as far as the given variables tell
// them apart; without variables, all. Nil where the question depends on something that
// could not be read.
func (s *System) Count(ctx context.Context, c Condition, vars ...logic.Var) (*big.Int, error) {
	m, err := c.of(ctx, s)
	if err == nil {
		err = s.needAll(ctx)
	}
	if err != nil {
		return nil, err
	}
	if _, sure := s.sure([]meaning{m, {expr: s.anyOf(vars)}}); !sure {
		return nil, nil
	}
	ask := append(slices.Clone(m.expr.Vars()), vars...)
	if len(vars) == 0 {
		ask = numbers[logic.Var](len(s.engine.System().Vars))
	}
	slices.Sort(ask)
	f, r, err := s.engine.Reachable(ctx, slices.Compact(ask)...)
	if err != nil {
		return nil, err
	}
	in := f.And(r, f.Of(m.expr))
	var hide []logic.Var
	if len(vars) > 0 {
		for _, v := range f.Order() {
			if !slices.Contains(vars, v) {
				hide = append(hide, v)
			}
		}
		in = f.Exists(in, f.Bits(hide...))
	}
	n := f.Count(in, vars...)
	return n, f.Err()
}

// anyOf is an expression that mentions just the given variables.
func (s *System) anyOf(vars []logic.Var) *logic.Expr {
	parts := make([]*logic.Expr, len(vars))
	for i, v := range vars {
		parts[i] = s.space.Is(v, 0)
	}
	return s.space.Or(parts...)
}

// Hunts finds hardware that never settles. What could not be read is left out.
func (s *System) Hunts(ctx context.Context) ([]Hunt, error) {
	if s.huntsKnown {
		return s.hunts, nil
	}
	out, err := s.findHunts(ctx)
	if err == nil {
		s.hunts, s.huntsKnown = out, true
	}
	return out, err
}

func (s *System) findHunts(ctx context.Context) ([]Hunt, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	found, err := s.engine.Hunts(ctx)
	if err != nil {
		return nil, err
	}
	var out []Hunt
	for _, h := range found {
		if h.Trace == nil || s.unsureTrace(h.Trace) {
			continue
		}
		out = append(out, s.hunt(h))
	}
	return out, nil
}

// hunt is what the engine found, in the design's terms.
func (s *System) hunt(h reach.Hunt) Hunt {
	hunt := Hunt{Trace: &Trace{Trace: h.Trace, System: s}, Changes: h.Cycle}
	for _, c := range h.Cycle {
		switch r := s.role(c.Var); r.Kind {
		case RoleMemory:
			hunt.Memories = append(hunt.Memories, model.MemoryID(r.Index))
		case RoleTimer, RoleTimerHelp:
			hunt.Timers = append(hunt.Timers, r.Index)
		}
	}
	slices.Sort(hunt.Memories)
	hunt.Memories = slices.Compact(hunt.Memories)
	slices.Sort(hunt.Timers)
	hunt.Timers = slices.Compact(hunt.Timers)
	return hunt
}

// goesOn says in words what never settles: "K1.winding goes on switching and never settles".
func (s *System) goesOn(h Hunt) string {
	var names []string
	for _, id := range h.Memories {
		// A follower is no thing of its own.
		if m := &s.d.Memories[id]; m.MemKind != model.MemFollow || len(h.Memories) == 1 {
			names = append(names, m.Path)
		}
	}
	for _, i := range h.Timers {
		if t := &s.d.Timers[i]; len(names) == 0 && !t.Lowered {
			names = append(names, t.Path)
		}
	}
	switch len(names) {
	case 0:
		return "hardware goes on switching and never settles"
	case 1:
		return names[0] + " goes on switching and never settles"
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] + " go on switching and never settle"
}

// Hunt is hardware that never settles.
type Hunt struct {
	Trace    *Trace         // to the first state of the cycle
	Changes  []reach.Change // of one round
	Memories []model.MemoryID
	Timers   []int // that start and fall back with them, or by themselves; ascending
}

// Races finds settling whose outcome depends on which of two pieces of hardware is
// faster.
func (s *System) Races(ctx context.Context) ([]Race, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	found, err := s.engine.Races(ctx)
	if err != nil {
		return nil, err
	}
	var out []Race
	for _, r := range found {
		if r.Trace == nil || s.unsureTrace(r.Trace) {
			continue
		}
		out = append(out, Race{Race: r, Trace: &Trace{Trace: r.Trace, System: s}})
	}
	return out, nil
}

// Race is a settling whose outcome depends on the order of two changes.
type Race struct {
	reach.Race
	Trace *Trace // ends in the state in which both are excited
}

// Livelocks finds modes that go on stepping although nothing moves from outside.
func (s *System) Livelocks(ctx context.Context) ([]Livelock, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	return s.rounds(s.engine.Livelocks(ctx))
}

// TimedCycles finds what goes round for ever by timers alone, with nothing moving from
// outside. A `beat` is meant to and left out.
func (s *System) TimedCycles(ctx context.Context) ([]Livelock, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	return s.rounds(s.engine.TimedCycles(ctx, func(v logic.Var) bool { return s.role(v).Kind == RoleBeatHalf }))
}

func (s *System) rounds(found []reach.Livelock, err error) ([]Livelock, error) {
	if err != nil {
		return nil, err
	}
	var out []Livelock
	for _, l := range found {
		if l.Trace == nil || s.unsureTrace(l.Trace) {
			continue
		}
		out = append(out, Livelock{Trace: &Trace{Trace: l.Trace, System: s}, Cycle: l.Cycle})
	}
	return out, nil
}

// Livelock is a run of moves that never ends although nothing moves from outside: by
// machines that step, or by clocks that run out.
type Livelock struct {
	Trace *Trace
	Cycle []reach.Step
}

// unsureTrace reports whether a trace may rest on what could not be read.
func (s *System) unsureTrace(t *reach.Trace) bool {
	return s.loose || slices.ContainsFunc(t.Vars, func(v logic.Var) bool { return s.role(v).Kind == RoleUnknown })
}

// whole reports whether all of the design could be read.
func (s *System) whole() bool {
	for _, d := range s.doubts {
		if d.Reason == "" {
			return false
		}
	}
	return !s.loose && len(s.d.Incomplete) == 0
}

// Contacts is one way in which the switches of an island stand in some reachable state.
type Contacts struct {
	// Closed are the switches of the island that conduct, ascending.
	Closed []circuit.Switch
	// When is where they stand so, in terms of the variables: ask Possible(Literal(When))
	// for the way there.
	When *logic.Expr
}

// ReachableContacts lists every combination in which the switches of an island stand in
// some reachable resting state, at most limit of them; all reports whether that is all
// there are. What could not be read gives none, and all is false.
func (s *System) ReachableContacts(ctx context.Context, island circuit.IslandID, limit int) (list []Contacts, all bool, err error) {
	if err := s.needAll(ctx); err != nil {
		return nil, false, err
	}
	islands := s.circuit.Islands()
	if island < 0 || int(island) >= len(islands) {
		return nil, false, nil
	}
	switches := islands[island].Switches
	infos := s.circuit.Switches()
	ms := make([]meaning, len(switches))
	var vars []logic.Var
	for i, w := range switches {
		if ms[i], err = s.level(ctx, infos[w].Cond); err != nil {
			return nil, false, err
		}
		vars = append(vars, ms[i].expr.Vars()...)
	}
	if _, sure := s.sure(ms); !sure || s.loose {
		return nil, false, nil
	}
	slices.Sort(vars)
	f, r, err := s.engine.Reachable(ctx, slices.Compact(vars)...)
	if err != nil {
		return nil, false, err
	}
	all = true
	var closed []circuit.Switch
	var walk func(i int, here logic.Ref, path []*logic.Expr)
	walk = func(i int, here logic.Ref, path []*logic.Expr) {
		switch {
		case here == logic.Never || f.Err() != nil:
			return
		case len(list) >= limit:
			all = false
			return
		case i == len(switches):
			list = append(list, Contacts{Closed: slices.Clone(closed), When: s.space.And(path...)})
			return
		}
		c := f.Of(ms[i].expr)
		walk(i+1, f.Diff(here, c), append(slices.Clone(path), s.space.Not(ms[i].expr)))
		closed = append(closed, switches[i])
		walk(i+1, f.And(here, c), append(slices.Clone(path), ms[i].expr))
		closed = closed[:len(closed)-1]
	}
	walk(0, r, nil)
	return list, all && f.Err() == nil, f.Err()
}

// Idle reports whether a setting decides nothing in the whole design: no memory, mode, timer,
// contact, passage, result or claim tells any two of its positions apart. What could not be read
// is taken to tell them apart.
func (s *System) Idle(ctx context.Context, id model.SettingID) (bool, error) {
	v := s.SettingVar(id)
	if s.d.Settings[id].Broken || v < 0 || !s.whole() {
		return false, nil
	}
	exprs, err := s.dependingOn(ctx, v)
	if err != nil {
		return false, err
	}
	// The shortest first: one that tells two positions apart is enough.
	slices.SortStableFunc(exprs, func(a, b *logic.Expr) int { return len(a.Vars()) - len(b.Vars()) })
	for _, e := range exprs {
		f, err := logic.NewManager(s.space, logic.ManagerOptions{Order: e.Vars(), MaxNodes: s.opts.MaxNodes})
		if err != nil {
			return false, err
		}
		f.Watch(ctx)
		r := f.And(f.Of(e), f.Valid())
		first := f.Fix(r, v, 0)
		for p := 1; p < s.space.Size(v); p++ {
			if f.Fix(r, v, p) != first || f.Err() != nil {
				return false, ctx.Err()
			}
		}
	}
	return true, nil
}

// dependingOn returns the meanings of all conditions of the design that ask about a variable, each
// once, in the order of the design.
func (s *System) dependingOn(ctx context.Context, v logic.Var) (exprs []*logic.Expr, err error) {
	seen := map[*logic.Expr]bool{}
	s.eachCond(func(c *model.Cond) {
		if err != nil || c == nil {
			return
		}
		var m meaning
		if m, err = s.meaning(ctx, c); err != nil || seen[m.expr] || !slices.Contains(m.expr.Vars(), v) {
			return
		}
		seen[m.expr] = true
		exprs = append(exprs, m.expr)
	})
	return exprs, err
}

// SamePositions lists the pairs of positions of a setting between which nothing in the
// whole design can tell: no memory, mode, timer, contact, passage, result or claim. What
// could not be read gives none.
func (s *System) SamePositions(ctx context.Context, id model.SettingID) ([][2]int, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	v := s.SettingVar(id)
	if s.d.Settings[id].Broken || v < 0 || !s.whole() {
		return nil, nil
	}
	exprs, err := s.dependingOn(ctx, v)
	if err != nil {
		return nil, err
	}
	n := s.space.Size(v)
	differ := make([]bool, n*n)
	for _, e := range exprs {
		f, err := logic.NewManager(s.space, logic.ManagerOptions{Order: e.Vars(), MaxNodes: s.opts.MaxNodes})
		if err != nil {
			return nil, err
		}
		f.Watch(ctx)
		r := f.And(f.Of(e), f.Valid())
		for p := range n {
			for q := p + 1; q < n; q++ {
				differ[p*n+q] = differ[p*n+q] || f.Fix(r, v, p) != f.Fix(r, v, q) || f.Err() != nil
			}
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	var out [][2]int
	for p := range n {
		for q := p + 1; q < n; q++ {
			if !differ[p*n+q] {
				out = append(out, [2]int{p, q})
			}
		}
	}
	return out, nil
}

// Matters reports whether an assumption takes anything away: a start, or a move that could
// happen in some reachable state. It may, where something could not be read.
func (s *System) Matters(ctx context.Context, assumption string) (bool, error) {
	if err := s.needAll(ctx); err != nil {
		return false, err
	}
	if !s.whole() {
		return true, nil
	}
	return s.engine.Restricts(ctx, assumption)
}
