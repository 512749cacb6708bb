package reach

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
)

// replay follows a trace by the reference and demands that each part of it is
// what can happen.
func (r *refSystem) replay(t require.TestingT, tr *Trace) {
	follow := func(s string, changes []Change) string {
		for _, c := range changes {
			require.Equal(t, c.From, int(s[c.Var]))
			n := set(s, int(c.Var), c.To)
			require.Contains(t, r.micro(s), n, "a change that can't happen")
			s = n
		}
		return s
	}
	s := string(tr.Start)
	require.Contains(t, r.raw(), s)
	s = follow(s, tr.Settled)
	if !tr.Partial {
		require.Empty(t, r.micro(s))
		s = r.edges(s)
	}
	require.Equal(t, string(tr.Initial), s)
	for _, st := range tr.Steps {
		if st.Move.Kind != MoveIdle {
			found := false
			for _, e := range r.begin(s) {
				if e.move == st.Move {
					s, found = e.state, true
					break
				}
			}
			require.True(t, found, "a move that can't be made: %v", st.Move)
		}
		s = follow(s, st.Settled)
		if st.Partial && st.Fired == nil {
			require.Equal(t, string(st.After), s)
			return
		}
		require.Empty(t, r.micro(s), "the machines step before hardware has settled")
		s = follow(r.step(s), st.Changed)
		if !st.Partial {
			require.Empty(t, r.micro(s))
			s = r.edges(s)
		}
		require.Equal(t, string(st.After), s)
	}
}

func TestReachAgainstReference(t *testing.T) {
	ctx := context.Background()
	eachSystem(t, 3000, func(t drawer) {
		r := genSystem(t, false)
		sys := r.system(t)
		e, err := New(sys, Options{Unsliced: true})
		require.NoError(t, err)
		m, err := e.model(ctx)
		require.NoError(t, err)
		x := r.reach()
		got, err := m.reach()
		require.NoError(t, err)
		d, err := m.pass()
		require.NoError(t, err)
		require.Equal(t, int64(len(x.order)), m.f.Count(got.all).Int64(), "reachable states")
		require.Equal(t, int64(len(x.initial)), m.f.Count(got.initial).Int64())
		parted, err := New(r.system(t), Options{})
		require.NoError(t, err)
		all, err := parted.States(ctx)
		require.NoError(t, err)
		require.Equal(t, int64(len(x.order)), all.States.Int64(), "reachable states, part by part")
		for _, s := range x.order {
			require.True(t, m.f.Has(got.all, logic.Point(s)))
		}
		same := func(want map[string]bool, got logic.Ref, what string) {
			require.Equal(t, int64(len(want)), m.f.Count(got).Int64(), what)
			for s := range want {
				require.True(t, m.f.Has(got, logic.Point(s)), what)
			}
		}
		same(x.start, d.start, "start")
		same(x.first, d.first, "first")
		same(x.second, d.second, "second")
		same(x.atStep, d.atStep, "at step")

		bad := genCond(t, r.vars, []int{0, len(r.vars) - 1, len(r.vars) / 2}, 2)
		nearest := -1
		for _, s := range x.order {
			if bad.eval(s) && (nearest < 0 || x.depth[s] < nearest) {
				nearest = x.depth[s]
			}
		}
		tr, err := e.Witness(ctx, bad.expr(sys.Space))
		require.NoError(t, err)
		if nearest < 0 {
			require.Nil(t, tr)
		} else {
			require.NotNil(t, tr)
			require.Len(t, tr.Steps, nearest)
			r.replay(t, tr)
			require.True(t, bad.eval(string(tr.Last())))

			way, err := m.route(goal{final: m.f.And(got.all, m.f.Of(bad.expr(sys.Space)))})
			require.NoError(t, err)
			around, err := way.detour()
			require.NoError(t, err)
			require.NotNil(t, around)
			require.True(t, around.Detour)
			r.replay(t, around)
			require.True(t, bad.eval(string(around.Last())))
		}
	})
}

func TestSettlingAgainstReference(t *testing.T) {
	ctx := context.Background()
	hunting, racing, locked := 0, 0, 0
	defer func() {
		t.Logf("%d hunt, %d race, %d step for ever", hunting, racing, locked)
		require.Positive(t, min(hunting, racing, locked), "the generator must meet each kind of trouble")
	}()
	eachSystem(t, 3000, func(t drawer) {
		r := genSystem(t, false)
		x := r.reach()
		hunts, races := r.settling(x)
		hunting, racing, locked = hunting+count(hunts), racing+count(races), locked+count(x.livelock())
		for _, unsliced := range []bool{true, false} {
			e, err := New(r.system(t), Options{Unsliced: unsliced})
			require.NoError(t, err)
			hs, err := e.Hunts(ctx)
			require.NoError(t, err)
			if len(x.start) > 0 {
				require.Equal(t, hunts, len(hs) > 0, "hunting, unsliced %v", unsliced)
			}
			for _, h := range hs {
				require.NotEmpty(t, h.Cycle)
				if unsliced {
					r.replay(t, h.Trace)
				}
				s := string(h.Trace.Last())
				for _, c := range h.Cycle {
					n := set(s, int(c.Var), c.To)
					require.Contains(t, r.micro(s), n)
					s = n
				}
				require.Equal(t, string(h.Trace.Last()), s, "the cycle closes")
			}
			rs, err := e.Races(ctx)
			require.NoError(t, err)
			if unsliced || !hunts && len(x.start) > 0 {
				require.Equal(t, races, len(rs) > 0, "races, unsliced %v", unsliced)
			}
			for _, ra := range rs {
				if unsliced {
					r.replay(t, ra.Trace)
				}
				require.NotEqual(t, ra.OutcomeFirst, ra.OutcomeSecond)
				for i, way := range [][]Change{append([]Change{ra.First}, ra.AfterFirst...), append([]Change{ra.Second}, ra.AfterSecond...)} {
					s := string(ra.Trace.Last())
					for _, c := range way {
						n := set(s, int(c.Var), c.To)
						require.Contains(t, r.micro(s), n)
						s = n
					}
					require.Equal(t, string([]logic.Point{ra.OutcomeFirst, ra.OutcomeSecond}[i]), s)
					if unsliced {
						require.Empty(t, r.micro(s))
					}
				}
			}
			ls, err := e.Livelocks(ctx)
			require.NoError(t, err)
			if unsliced || !hunts && len(x.start) > 0 {
				require.Equal(t, x.livelock(), len(ls) > 0, "livelocks, unsliced %v", unsliced)
			}
			for _, l := range ls {
				s := string(l.Trace.Last())
				require.Equal(t, s, string(l.Cycle[len(l.Cycle)-1].After))
			}
		}
	})
}

// An assumption restricts if without it there is a start more, or a move more in a state
// that is reached with it.
func TestRestrictsAgainstReference(t *testing.T) {
	ctx := context.Background()
	eachSystem(t, 3000, func(t drawer) {
		r := genSystem(t, false)
		x := r.reach()
		if hunts, _ := r.settling(x); hunts || len(x.start) == 0 {
			return // see Slice
		}
		e, err := New(r.system(t), Options{})
		require.NoError(t, err)
		for _, id := range e.Assumptions() {
			without := r.without(id)
			want := len(without.raw()) > len(r.raw())
			for _, s := range x.order {
				want = want || len(without.begin(s)) > len(r.begin(s))
			}
			got, err := e.Restricts(ctx, id)
			require.NoError(t, err)
			require.Equal(t, want, got, id)
			if !got {
				more, err := e.Without(id).States(ctx)
				require.NoError(t, err)
				require.Equal(t, int64(len(x.order)), more.States.Int64(), id)
			}
		}
	})
}

// without is the system without one assumption.
func (r *refSystem) without(id string) *refSystem {
	out := &refSystem{}
	for i, v := range r.vars {
		v.moves = slices.Clone(v.moves)
		for j := range v.moves {
			if id == fmt.Sprintf("g%d.%d", i, j) {
				v.moves[j].guard = &cond{op: '1'}
			}
		}
		out.vars = append(out.vars, v)
	}
	for i, c := range r.invariants {
		if id != fmt.Sprintf("a%d", i) {
			out.invariants = append(out.invariants, c)
		}
	}
	return out
}

func TestSliceAgainstWhole(t *testing.T) {
	ctx := context.Background()
	eachSystem(t, 3000, func(t drawer) {
		r := genSystem(t, false)
		x := r.reach()
		if hunts, _ := r.settling(x); hunts || len(x.start) == 0 {
			return // the one case in which a slice may differ, see Slice
		}
		sys := r.system(t)
		e, err := New(sys, Options{})
		require.NoError(t, err)
		v := t.n(0, len(r.vars)-1)
		bad := genCond(t, r.vars, []int{v}, 1)
		nearest, atStep := -1, false
		for _, s := range x.order {
			if bad.eval(s) && (nearest < 0 || x.depth[s] < nearest) {
				nearest = x.depth[s]
			}
		}
		for s := range x.atStep {
			atStep = atStep || bad.eval(s)
		}
		b := bad.expr(sys.Space)
		verdict, err := e.Never(ctx, b)
		require.NoError(t, err)
		if nearest < 0 {
			require.Equal(t, Holds, verdict.Outcome)
		} else if len(sys.Clocks)+len(sys.Beats) == 0 {
			require.Equal(t, Fails, verdict.Outcome)
			require.Len(t, verdict.Trace.Steps, nearest)
		} else {
			tr, err := e.Witness(ctx, b)
			require.NoError(t, err)
			require.Len(t, tr.Steps, nearest)
		}
		m, err := e.model(ctx, b.Vars()...)
		require.NoError(t, err)
		d, err := m.pass()
		require.NoError(t, err)
		require.Equal(t, atStep, m.f.And(d.atStep, m.f.Of(b)) != logic.Never)

		// trapped in bad?
		leaves := map[string]bool{}
		for changed := true; changed; {
			changed = false
			for _, s := range x.order {
				if leaves[s] {
					continue
				}
				ok := !bad.eval(s)
				for n := range x.next[s] {
					ok = ok || leaves[n]
				}
				if ok {
					leaves[s], changed = true, true
				}
			}
		}
		got, err := e.CanLeave(ctx, b)
		require.NoError(t, err)
		if len(sys.Clocks)+len(sys.Beats) == 0 {
			require.Equal(t, len(leaves) == len(x.order), got.Outcome == Holds)
		}
	})
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}
