package diagnose_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/fault"
	"pintle/checker/question/diagnose"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

const lamp = `title "Work lamp"
setting key: off, run
ground body
supply battery: 12 V, from body to stud, inside 10 mohm
fuse F1: battery.stud to feed, 10 A
node feed, sw
contact S1: feed to sw, make, made when key is run
wire W1: sw to lamp.1, 1 mm2, 1 m
wire W2: lamp.2 to body, 1 mm2, 1 m
fit lamp: {
    pin 1, 2
    load bulb: 1 to 2, 21 W at 12 V, lit from 60 %
}
symptom dark "the lamp stays dark": key is run and not lamp.bulb is lit
`

// The places and volts are those of a lead that is followed by hand: before what is open there
// are the volts of the battery, behind it there are none, and of what is open behind the lamp the
// whole of it stands at its earth side.
func TestWhereToMeasure(t *testing.T) {
	read := elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile("lamp.pintle", lamp), nil), nil)
	d := read.Designs[0]
	s := fault.NewSweep(d, fault.Options{})
	rows, err := s.Table(t.Context(), nil, nil)
	require.NoError(t, err)
	p, err := diagnose.Symptom(t.Context(), d, rows, "dark")
	require.NoError(t, err)
	names := make([]string, len(p.Suspects))
	for i := range p.Suspects {
		names[i] = p.Suspects[i].Words
	}
	require.NotNil(t, p.First)
	// Followed through the tests by what each fault shows, only what is alike is left.
	left := func(words string) []string {
		k := slices.Index(names, words)
		require.GreaterOrEqual(t, k, 0, words)
		for x := p.First; ; {
			v := p.Measurements[x.Measurement].Volts[k]
			i := slices.IndexFunc(x.Outcomes, func(o diagnose.Outcome) bool { return o.Lo <= v && v <= o.Hi })
			require.GreaterOrEqual(t, i, 0)
			if x.Outcomes[i].Next == nil {
				var out []string
				for _, j := range x.Outcomes[i].Suspects {
					out = append(out, names[j])
				}
				return out
			}
			x = x.Outcomes[i].Next
		}
	}
	for _, alone := range []string{"S1 stuck open", "W1 broken", "W2 broken", "lamp.bulb broken"} {
		assert.Equal(t, []string{alone}, left(alone))
	}
	assert.Contains(t, left("F1 blown"), "W1 shorted to ground", "the fuse is open with both")
	for _, m := range p.Measurements {
		assert.Equal(t, "key run", m.State)
		if m.Place == "lamp.2" {
			assert.InDelta(t, 12, m.Volts[slices.Index(names, "W2 broken")], 0.01)
			assert.InDelta(t, 0, m.Volts[slices.Index(names, "lamp.bulb broken")], 0.01)
		}
	}
	assert.Greater(t, p.Steps, 1.0)
	assert.Less(t, p.Steps, 4.0)
}

// One suspect that can't be driven, so that no reading is known of it, does not keep the
// others from being told apart.
func TestOneUnknownHidesNothing(t *testing.T) {
	read := elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile("lamp.pintle", lamp), nil), nil)
	d := read.Designs[0]
	s := fault.NewSweep(d, fault.Options{})
	rows, err := s.Table(t.Context(), nil, nil)
	require.NoError(t, err)
	whole, err := diagnose.Symptom(t.Context(), d, rows, "dark")
	require.NoError(t, err)
	k := slices.IndexFunc(rows, func(r fault.Row) bool {
		return slices.ContainsFunc(r.Symptoms, func(e fault.Effect) bool { return e.Name == "dark" })
	})
	require.GreaterOrEqual(t, k, 0)
	rows[k].Faults = slices.Clone(rows[k].Faults)
	strange := rows[k].Faults[0]
	strange.Actions = slices.Clone(strange.Actions)
	strange.Actions[0].Mode = model.FaultSilent // of what is no sender: nothing can be driven with it
	rows[k].Faults = append(rows[k].Faults, strange)
	p, err := diagnose.Symptom(t.Context(), d, rows, "dark")
	require.NoError(t, err)
	require.NotNil(t, p.First)
	require.Len(t, p.Unknown, 1)
	assert.Equal(t, strange.Words, p.Suspects[p.Unknown[0]].Words)
	assert.InDelta(t, whole.Steps, p.Steps, 1e-9)
}
