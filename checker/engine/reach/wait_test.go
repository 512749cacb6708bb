package reach

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
)

// waiting is a system with an input, hardware that opens for it once all is at rest (the fuse),
// hardware that watches, and a machine.
func waiting(t *testing.T, settle func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition), closed func(s *logic.Space, in, fuse, mode logic.Var) *logic.Expr) (*Engine, *logic.Expr, *logic.Expr) {
	s := logic.NewSpace()
	add := func(name string) logic.Var {
		v, err := s.Add(logic.Domain{Name: name, Size: 2})
		require.NoError(t, err)
		return v
	}
	in, fuse, watch, mode := add("in"), add("fuse"), add("watch"), add("mode")
	rules, transitions := settle(s, in, fuse, watch, mode)
	e, err := New(&System{
		Space:  s,
		Vars:   []Var{{Kind: Input}, {Kind: Hardware}, {Kind: Hardware}, {Kind: Machine}},
		Inputs: []InputMoves{{Var: in, Moves: []Move{{From: 0, To: 1}, {From: 1, To: 0}}}},
		Elements: []Element{
			{Var: fuse, Rules: []Rule{{From: logic.SetOf(0), To: 1, When: closed(s, in, fuse, mode), AtRest: true}}},
			{Var: watch, Rules: rules},
		},
		Machines: []ModeMachine{{Var: mode, Transitions: transitions}},
	}, Options{})
	require.NoError(t, err)
	return e, s.Is(fuse, 1), s.Is(mode, 1)
}

// What hardware or a machine ends does not come to what waits; what they watch they see first; and
// nothing is proved of what would wait for ever.
func TestWaitsForRest(t *testing.T) {
	ctx := context.Background()
	flows := func(s *logic.Space, in, fuse, mode logic.Var) *logic.Expr { return s.And(s.Is(in, 1), s.Is(fuse, 0)) }
	untilMode := func(s *logic.Space, in, fuse, mode logic.Var) *logic.Expr {
		return s.And(flows(s, in, fuse, mode), s.Is(mode, 0))
	}
	// The watch sets while the current flows and clears without it.
	watched := func(flow func(s *logic.Space, in, fuse, mode logic.Var) *logic.Expr) func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition) {
		return func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition) {
			on := flow(s, in, fuse, mode)
			return []Rule{{From: logic.SetOf(0), To: 1, When: on}, {From: logic.SetOf(1), To: 0, When: s.Not(on)}},
				[]Transition{{From: logic.SetOf(0), To: 1, When: s.Is(watch, 1)}}
		}
	}
	for _, c := range []struct {
		name        string
		settle      func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition)
		closed      func(s *logic.Space, in, fuse, mode logic.Var) *logic.Expr
		opens, trip Outcome // of never
	}{
		{"the mode ends the current", watched(untilMode), untilMode, Holds, Fails},
		{"the mode only notes it", watched(flows), flows, Fails, Fails},
		{"hardware hunts", func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition) {
			on := flows(s, in, fuse, mode)
			return []Rule{{From: logic.SetOf(0), To: 1, When: on}, {From: logic.SetOf(1), To: 0, When: on}}, nil
		}, flows, Undecided, Holds},
		{"modes go round", func(s *logic.Space, in, fuse, watch, mode logic.Var) ([]Rule, []Transition) {
			on := flows(s, in, fuse, mode)
			return nil, []Transition{{From: logic.SetOf(0), To: 1, When: on}, {From: logic.SetOf(1), To: 0, When: on}}
		}, flows, Undecided, Fails},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, open, tripped := waiting(t, c.settle, c.closed)
			v, err := e.Never(ctx, open)
			require.NoError(t, err)
			require.Equal(t, c.opens, v.Outcome, "%s", v.Reason)
			v, err = e.Never(ctx, tripped)
			require.NoError(t, err)
			require.Equal(t, c.trip, v.Outcome)
		})
	}
}
