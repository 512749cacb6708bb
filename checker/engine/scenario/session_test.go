package scenario_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate/elaboratetest"
)

// A drive that is run step by step, each step taken back and run once more, comes to the same as
// one that is run at once.
func TestSession(t *testing.T) {
	steps := 0
	for _, d := range examples(t) {
		for i := range d.Drives {
			v := &d.Drives[i]
			at := d.File.Name + " " + d.Name + " " + v.Path
			want, err := scenario.Run(t.Context(), d, v, scenario.Options{})
			require.NoError(t, err, at)
			s, err := scenario.Begin(t.Context(), d, v, scenario.Options{})
			require.NoError(t, err, at)
			got := scenario.Result{}
			for k := range v.Steps {
				before := s.Now(t.Context()).State.Clone()
				first, err := s.Step(t.Context(), v, k)
				require.NoError(t, err, at)
				require.True(t, s.Undo())
				assert.Equal(t, before, s.Now(t.Context()).State, at)
				again, err := s.Step(t.Context(), v, k)
				require.NoError(t, err, at)
				assert.Equal(t, first.Events, again.Events, at)
				got.Events = append(got.Events, again.Events...)
				got.Ends = append(got.Ends, again.Ends...)
				got.Seen = append(got.Seen, again.Seen...)
				steps++
			}
			assert.Equal(t, want.Events, got.Events, at)
			assert.Equal(t, want.Ends, got.Ends, at)
			assert.Equal(t, want.Seen, got.Seen, at)
			assert.Equal(t, want.Last, s.Now(t.Context()).State, at)
			assert.Equal(t, len(v.Steps), s.Steps())
		}
	}
	assert.Greater(t, steps, 50)
}

// Every settled moment is told, and on a ramp a quantity lies on a straight line.
func TestEach(t *testing.T) {
	d := elaboratetest.Designs(t, "ramp", `title "Ramp"
setting key: off, run
quantity speed: 0 to 1000 rpm, starts at 0 rpm
ground body
supply battery: 12 V, from body to stud
load lamp: battery.stud to body, 5 W at 12 V, lit from 60 %
fit box: {
    pin 15, 31
    powered 15 to 31: works from 6 V
    timer later: runs while always, lasts 3 s
}
wire W1: battery.stud to box.15
wire W2: box.31 to body
condition fast: speed above 500 rpm
drive up {
    step: ramp speed to 1000 rpm over 10 s, wait 12 s, see fast
}
`)[0]
	at := map[int64]float64{}
	_, err := scenario.Run(t.Context(), d, &d.Drives[0], scenario.Options{Each: func(r *scenario.Rest) {
		at[r.State.At] = r.Level(0)
	}})
	require.NoError(t, err)
	const s = 1_000_000_000
	// 100 rpm in each second: when the timer is done, at the point that is compared, at the end.
	assert.Equal(t, map[int64]float64{0: 0, 3 * s: 300, 5 * s: 500, 10 * s: 1000, 12 * s: 1000}, at)
}
