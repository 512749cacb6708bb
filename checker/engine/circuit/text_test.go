package circuit_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func written(t testing.TB, text string) *model.Design {
	t.Helper()
	f := syntax.Parse(source.NewFile("test.pintle", text), nil)
	r := elaborate.Elaborate(context.Background(), f, nil)
	require.Empty(t, r.Findings)
	require.Len(t, r.Designs, 1)
	return r.Designs[0]
}

// TestExamples decides every electrical question of every example and holds the
// answers against solutions of random states.
func TestExamples(t *testing.T) {
	ctx := context.Background()
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	more, err := filepath.Glob("../../../examples/*/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range append(files, more...) {
		for _, d := range elaboratetest.File(t, file) {
			t.Run(filepath.Base(file)+" "+d.Name, func(t *testing.T) {
				c, err := circuit.New(d, nil)
				require.NoError(t, err)
				rng := rand.New(rand.NewPCG(1, 2))
				var states []*circuit.Solution
				for range 2000 {
					pick := make([]bool, len(c.Switches()))
					for w := range pick {
						pick[w] = rng.IntN(2) == 0
					}
					closed := func(w circuit.Switch) bool { return pick[w] }
					if !c.Feasible(closed) {
						continue
					}
					s, err := c.Solve(ctx, closed, circuit.Nominal)
					require.NoError(t, err)
					if states = append(states, s); len(states) == 50 {
						break
					}
				}
				for q, info := range c.Questions() {
					dec, err := c.Decide(ctx, circuit.QuestionID(q), circuit.Nominal)
					require.NoError(t, err)
					for _, leaf := range dec.Leaves() {
						require.NotEqual(t, circuit.Undecided, leaf.Answer, "%v: %s", info.Atom, leaf.Why)
					}
					for _, s := range states {
						want, err := s.Answer(ctx, circuit.QuestionID(q))
						require.NoError(t, err)
						require.Equal(t, want, dec.At(s.Closed).Answer == circuit.Yes, "%v", info.Atom)
					}
					_, err = c.WorstCase(ctx, circuit.QuestionID(q), circuit.Nominal, circuit.OverAll)
					require.NoError(t, err)
				}
				t.Logf("%d switches, %d questions, %d states, %+v", len(c.Switches()), len(c.Questions()), len(states), c.Stats())
			})
		}
	}
}

// A relay on a battery that may sag: it pulls in at 8 V, which 9 V behind the wires
// still gives, but 7 V does not.
func TestFromText(t *testing.T) {
	text := func(lowest string) string {
		return fmt.Sprintf(`
ground body
supply battery: 12 V, from body to stud, inside 10 mohm, anywhere between %s and 15 V
setting key: off, run
fit K1: {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 85 ohm +-10 %%, pulls in at 8 V, drops out at 1.5 V
    contact main: 30 to 87, make
}
fit S1: {
    pin 1, 2
    contact inner: 1 to 2, made when key is run
}
fit E1: {
    pin 1, 2
    load lamp: 1 to 2, 21 W at 12 V, lit from 60 %%
}
wire W1: battery.stud to S1.1, 0.5 mm2, 3 m
wire W2: S1.2 to K1.86, 0.5 mm2, 3 m
wire W3: K1.85 to body, 0.5 mm2, 3 m
wire W4: battery.stud to K1.30, 1 mm2, 1 m
wire W5: K1.87 to E1.1, 1 mm2, 1 m
wire W6: E1.2 to body, 1 mm2, 1 m
require lit: possible E1.lamp is lit
`, lowest)
	}
	for lowest, want := range map[string]circuit.Tri{"9 V": circuit.Yes, "7 V": circuit.Depends} {
		d := written(t, text(lowest))
		c, err := circuit.New(d, nil)
		require.NoError(t, err)
		coil := d.Coils[0]
		q, ok := c.Register(model.Atom{
			Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(coil.PullIn.Float64()),
			Measure: model.Measure{Kind: model.AbsVolts, Element: model.None, A: coil.A, B: coil.B},
		})
		require.True(t, ok)
		dec, err := c.WorstCase(context.Background(), q, circuit.Nominal, circuit.OverAll)
		require.NoError(t, err)
		leaf := dec.At(func(circuit.Switch) bool { return true })
		require.Equal(t, want, leaf.Answer, lowest)
		require.Equal(t, circuit.No, dec.At(func(circuit.Switch) bool { return false }).Answer)
		if want == circuit.Depends {
			require.Equal(t, circuit.OverSupply, leaf.On)
			require.Equal(t, "battery at 7 V", c.Describe(leaf.No))
		}
	}
}
