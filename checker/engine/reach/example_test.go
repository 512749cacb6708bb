package reach

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
)

// build helps to write small systems by hand.
type build struct {
	t testing.TB
	*System
}

func newBuild(t testing.TB) *build { return &build{t, &System{Space: logic.NewSpace()}} }

func (b *build) add(name string, size int, v Var) logic.Var {
	x, err := b.Space.Add(logic.Domain{Name: name, Size: size})
	require.NoError(b.t, err)
	b.Vars = append(b.Vars, v)
	return x
}

// toggle is an input of two values that moves freely but for the guards.
func (b *build) toggle(name string, guards ...Guard) logic.Var {
	v := b.add(name, 2, Var{Kind: Input})
	b.Inputs = append(b.Inputs, InputMoves{Var: v, Moves: []Move{{From: 0, To: 1, Guards: guards}, {From: 1, To: 0}}})
	return v
}

// relay follows a condition.
func (b *build) relay(name string, when func(self logic.Var) *logic.Expr) logic.Var {
	v := b.add(name, 2, Var{Kind: Hardware})
	on := when(v)
	b.Elements = append(b.Elements, Element{Var: v, Rules: []Rule{
		{From: logic.SetOf(0), To: 1, When: on}, {From: logic.SetOf(1), To: 0, When: b.Space.Not(on)},
	}})
	return v
}

func (b *build) engine(o Options) *Engine {
	e, err := New(b.System, o)
	require.NoError(b.t, err)
	return e
}

// A relay fed through its own break contact chatters.
func TestBuzzerHunts(t *testing.T) {
	b := newBuild(t)
	key := b.toggle("key")
	buzzer := b.relay("buzzer", func(self logic.Var) *logic.Expr {
		return b.Space.And(b.Space.On(key), b.Space.Not(b.Space.On(self)))
	})
	hunts, err := b.engine(Options{}).Hunts(context.Background())
	require.NoError(t, err)
	require.Len(t, hunts, 1)
	require.Equal(t, []Change{{buzzer, 0, 1}, {buzzer, 1, 0}}, hunts[0].Cycle)
	require.Len(t, hunts[0].Trace.Steps, 1)
	require.Equal(t, key, hunts[0].Trace.Steps[0].Move.Var)
}

// Two relays, each fed through the other's break contact, race when the key
// feeds both: whichever is faster keeps the other out.
func TestMutualLockoutRaces(t *testing.T) {
	b := newBuild(t)
	key := b.toggle("key")
	sp := b.Space
	left := b.add("left", 2, Var{Kind: Hardware})
	right := b.add("right", 2, Var{Kind: Hardware})
	for v, other := range map[logic.Var]logic.Var{left: right, right: left} {
		on := sp.And(sp.On(key), sp.Is(other, 0))
		b.Elements = append(b.Elements, Element{Var: v, Rules: []Rule{
			{From: logic.SetOf(0), To: 1, When: on}, {From: logic.SetOf(1), To: 0, When: sp.Not(on)},
		}})
	}
	e := b.engine(Options{})
	races, err := e.Races(context.Background())
	require.NoError(t, err)
	require.Len(t, races, 1)
	r := races[0]
	require.ElementsMatch(t, []logic.Var{left, right}, []logic.Var{r.First.Var, r.Second.Var})
	require.NotEqual(t, r.OutcomeFirst, r.OutcomeSecond)
	hunts, err := e.Hunts(context.Background())
	require.NoError(t, err)
	require.Empty(t, hunts)
}

// "x for 200 ms" with x on for 100 ms at most: in time, never.
func TestClockOutrun(t *testing.T) {
	ctx := context.Background()
	b := newBuild(t)
	sp := b.Space
	key := b.toggle("key")
	pulse := b.add("pulse", 3, Var{Kind: Timing})
	slow := b.add("slow", 3, Var{Kind: Timing})
	ms := int64(time.Millisecond)
	on := sp.And(sp.On(key), sp.In(pulse, logic.SetOf(ClockIdle, ClockRunning)))
	b.Clocks = []Clock{
		{Var: pulse, Run: sp.On(key), Lasts: []Timed{{Span: Span{100 * ms, 100 * ms}}}},
		{Var: slow, Run: on, Lasts: []Timed{{Span: Span{200 * ms, 250 * ms}}}},
	}
	e := b.engine(Options{})
	done := sp.Is(slow, ClockDone)
	tr, err := e.Witness(ctx, done)
	require.NoError(t, err)
	require.NotNil(t, tr, "possible if time is left out of account")
	sched, why, err := e.Feasible(ctx, tr)
	require.NoError(t, err)
	require.Nil(t, sched)
	require.Contains(t, why, "pulse takes at most 100ms")
	v, err := e.Never(ctx, done)
	require.NoError(t, err)
	require.Equal(t, Holds, v.Outcome)
	require.Contains(t, v.Reason, "timing rules out")

	for limit, want := range map[int64]Outcome{99 * ms: Fails, 100 * ms: Holds} {
		v, err := e.Within(ctx, sp.Is(pulse, ClockDone), sp.On(key), limit)
		require.NoError(t, err)
		require.Equal(t, want, v.Outcome)
	}
}

func TestAssumptionsUsed(t *testing.T) {
	b := newBuild(t)
	sp := b.Space
	brake := b.toggle("brake")
	start := b.toggle("start", Guard{When: sp.On(brake), Assumption: "starts-braked"}, Guard{Assumption: "empty"})
	b.Invariants = []Invariant{{Assumption: "held", Holds: sp.Implies(sp.On(start), sp.On(brake))}}
	e := b.engine(Options{})
	require.Equal(t, []string{"starts-braked", "empty", "held"}, e.Assumptions())
	used, err := e.Used(context.Background(), func(ctx context.Context, e *Engine) (Verdict, error) {
		return e.Never(ctx, sp.And(sp.On(start), sp.Not(sp.On(brake))))
	})
	require.NoError(t, err)
	require.Equal(t, []string{"held"}, used, "the guard alone would not do, the invariant alone does")
}

func TestLimitsLeaveItUndecided(t *testing.T) {
	sys := plant(t, "wound", 40, 12)
	last := sys.Space.Is(logic.Var(len(sys.Vars)-1), 1)
	for _, o := range []Options{{MaxNodes: 5000}, {MaxWork: 20000}} {
		e, err := New(sys, o)
		require.NoError(t, err)
		v, err := e.Never(context.Background(), last)
		require.NoError(t, err)
		require.Equal(t, Undecided, v.Outcome)
		require.NotEmpty(t, v.Reason)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	e, err := New(sys, Options{})
	require.NoError(t, err)
	_, err = e.Never(ctx, last)
	require.ErrorIs(t, err, context.Canceled)
}

func TestSameAnswerEveryTime(t *testing.T) {
	ask := func() Verdict {
		sys := plant(t, "ring", 12, 6)
		e, err := New(sys, Options{})
		require.NoError(t, err)
		v, err := e.Possible(context.Background(), sys.Space.Is(logic.Var(len(sys.Vars)-1), 1))
		require.NoError(t, err)
		return v
	}
	require.Equal(t, ask(), ask())
}

func TestUnsoundSystemsAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(*build, logic.Var){
		"moved twice":       func(b *build, v logic.Var) { b.Inputs = append(b.Inputs, b.Inputs[0]) },
		"value outside":     func(b *build, v logic.Var) { b.Inputs[0].Moves[0].To = 9 },
		"assumes on memory": func(b *build, v logic.Var) { b.Invariants = []Invariant{{Holds: b.Space.On(v)}} },
		"moved by nothing":  func(b *build, v logic.Var) { b.Elements = nil },
		"undescribed":       func(b *build, v logic.Var) { b.Vars = b.Vars[:1] },
	} {
		b := newBuild(t)
		key := b.toggle("key")
		v := b.relay("relay", func(logic.Var) *logic.Expr { return b.Space.On(key) })
		spoil(b, v)
		_, err := New(b.System, Options{})
		require.ErrorIs(t, err, ErrSystem, name)
	}
	_, err := New(nil, Options{})
	require.ErrorIs(t, err, ErrSystem)
}
