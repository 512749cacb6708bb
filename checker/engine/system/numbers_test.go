package system_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// extremes are numbers that a slip of the fingers or a bad mood may write.
var extremes = []string{"0", "-0", "-1", "-0.001", "1e-30", "-1e30", "1e30", "1e9", "1e6", "100000", "99999.9", "5", "100", "101", "1000", "-273.15", "1e-6"}

// numberedTexts are the designs whose numbers are replaced: one that has every clause with
// a number, and the examples.
func numberedTexts(t *testing.T) []string {
	names, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	names = append(names, "../../../lang/elaborate/testdata/numbers/every.pintle")
	var out []string
	for _, n := range names {
		text, err := os.ReadFile(n)
		require.NoError(t, err)
		out = append(out, string(text))
	}
	return out
}

// TestNoTextIsUnsolvable: whatever numbers stand in a text, those that the circuit can't be
// solved with are found while it is read, and the design that is left can be solved, at the
// ends of all that it leaves open too.
func TestNoTextIsUnsolvable(t *testing.T) {
	texts := numberedTexts(t)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "text")
		for range rapid.IntRange(1, 4).Draw(t, "slips") {
			f := syntax.Parse(source.NewFile("t.pintle", text), nil)
			var numbers []source.Span
			for i := range f.Tokens.Len() {
				if f.Tokens[i].Kind == syntax.Number {
					numbers = append(numbers, f.Tokens.Span(i))
				}
			}
			at := numbers[rapid.IntRange(0, len(numbers)-1).Draw(t, "at")]
			text = text[:at.Start] + rapid.SampledFrom(extremes).Draw(t, "number") + text[at.End:]
		}
		f := syntax.Parse(source.NewFile("t.pintle", text), nil)
		for _, d := range elaborate.Elaborate(context.Background(), f, nil).Designs {
			c, err := circuit.New(d, nil)
			if err != nil {
				t.Fatalf("%v", err)
			}
			corners := []circuit.Corner{circuit.Nominal, circuit.Nominal.WithCold(true)}
			low, high := circuit.Nominal, circuit.Nominal
			for i, p := range c.Params() {
				low, high = low.With(circuit.ParamID(i), p.Min), high.With(circuit.ParamID(i), p.Max)
			}
			for _, k := range append(corners, low, high) {
				for _, closed := range []bool{false, true} {
					if _, err := c.Solve(context.Background(), func(circuit.Switch) bool { return closed }, k); errors.Is(err, circuit.ErrDesign) {
						t.Fatalf("%v", err)
					}
				}
			}
		}
	})
}
