package reach

import (
	"context"
	"encoding/binary"
	"math"
	"slices"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/logic"
)

// zones searches states together with the readings of what is being measured:
// exact in time, one state at a time, bounded by max.
type zones struct {
	ctx     context.Context
	m       *model
	d       *during
	timed   *timing
	max     int
	visited int

	// watch, if not nil, is measured while it holds; the search ends when it
	// has held for more than limit nanoseconds.
	watch *logic.Expr
	limit int64

	known map[string][]*dbm
	next  map[string][]Step // the moves from a resting state
	queue []*timedState
}

// measured is a reading: of clock, beat, input or the watch, in that order.
type measured struct {
	id   int
	span Span
	side int // inputs: the value that the region was entered from
}

type timedState struct {
	p      logic.Point
	live   []measured // rising by id; reading i+1 of zone
	zone   *dbm
	parent *timedState
	step   Step
	depth  int
}

func (z *zones) ids() (beats, inputs, watch int) {
	beats = len(z.timed.clocks)
	inputs = beats + len(z.timed.beats)
	return beats, inputs, inputs + len(z.timed.vars)
}

// search looks for the goal, or for the watch held too long, fewest moves
// first. full tells that everything was searched.
func (z *zones) search(g goal, partly logic.Ref, r *route) (t *Trace, full bool, err error) {
	f := z.m.f
	z.known, z.next = map[string][]*dbm{}, map[string][]Step{}
	hit := func(s *timedState) bool {
		if z.watch == nil {
			return f.Has(g.final, s.p)
		}
		_, _, watch := z.ids()
		for i, l := range s.live {
			if l.id == watch {
				return *s.zone.at(i+1, 0) > z.limit
			}
		}
		return false
	}
	var found *timedState
	z.m.points(z.m.reached.initial, math.MaxInt, func(p logic.Point) bool {
		s := z.arrive(nil, Step{After: p})
		if s != nil && hit(s) {
			found = s
		}
		return found == nil && z.ctx.Err() == nil && z.visited < z.max
	})
	for at := 0; at < len(z.queue) && found == nil; at++ {
		s := z.queue[at]
		z.queue[at] = nil
		if err := z.ctx.Err(); err != nil {
			return nil, false, err
		}
		if err := f.Err(); err != nil {
			return nil, false, err
		}
		if z.visited >= z.max {
			return nil, false, nil
		}
		if partly != logic.Never && f.Has(partly, s.p) {
			for i := range z.m.events {
				e := &z.m.events[i]
				if st, ok := r.partial(e, s.p); ok && z.may(s, e.Happening) != nil {
					found = &timedState{p: st.After, parent: s, step: st, depth: s.depth + 1}
					return z.trace(found), false, f.Err()
				}
			}
		}
		for _, st := range z.moves(s.p) {
			if n := z.arrive(s, st); n != nil && hit(n) {
				found = n
				break
			}
		}
	}
	if f.Err() != nil || z.ctx.Err() != nil {
		return nil, false, firstError(z.ctx.Err(), f.Err())
	}
	if found != nil {
		return z.trace(found), false, nil
	}
	return nil, z.visited < z.max, nil
}

func firstError(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// moves lists every move from p, with every outcome.
func (z *zones) moves(p logic.Point) []Step {
	if known, ok := z.next[string(p)]; ok {
		return known
	}
	var out []Step
	for i := range z.m.events {
		z.m.complete(z.d, &z.m.events[i], p, z.m.reached.all, math.MaxInt, func(s Step) bool {
			out = append(out, s)
			return true
		})
	}
	z.next[string(p)] = out
	return out
}

// may keeps the readings of s at which the move can happen; nil if none.
func (z *zones) may(s *timedState, h Happening) *dbm {
	beats, inputs, _ := z.ids()
	id, gap := -1, int64(0)
	switch h.Kind {
	case MoveElapse:
		id = slices.IndexFunc(z.timed.clocks, func(c Clock) bool { return c.Var == h.Var })
	case MoveToggle:
		if id = slices.IndexFunc(z.timed.beats, func(b Beat) bool { return b.Var == h.Var }); id >= 0 {
			id += beats
		}
	case MoveInput:
		if j, ok := slices.BinarySearch(z.timed.vars, h.Var); ok {
			id, gap = inputs+j, z.timed.least[h.Var][[2]int{h.From, h.To}]
		}
	}
	for i, l := range s.live {
		if l.id != id || id < 0 {
			continue
		}
		if h.Kind != MoveInput {
			gap = l.span.Min
		} else if l.side == h.To {
			gap = 0
		}
		out := s.zone.clone()
		if !out.atLeast(i+1, gap) {
			return nil
		}
		return out
	}
	return s.zone
}

// measuring lists what is measured in the resting state after a move, and
// whether each starts anew.
func (z *zones) measuring(before []measured, st Step, first bool) (live []measured, anew []bool) {
	beats, inputs, watch := z.ids()
	was := func(id int) (measured, bool) {
		i, ok := slices.BinarySearchFunc(before, id, func(l measured, id int) int { return l.id - id })
		if !ok {
			return measured{}, false
		}
		return before[i], true
	}
	put := func(l measured, fresh bool) {
		live, anew = append(live, l), append(anew, fresh)
	}
	p := st.After
	for i := range z.timed.clocks {
		c := &z.timed.clocks[i]
		if p[c.Var] != ClockRunning {
			continue
		}
		old, running := was(i)
		if elapsed := st.Move.Kind == MoveElapse && st.Move.Var == c.Var; first || !running || elapsed {
			span, _ := z.timed.span(c, p)
			put(measured{id: i, span: span}, true)
		} else {
			put(old, false)
		}
	}
	for i, b := range z.timed.beats {
		if !b.Enable.Eval(p) {
			continue
		}
		_, running := was(beats + i)
		toggled := st.Move.Kind == MoveToggle && st.Move.Var == b.Var
		put(measured{id: beats + i, span: b.Half}, first || !running || toggled)
	}
	for j, v := range z.timed.vars {
		if !first && st.Move.Kind == MoveInput && st.Move.Var == v {
			put(measured{id: inputs + j, side: st.Move.From, span: Span{0, Forever}}, true)
		} else if old, ok := was(inputs + j); ok {
			put(old, false)
		}
	}
	if z.watch != nil && z.watch.Eval(p) {
		_, on := was(watch)
		put(measured{id: watch, span: Span{0, Forever}}, !on)
	}
	return live, anew
}

// arrive adds the state after a move from s (nil: the start), with all
// readings at which it can be. It returns nil if there are none or they are
// known.
func (z *zones) arrive(s *timedState, st Step) *timedState {
	old, zone := []measured(nil), &dbm{n: 1, b: []int64{0}}
	if s != nil {
		old = s.live
		if zone = z.may(s, st.Move); zone == nil {
			return nil
		}
	}
	n := &timedState{p: st.After, parent: s, step: st}
	var anew []bool
	n.live, anew = z.measuring(old, st, s == nil)
	from := make([]int, len(n.live)+1)
	for i, l := range n.live {
		if !anew[i] {
			from[i+1] = 1 + slices.IndexFunc(old, func(o measured) bool { return o.id == l.id })
		}
	}
	n.zone = zone.carry(from)
	most, compared := z.limits(n.live)
	ok := n.zone.tighten()
	if ok && !z.timed.urgent(n.p) {
		ok = n.zone.wait(most)
	}
	if !ok {
		return nil
	}
	n.zone.widen(compared)
	key := n.key()
	for _, k := range z.known[key] {
		if n.zone.within(k) {
			return nil
		}
	}
	z.known[key] = append(z.known[key], n.zone)
	z.visited++
	budget.From(z.ctx).Spend(budget.Zones, 1)
	if s != nil {
		n.depth = s.depth + 1
	}
	z.queue = append(z.queue, n)
	return n
}

// limits gives for each reading how far it may go, and the greatest value that
// it is compared with.
func (z *zones) limits(live []measured) (most, compared []int64) {
	_, inputs, watch := z.ids()
	most, compared = make([]int64, len(live)+1), make([]int64, len(live)+1)
	for i, l := range live {
		most[i+1], compared[i+1] = unbounded, max(l.span.Min, 0)
		if l.span.Max < Forever {
			most[i+1], compared[i+1] = l.span.Max, l.span.Max
		}
		switch {
		case l.id == watch:
			compared[i+1] = z.limit
		case l.id >= inputs:
			for _, gap := range z.timed.least[z.timed.vars[l.id-inputs]] {
				compared[i+1] = max(compared[i+1], gap)
			}
		}
	}
	return most, compared
}

// key tells apart what the readings are of.
func (s *timedState) key() string {
	b := append([]byte(nil), s.p...)
	for _, l := range s.live {
		b = binary.AppendUvarint(b, uint64(l.id))
		b = binary.AppendUvarint(b, uint64(l.span.Min))
		b = binary.AppendUvarint(b, uint64(l.span.Max))
		b = binary.AppendUvarint(b, uint64(l.side))
	}
	return string(b)
}

// trace reads the way to s back.
func (z *zones) trace(s *timedState) *Trace {
	steps := make([]Step, 0, s.depth)
	for ; s.parent != nil; s = s.parent {
		steps = append(steps, s.step)
	}
	t, _ := z.m.start(z.d, s.p)
	if t == nil {
		return nil
	}
	slices.Reverse(steps)
	t.Steps = steps
	return t
}
