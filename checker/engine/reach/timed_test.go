package reach

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The timed reference counts time in ticks of 1 ns. For bounds that include
// their ends and are whole numbers of ticks this loses nothing that can be
// reached (Henzinger, Manna, Pnueli: What good are digital clocks?, 1992).

type tick struct {
	s    string
	age  [6]int8 // of a running clock, an enabled beat, an entered region
	side [6]int8 // the value that the region was entered from; -1: unknown
	wait int8    // how long the watch has held, up to one more than the limit
}

const never = int8(-1)

// oldest is an age beyond every bound that genSystem draws.
const oldest = int8(6)

// slow reports whether some region of an input takes time to cross.
func (v refVar) slow() bool {
	return slices.ContainsFunc(v.moves, func(m refMove) bool { return m.least > 0 })
}

// measures reports whether variable i is being timed in s.
func (r *refSystem) measures(i int, s string) bool {
	v := r.vars[i]
	switch v.kind {
	case Timing:
		return s[i] == 1
	case Beating:
		return v.span != (Span{}) && v.cond.eval(s)
	}
	return false
}

// ticks explores everything in time. It returns the resting states, and
// whether watch can hold for longer than limit.
func (r *refSystem) ticks(x *refReach, watch *cond, limit int8) (states map[string]bool, long bool) {
	states = map[string]bool{}
	seen := map[tick]bool{}
	var queue []tick
	add := func(n tick) {
		if !seen[n] {
			seen[n] = true
			states[n.s] = true
			queue = append(queue, n)
		}
	}
	arrive := func(from *tick, h Happening, s string) {
		n := tick{s: s}
		for i := range r.vars {
			n.age[i], n.side[i] = never, never
			switch {
			case r.measures(i, s):
				n.age[i] = 0
				if from != nil && from.age[i] >= 0 && (h.Kind == MoveIdle || int(h.Var) != i) {
					n.age[i] = from.age[i]
				}
			case r.vars[i].kind == Input && from != nil:
				n.age[i], n.side[i] = from.age[i], from.side[i]
				if h.Kind == MoveInput && int(h.Var) == i && r.vars[i].slow() {
					n.age[i], n.side[i] = 0, int8(h.From)
				}
			}
		}
		if from != nil && watch.eval(from.s) && watch.eval(s) {
			n.wait = from.wait
		}
		add(n)
	}
	for _, s := range x.initial {
		arrive(nil, Happening{}, s)
	}
	ends := map[string]map[string]bool{} // of a move whose first part leads here
	scratch := &refReach{first: map[string]bool{}, second: map[string]bool{}, atStep: map[string]bool{}}
	for at := 0; at < len(queue); at++ {
		n := queue[at]
		long = long || watch.eval(n.s) && n.wait > limit
		for _, t := range x.idle[n.s] {
			arrive(&n, Happening{Kind: MoveIdle, Var: -1}, t)
		}
		for _, e := range r.begin(n.s) {
			i := int(e.move.Var)
			v := r.vars[i]
			switch e.move.Kind {
			case MoveElapse, MoveToggle:
				if n.age[i] >= 0 && int64(n.age[i]) < v.span.Min {
					continue
				}
			case MoveInput:
				var least int64
				for _, m := range v.moves {
					if m.from == e.move.From && m.to == e.move.To {
						least = m.least
					}
				}
				if n.side[i] >= 0 && int(n.side[i]) != e.move.To && int64(n.age[i]) < least {
					continue
				}
			}
			if ends[e.state] == nil {
				ends[e.state] = r.respond(e.state, scratch)
			}
			for t := range ends[e.state] {
				arrive(&n, e.move, t)
			}
		}
		passes := len(x.idle[n.s]) == 0 && r.step(n.s) == n.s
		for i, v := range r.vars {
			if v.kind != Input && n.age[i] >= 0 && int64(n.age[i]) >= v.span.Max {
				passes = false
			}
		}
		if passes {
			for i := range r.vars {
				if n.age[i] >= 0 {
					n.age[i] = min(n.age[i]+1, oldest)
				}
			}
			if watch.eval(n.s) {
				n.wait = min(n.wait+1, limit+1)
			}
			add(n)
		}
	}
	return states, long
}

func TestTimeAgainstTicks(t *testing.T) {
	ctx := context.Background()
	ruledOut, zoned, late, kept, unsettled := 0, 0, 0, 0, 0
	defer func() {
		t.Logf("%d ruled out by time, %d needed zones, within: %d fail, %d hold; %d undecided by what never settles", ruledOut, zoned, late, kept, unsettled)
		require.Positive(t, min(ruledOut, zoned, late, kept, unsettled), "the generator must meet each case")
	}()
	eachSystem(t, 2000, func(t drawer) {
		r := genSystem(t, true)
		x := r.reach()
		sys := r.system(t)
		e, err := New(sys, Options{Unsliced: true, MaxTraces: t.n(1, 8)})
		require.NoError(t, err)
		every := make([]int, len(r.vars))
		for i := range every {
			every[i] = i
		}
		bad := genCond(t, r.vars, every, 1)
		for i, v := range r.vars { // phases that may exclude one another in time
			if v.kind == Timing && t.n(0, 1) == 1 {
				x := t.n(1, 2)
				bad = &cond{op: '&', kids: []*cond{bad, {op: 'v', v: i, set: map[int]bool{x: true}}}}
			}
		}
		limit := int64(t.n(0, 4))
		states, long := r.ticks(x, bad, int8(limit))
		reachable := false
		for s := range states {
			reachable = reachable || bad.eval(s)
		}
		b := bad.expr(sys.Space)
		v, err := e.Never(ctx, b)
		require.NoError(t, err)
		unsettled += count(v.Outcome == Undecided)
		require.True(t, v.Outcome != Undecided || v.Hunt != nil || v.Livelock != nil, "never: %v", v)
		require.Equal(t, reachable, v.Outcome == Fails, "never: %v", v)
		if v.Outcome == Fails {
			r.replay(t, v.Trace)
			require.Len(t, v.Schedule.At, len(v.Trace.Steps))
		}
		ruledOut += count(v.Outcome == Holds && v.Reason != "")
		zoned += count(v.Work.Zones > 0)

		w, err := e.Within(ctx, sys.Space.False(), b, limit)
		require.NoError(t, err)
		require.True(t, w.Outcome != Undecided || w.Hunt != nil || w.Livelock != nil, "within: %v", w)
		require.Equal(t, long, w.Outcome == Fails, "within %d: %v", limit, w)
		if w.Outcome == Fails {
			r.replay(t, w.Trace)
			require.Len(t, w.Schedule.At, len(w.Trace.Steps)+1)
		}
		late += count(w.Outcome == Fails)
		kept += count(w.Outcome == Holds && !w.Vacuous)
	})
}
