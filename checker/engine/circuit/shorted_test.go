package circuit_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// A battery that is shorted near its end of a cable leaves the rail at the other end some of its
// volts. Whether a lamp there is lit is decided by bounds, whatever twenty others do, and as the
// solution of each state has it.
func TestShortedSupplyIsDecidedByBounds(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Wire("short", "stud", "gnd", 0.02)
	b.Wire("cable", "stud", "rail", 0.005)
	b.Wire("strap", "gnd", "engine", 0.005)
	lamp := model.ElementID(model.None)
	for i := range 20 {
		at := b.Setting(fmt.Sprint("S", i), "off", "on")
		b.Contact(fmt.Sprint("K", i), "rail", fmt.Sprint("fed", i), at(1))
		load := b.Load(fmt.Sprint("H", i), fmt.Sprint("fed", i), "engine", 6)
		if i == 0 {
			lamp = load
		}
	}
	d := b.Design
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, level := range []float64{4, 7, 7.4} {
		e := &d.Elements[lamp]
		a := model.Atom{Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(level), Measure: model.Measure{
			Kind: model.AbsVolts, A: e.A, B: e.B, Element: lamp, Load: model.None,
		}}
		q, ok := c.Register(a)
		require.True(t, ok)
		before := c.Stats()
		got, err := c.Decide(context.Background(), q, circuit.Nominal)
		require.NoError(t, err)
		s := c.Stats()
		require.Less(t, s.Solves+s.Bounds-before.Solves-before.Bounds, uint64(50)) // 55 with all rails on one side
		for range 20 {
			state := rng.Uint64()
			closed := func(w circuit.Switch) bool { return state>>w&1 > 0 }
			sol, err := c.Solve(context.Background(), closed, circuit.Nominal)
			require.NoError(t, err)
			volts, ok := sol.Between(e.A, e.B)
			require.True(t, ok)
			leaf := got.At(closed)
			require.NotEqual(t, circuit.Undecided, leaf.Answer)
			require.Equal(t, math.Abs(volts) >= level, leaf.Answer == circuit.Yes, "%.2f V at a level of %.1f V", volts, level)
		}
	}
}
