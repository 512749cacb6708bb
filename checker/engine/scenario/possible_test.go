package scenario

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/soak"
	"pintle/checker/engine/circuit"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// exampleDesigns are all designs of the clean examples.
func exampleDesigns(t *testing.T) (out []*model.Design, names []string) {
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		read := elaborate.Elaborate(t.Context(), syntax.Parse(source.NewFile(f, string(text)), nil), elaboratetest.Disk{})
		for _, d := range read.Designs {
			out = append(out, d)
			names = append(names, filepath.Base(f)+" "+d.Name)
		}
	}
	return out, names
}

// randomDrive moves the inputs of a design to and fro, a move or a pause in each step.
func randomDrive(d *model.Design, r *rand.Rand, steps int) *model.Drive {
	out := &model.Drive{After: model.None}
	at := make([]float64, len(d.Quantities))
	for i := range at {
		at[i] = d.Quantities[i].Start.Float64()
	}
	for range steps {
		st := model.Step{Wait: []float64{0.05, 0.3, 1, 7}[r.IntN(4)]}
		if n := len(d.Settings); n > 0 && r.IntN(3) == 0 {
			i := r.IntN(n)
			st.Sets = append(st.Sets, model.SetAction{
				Setting: model.SettingID(i), Position: r.IntN(len(d.Settings[i].Positions)), Quantity: model.None, Supply: model.None,
			})
		}
		for i := range d.Quantities {
			if q := &d.Quantities[i]; r.IntN(2) == 0 {
				lo, hi := q.Lo.Float64(), q.Hi.Float64()
				to := math.Round(min(max(lo, at[i]+(r.Float64()-0.5)*(hi-lo)/2), hi)*4) / 4
				at[i] = to
				n, _ := unit.Int(int64(to * 4)).Quo(unit.Int(4))
				st.Ramps = append(st.Ramps, model.Ramp{Quantity: model.QuantityID(i), To: unit.FromBase(n, q.Lo.Unit), Seconds: st.Wait})
			}
		}
		out.Steps = append(out.Steps, st)
	}
	return out
}

// knownOf is what is known at a sample that is exact.
func knownOf(s *Possible, st *State) Known {
	k := s.Anything()
	for i := range k.Cells {
		v := st.Quantities[i].N.Float64()
		k.Cells[i][0], k.Cells[i][1] = s.Cells(model.QuantityID(i), v, v)
		k.Loose[i] = false
	}
	for i := range k.Positions {
		k.Positions[i] = []int{st.Settings[i]}
	}
	return k
}

// hull is what is known between two samples.
func hull(a, b Known) Known {
	k := a.Clone()
	for i := range k.Cells {
		k.Cells[i] = [2]int{min(a.Cells[i][0], b.Cells[i][0]), max(a.Cells[i][1], b.Cells[i][1])}
	}
	for i := range k.Positions {
		k.Positions[i] = append(slices.Clone(a.Positions[i]), b.Positions[i]...)
		slices.Sort(k.Positions[i])
		k.Positions[i] = slices.Compact(k.Positions[i])
	}
	return k
}

// What a design does in a drive is among what is possible, of which only samples are known,
// whatever the volts of its supplies, its tolerances and its durations.
func TestPossibleHoldsDrives(t *testing.T) {
	designs, names := exampleDesigns(t)
	looked, sharp, many := 0, 0, 0
	for k, d := range designs {
		for round := range soak.Times(2) {
			r := rand.New(rand.NewPCG(uint64(soak.Seed()), uint64(k*1000+round)))
			drive := randomDrive(d, r, 40)
			o := Options{Pace: Pace(r.IntN(3)), FusesHold: true}
			c, err := newPlant(d, o)
			require.NoError(t, err)
			for i, p := range c.circuit.Params() {
				if p.Volts && r.IntN(2) == 0 {
					o.Corner = o.Corner.With(circuit.ParamID(i), []float64{p.Min, p.Max}[r.IntN(2)])
				}
			}
			s, err := NewPossible(d)
			require.NoError(t, err)
			all := s.Anything()
			for i := range all.Cells {
				lo, hi := s.Cells(model.QuantityID(i), d.Quantities[i].Start.Float64(), d.Quantities[i].Start.Float64())
				all.Cells[i] = [2]int{lo, hi}
				all.Loose[i] = false
			}
			for i := range all.Positions {
				all.Positions[i] = []int{d.Settings[i].Start}
			}
			was, late := all, 15+25*r.IntN(2) // half of them begin anew in the middle
			require.NoError(t, s.AtRest(t.Context(), 0, was), names[k])
			err = Record(t.Context(), d, drive, o, func(step int, at *End) error {
				now := knownOf(s, &at.State)
				if step == late {
					err = s.Begin(t.Context(), at.State.At, now)
				} else {
					err = s.Pass(t.Context(), at.State.At, hull(was, now), now)
				}
				if errors.As(err, new(ManyError)) && step == late {
					many++
					return nil
				}
				if err != nil {
					return fmt.Errorf("step %d: %w", step, err)
				}
				was = now
				looked++
				if s.Len() == 1 {
					sharp++
				}
				for i := range s.states {
					st := &s.states[i]
					if slices.Equal(st.Memories, at.State.Memories) && slices.Equal(st.Machines, at.State.Machines) && slices.Equal(st.Settings, at.State.Settings) {
						return nil
					}
				}
				return fmt.Errorf("step %d: none of %d states is what the drive came to, %v %v", step, s.Len(), at.State.Memories, at.State.Machines)
			})
			require.NoError(t, err, "%s round %d", names[k], round)
		}
	}
	t.Log(looked, "samples,", sharp, "of which leave one state;", many, "began with too many")
	assert.Less(t, many, len(designs))
	assert.Greater(t, sharp, looked/4)
}

// A relay has 200 ms to pull in behind a timer that was started between two samples.
func TestPossibleTimes(t *testing.T) {
	d := one(t, `title "Delay"
setting key: off, run
ground body
supply battery: 12 V, from body to stud
node feed
timer pause: runs while key is run, lasts 200 ms
contact S1: battery.stud to feed, make, made when pause is done
load lamp: feed to body, 5 W at 12 V, lit from 60 %
`)
	s, err := NewPossible(d)
	require.NoError(t, err)
	lit := &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomTimer, Index: 0, In: []int{model.TimerDone}}}
	may := func() string {
		var is [3]bool
		for i := range s.Len() {
			v, err := s.Is(t.Context(), i, lit)
			require.NoError(t, err)
			is[v] = true
		}
		var out []string
		for v, name := range [...]string{"no", "yes", "unknown"} {
			if is[v] {
				out = append(out, name)
			}
		}
		return strings.Join(out, " ")
	}
	off, run := s.Anything(), s.Anything()
	off.Positions[0], run.Positions[0] = []int{0}, []int{1}
	const ms = 1_000_000
	require.NoError(t, s.Begin(t.Context(), 0, off))
	assert.Equal(t, "no", may())
	require.NoError(t, s.Pass(t.Context(), 100*ms, s.Anything(), run)) // on at 0 to 100 ms: done at 200 to 300
	assert.Equal(t, "no", may())
	assert.Equal(t, int64(200*ms), s.Next())
	require.NoError(t, s.Pass(t.Context(), 199*ms, run, run))
	assert.Equal(t, "no", may())
	require.NoError(t, s.Pass(t.Context(), 250*ms, run, run))
	assert.Equal(t, "no yes", may())
	require.NoError(t, s.Pass(t.Context(), 301*ms, run, run))
	assert.Equal(t, "yes", may())
	// With an unknown past, it may run or be done where the key is on.
	require.NoError(t, s.Begin(t.Context(), 0, run))
	assert.Equal(t, "no yes", may())
	require.NoError(t, s.Pass(t.Context(), 201*ms, run, run))
	assert.Equal(t, "yes", may())
}

func one(t *testing.T, text string) *model.Design {
	t.Helper()
	read := elaborate.Elaborate(t.Context(), syntax.Parse(source.NewFile("a.pintle", text), nil), elaboratetest.Disk{})
	for _, f := range read.Findings {
		require.Fail(t, f.Message)
	}
	return read.Designs[0]
}
