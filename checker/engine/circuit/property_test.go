package circuit_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// anyState calls f for every state of the switches that can be.
func anyState(c *circuit.Circuit, f func(closed func(circuit.Switch) bool)) {
	n := len(c.Switches())
	for s := range 1 << n {
		closed := func(w circuit.Switch) bool { return s>>w&1 == 1 }
		if c.Feasible(closed) {
			f(closed)
		}
	}
}

// TestDecisionsEqualSolutions holds what Decide says of all states at once against
// the solution of each state by itself, both with and without trying out few switches.
func TestDecisionsEqualSolutions(t *testing.T) {
	ctx := context.Background()
	var decided, undecided int
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(1, 7).Draw(t, "switches"))
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		for _, a := range asked(t, b.Design, 4) {
			q, ok := c.Register(a)
			require.True(t, ok)
			whole, err := c.Decide(ctx, q, circuit.Nominal)
			require.NoError(t, err)
			narrow, err := c.Narrow(ctx, q, circuit.Nominal)
			require.NoError(t, err)
			anyState(c, func(closed func(circuit.Switch) bool) {
				s, err := c.Solve(ctx, closed, circuit.Nominal)
				require.NoError(t, err)
				want, err := s.Answer(ctx, q)
				require.NoError(t, err)
				for _, d := range []*circuit.Decision{whole, narrow} {
					if got := d.At(closed).Answer; got == circuit.Undecided {
						undecided++
					} else {
						decided++
						require.Equal(t, want, got == circuit.Yes, "%v", a)
					}
				}
			})
		}
	})
	require.Greater(t, decided, 100*undecided, "the bounds decide nothing")
}

// TestBoundsHoldEveryState draws a partial assignment and holds the interval that bounds
// give against every state that completes it.
func TestBoundsHoldEveryState(t *testing.T) {
	ctx := context.Background()
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(2, 8).Draw(t, "switches"))
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		known, rough := map[circuit.Switch]bool{}, rapid.Bool().Draw(t, "rough")
		for w := range c.Switches() {
			if v := rapid.IntRange(0, 2).Draw(t, "known"); v > 0 {
				known[circuit.Switch(w)] = v == 1
			}
		}
		for _, a := range asked(t, b.Design, 6) {
			if a.Kind != model.AtomMeasure {
				continue
			}
			q, ok := c.Register(a)
			require.True(t, ok)
			lo, hi, ok, err := c.Bounded(ctx, q, known, circuit.Nominal, 0, rough)
			require.NoError(t, err)
			if !ok {
				continue
			}
			anyState(c, func(closed func(circuit.Switch) bool) {
				for w, is := range known {
					if closed(w) != is {
						return
					}
				}
				s, err := c.Solve(ctx, closed, circuit.Nominal)
				require.NoError(t, err)
				v, err := s.Measure(ctx, a.Measure)
				require.NoError(t, err)
				// Meters and rounding are not in the bounds.
				hair := 2e-6 * math.Max(1, math.Abs(v))
				require.GreaterOrEqual(t, v, lo-hair, "%v", a.Measure)
				require.LessOrEqual(t, v, hi+hair, "%v", a.Measure)
			})
		}
	})
}

// TestJudgedCertainHoldsInSamples draws values within what a design leaves open and
// holds every certain answer against them; where the answer is said to depend, the
// corners that come with it must show both.
func TestJudgedCertainHoldsInSamples(t *testing.T) {
	ctx := context.Background()
	var depends int
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(1, 6).Draw(t, "switches"))
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		over := rapid.SampledFrom([]circuit.Freedom{circuit.OverAll, circuit.OverSupply, circuit.OverWarmth, circuit.OverTolerance}).Draw(t, "over")
		kinds := map[circuit.ParamKind]circuit.Freedom{circuit.SupplyVolts: circuit.OverSupply, circuit.Tolerance: circuit.OverTolerance, circuit.Warmth: circuit.OverWarmth}
		var samples []circuit.Corner
		for range 12 {
			k := circuit.Nominal
			for p, info := range c.Params() {
				if kinds[info.Kind]&over != 0 {
					share := rapid.SampledFrom([]float64{0, 1, 0.5, 0.2, 0.9}).Draw(t, "share")
					k = k.With(circuit.ParamID(p), info.Min+share*(info.Max-info.Min))
				}
			}
			samples = append(samples, k)
		}
		for _, a := range asked(t, b.Design, 4) {
			q, ok := c.Register(a)
			require.True(t, ok)
			d, err := c.WorstCase(ctx, q, circuit.Nominal, over)
			require.NoError(t, err)
			at := func(closed func(circuit.Switch) bool, k circuit.Corner) bool {
				s, err := c.Solve(ctx, closed, k)
				require.NoError(t, err)
				yes, err := s.Answer(ctx, q)
				require.NoError(t, err)
				return yes
			}
			anyState(c, func(closed func(circuit.Switch) bool) {
				switch leaf := d.At(closed); leaf.Answer {
				case circuit.Yes, circuit.No:
					for _, k := range samples {
						require.Equal(t, leaf.Answer == circuit.Yes, at(closed, k), "%v in %s", a, c.Describe(k))
					}
				case circuit.Depends:
					depends++
					require.Equal(t, leaf.Nominal == circuit.Yes, at(closed, circuit.Nominal))
					require.NotZero(t, leaf.On)
					require.NotEqual(t, circuit.NoParam, leaf.Param)
					require.True(t, at(closed, leaf.Yes), "%v in %s", a, c.Describe(leaf.Yes))
					require.False(t, at(closed, leaf.No), "%v in %s", a, c.Describe(leaf.No))
				}
			})
		}
	})
	require.Positive(t, depends, "nothing ever depends")
}

// TestManySwitches draws designs with more switches than can be tried out, and holds
// what is decided and judged against some of their states.
func TestManySwitches(t *testing.T) {
	ctx := context.Background()
	var decided, undecided int
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(9, 16).Draw(t, "switches"))
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		n := len(c.Switches())
		var states []*circuit.Solution
		for range 60 {
			bits := rapid.Uint64().Draw(t, "state")
			closed := func(w circuit.Switch) bool { return bits>>w&1 == 1 }
			if n <= 64 && c.Feasible(closed) {
				s, err := c.Solve(ctx, closed, circuit.Nominal)
				require.NoError(t, err)
				states = append(states, s)
			}
		}
		for _, a := range asked(t, b.Design, 2) {
			q, ok := c.Register(a)
			require.True(t, ok)
			d, err := c.Decide(ctx, q, circuit.Nominal)
			require.NoError(t, err)
			j, err := c.WorstCase(ctx, q, circuit.Nominal, circuit.OverAll)
			require.NoError(t, err)
			for _, s := range states {
				want, err := s.Answer(ctx, q)
				require.NoError(t, err)
				if got := d.At(s.Closed).Answer; got == circuit.Undecided {
					undecided++
				} else {
					decided++
					require.Equal(t, want, got == circuit.Yes, "%v", a)
				}
				leaf := j.At(s.Closed)
				if leaf.Nominal != circuit.Undecided {
					require.Equal(t, want, leaf.Nominal == circuit.Yes, "%v", a)
				}
				if leaf.Answer != circuit.Depends {
					continue
				}
				for k, want := range map[circuit.Corner]bool{leaf.Yes: true, leaf.No: false} {
					there, err := c.Solve(ctx, s.Closed, k)
					require.NoError(t, err)
					yes, err := there.Answer(ctx, q)
					require.NoError(t, err)
					require.Equal(t, want, yes, "%v in %s", a, c.Describe(k))
				}
			}
		}
	})
	require.Greater(t, decided, 10*undecided, "the bounds decide little")
}

// TestConcurrentUse asks everything from several goroutines at once; the race
// detector watches where it is on.
func TestConcurrentUse(t *testing.T) {
	d, ask := harness(4)
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	alone, err := circuit.New(d, nil)
	require.NoError(t, err)
	var group errgroup.Group
	for range 4 {
		group.Go(func() error {
			for _, a := range ask {
				q, _ := c.Register(a)
				if _, err := c.WorstCase(context.Background(), q, circuit.Nominal, circuit.OverSupply); err != nil {
					return err
				}
			}
			return nil
		})
	}
	require.NoError(t, group.Wait())
	for _, a := range ask {
		q, _ := c.Register(a)
		p, _ := alone.Register(a)
		one, err := c.WorstCase(context.Background(), q, circuit.Nominal, circuit.OverSupply)
		require.NoError(t, err)
		two, err := alone.WorstCase(context.Background(), p, circuit.Nominal, circuit.OverSupply)
		require.NoError(t, err)
		require.Equal(t, two, one)
	}
}

// TestStopsWithItsContext ends long work when nobody waits for it any longer.
func TestStopsWithItsContext(t *testing.T) {
	d, ask := harness(10)
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	q, _ := c.Register(ask[0])
	_, err = c.WorstCase(ctx, q, circuit.Nominal, circuit.OverAll)
	require.ErrorIs(t, err, context.Canceled)
	_, err = c.WorstCase(context.Background(), q, circuit.Nominal, circuit.OverSupply)
	require.NoError(t, err, "what was broken off is asked anew")
}

// TestBlockedCarriesNothing holds what Blocking says against the solution of each state:
// through what is blocked no current runs in any of them.
func TestBlockedCarriesNothing(t *testing.T) {
	ctx := context.Background()
	blocked := 0
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(1, 5).Draw(t, "switches"))
		ends := func(name string) string {
			return b.Design.Nodes[rapid.IntRange(0, len(b.Design.Nodes)-1).Draw(t, name)].Path
		}
		var loads []model.ElementID
		for i := range rapid.IntRange(1, 3).Draw(t, "loads") {
			x, y := fmt.Sprint("bx", i), fmt.Sprint("by", i)
			if rapid.Bool().Draw(t, "way round") {
				b.Diode("B"+x, ends("from"), x)
			} else {
				b.Diode("B"+x, x, ends("from"))
			}
			loads = append(loads, b.Load("L"+x, x, y, 6))
			if rapid.Bool().Draw(t, "the other way round") {
				b.Diode("B"+y, ends("to"), y)
			} else {
				b.Wire("B"+y, y, ends("to"), 0.01)
			}
		}
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		for _, id := range loads {
			diodes := c.Blocking(id)
			if len(diodes) == 0 {
				continue
			}
			blocked++
			for _, d := range diodes {
				require.Equal(t, model.ElemDiode, c.Element(d).Type)
			}
			anyState(c, func(closed func(circuit.Switch) bool) {
				s, err := c.Solve(ctx, closed, circuit.Nominal)
				require.NoError(t, err)
				require.InDelta(t, 0, s.Amps(id), 1e-6, "%s, blocked by %v", c.Element(id).Path, diodes)
			})
		}
	})
	require.Positive(t, blocked, "nothing is ever blocked")
}
