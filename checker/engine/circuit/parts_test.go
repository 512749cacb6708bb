package circuit_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/checktest/soak"
	cars "pintle/checker/checktest/vehicle"
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// TestPartsAgainstSolutions holds what is decided by parts and bounds, on islands of up to
// 14 switches with diodes, bridges and several supplies, against whole solutions: of states
// at random, nominal and in corners at random, and of both corners of what depends.
// PINTLE_SOAK=4000 tries 100,000 islands.
func TestPartsAgainstSolutions(t *testing.T) {
	type drawn struct {
		b     *circuittest.Builder
		asked []model.Atom
	}
	islands := rapid.Custom(func(t *rapid.T) drawn {
		b := vehicle(t, rapid.IntRange(6, 14).Draw(t, "switches"))
		return drawn{b, asked(t, b.Design, 3)}
	})
	settled, other := 0, 0
	times := 12
	if testing.Short() {
		times = 3 // the race detector makes each ten times as slow
	}
	for n := range soak.Times(times) {
		x := islands.Example(soak.Seed() + n)
		rng := rand.New(rand.NewPCG(uint64(soak.Seed()+n), 17))
		c, err := circuit.New(x.b.Design, nil)
		require.NoError(t, err)
		for _, a := range x.asked {
			q, ok := c.Register(a)
			require.True(t, ok)
			nominal, err := c.Narrow(t.Context(), q, circuit.Nominal)
			require.NoError(t, err)
			judged, err := c.WorstCase(t.Context(), q, circuit.Nominal, circuit.OverAll)
			require.NoError(t, err)
			for range 12 {
				bits := rng.Uint64()
				closed := func(w circuit.Switch) bool { return bits>>w&1 > 0 }
				if !c.Feasible(closed) {
					continue
				}
				holds := func(k circuit.Corner) bool {
					s, err := c.Solve(t.Context(), closed, k)
					require.NoError(t, err)
					got, err := s.Answer(t.Context(), q)
					require.NoError(t, err)
					return got
				}
				if got := nominal.At(closed).Answer; got != circuit.Undecided {
					require.Equal(t, got == circuit.Yes, holds(circuit.Nominal), "island %d: %+v", n, a)
				}
				switch leaf := judged.At(closed); leaf.Answer {
				case circuit.Undecided:
					other++
				case circuit.Depends:
					settled++
					if leaf.Param != circuit.NoParam {
						require.True(t, holds(leaf.Yes), "island %d: %+v", n, a)
						require.False(t, holds(leaf.No), "island %d: %+v", n, a)
					}
				default:
					settled++
					k := circuit.Nominal
					for p, info := range c.Params() {
						if x := [...]float64{info.Min, info.Nominal, info.Max}[rng.IntN(3)]; x != info.Nominal {
							k = k.With(circuit.ParamID(p), x)
						}
					}
					require.Equal(t, leaf.Answer == circuit.Yes, holds(k), "island %d: %+v in %s", n, a, c.Describe(k))
				}
			}
		}
	}
	require.Greater(t, settled, 20*other, "parts and bounds decide too little")
}

// TestWorkOfAVehicle counts what deciding every question of generated vehicles takes: it
// grows as the vehicle does, and no faster.
func TestWorkOfAVehicle(t *testing.T) {
	per := map[int]float64{}
	for _, lines := range []int{150, 600} {
		d := written(t, cars.Text(cars.Options{Lines: lines, Seed: 11}))
		c, err := circuit.New(d, nil)
		require.NoError(t, err)
		asked := 0
		for q, info := range c.Questions() {
			if info.Atom.Kind != model.AtomMeasure {
				continue
			}
			asked++
			_, err := c.WorstCase(t.Context(), circuit.QuestionID(q), circuit.Nominal, circuit.OverAll)
			require.NoError(t, err)
		}
		s := c.Stats()
		per[lines] = float64(s.Solves+s.Bounds) / float64(asked)
		t.Logf("%d lines: %d questions, %.0f networks solved for each", lines, asked, per[lines])
	}
	require.Less(t, per[600], 1.6*per[150]+100)
}
