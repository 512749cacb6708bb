package replay

import (
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
	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

func designsOf(t testing.TB, name, text string) []*model.Design {
	t.Helper()
	tree := syntax.Parse(source.NewFile(name, text), nil)
	read := elaborate.Elaborate(t.Context(), tree, elaboratetest.Disk{})
	for _, f := range slices.Concat(tree.Findings, read.Findings) {
		require.Fail(t, f.Message, name)
	}
	return read.Designs
}

// blower switches a motor at two points of a quantity, through a relay.
func blower(t testing.TB, sets, clears float64) *model.Design {
	return designsOf(t, "a.pintle", fmt.Sprintf(`title "Blower"
quantity core: -20 to 110 degC, starts at 15 degC
ground body
supply battery: 12.6 V, from body to stud, anywhere between 11 V and 15 V
fuse F1: battery.stud to feed, 15 A
node feed, coil_feed, motor_pin
threshold warm: core, sets at %g degC, clears below %g degC
contact S1: feed to coil_feed, make, made when warm
coil K1: coil_feed to body, 85 ohm +-10 %%, pulls in at 8 V, drops out at 2 V
contact K1_main: feed to motor_pin, make, by K1
load motor: motor_pin to body, 60 W at 12 V, turning from 50 %%
`, sets, clears))[0]
}

func replayOf(t testing.TB, d *model.Design, log string, m *Mapping, faults bool) *Result {
	t.Helper()
	r, err := New(d, strings.NewReader(log), Options{Mapping: m, Faults: faults})
	require.NoError(t, err)
	out, err := r.Run(t.Context())
	require.NoError(t, err)
	return out
}

// noise draws errors with a median of 0, of several shapes.
func noise(r *rand.Rand, shape int, size float64) float64 {
	switch shape {
	case 0:
		return r.NormFloat64() * size
	case 1:
		return (r.Float64()*2 - 1) * size
	case 2: // Laplace
		return math.Copysign(r.ExpFloat64(), r.Float64()-0.5) * size
	}
	return math.Copysign(math.Pow(r.Float64(), 3), r.Float64()-0.5) * 3 * size
}

// pointsLog records a vehicle that switches at its own points, straight from the definition of
// a hysteresis: the quantity goes up and down at changing speeds.
func pointsLog(r *rand.Rand, sets, clears float64) (log string, passes int, step float64) {
	passes = 6 + r.IntN(20)
	shape, size := r.IntN(4), []float64{0, 0.1, 1.5, 5}[r.IntN(4)]
	step = []float64{0.01, 0.1, 1}[r.IntN(3)]
	b := strings.Builder{}
	b.WriteString("time,core,motor\n")
	q, on, at := 20.0, false, 0.0
	for range passes {
		for _, to := range [...]float64{80 + 20*r.Float64(), 10 + 20*r.Float64()} {
			speed := 0.1 + r.Float64() // per row
			for (to-q)*math.Copysign(1, to-50) > 0 {
				q += math.Copysign(speed*(0.5+r.Float64()), to-50)
				on = on && q >= clears || q >= sets
				at += 0.1
				seen := math.Round((q+noise(r, shape, size))/step) * step
				fmt.Fprintf(&b, "%.1f,%.2f,%d\n", at, seen, b2i(on))
			}
		}
	}
	return b.String(), passes, step
}

// The interval of a switching point covers the planted one at its stated confidence: the misses
// of many recordings are no more than a binomial variable of 5 % has but once in a million.
func TestPlantedPoints(t *testing.T) {
	runs := soak.Times(10)
	all, missed := 0, 0
	covered, shifted, slips := 0, 0, 0
	stated := 0.0
	for seed := range runs {
		r := rand.New(rand.NewPCG(uint64(soak.Seed()+seed), 11))
		real := [2]float64{40 + 30*r.Float64(), 0}
		real[1] = real[0] - 1 - 8*r.Float64()
		described := [2]float64{math.Round(real[0]), math.Round(real[1])}
		if r.IntN(2) == 0 {
			described[0] += float64(r.IntN(9) - 4)
		}
		if described[1] >= described[0] {
			described[1] = described[0] - 1
		}
		log, passes, step := pointsLog(r, real[0], real[1])
		out := replayOf(t, blower(t, described[0], described[1]), log, &Mapping{Columns: []ColumnMap{{Name: "core", Accuracy: "20 degC", Resolution: fmt.Sprintf("%g degC", step)}}}, false)
		require.Len(t, out.Points, 2, "seed %d", seed)
		for _, p := range out.Points {
			planted := real[1]
			if p.Rising {
				planted = real[0]
			}
			require.Equal(t, passes, p.Passes, "seed %d", seed)
			require.GreaterOrEqual(t, p.Confidence, Confidence)
			all++
			stated += p.Confidence
			if planted < p.In(p.Low) || planted > p.In(p.High) {
				missed++
			}
			p.Slack = 0
			switch inside := p.Described >= p.Low && p.Described <= p.High; {
			case inside:
				covered++
			case (p.In(p.Described) > planted) == (p.Described > p.High):
				shifted++
			default:
				slips++
			}
		}
	}
	t.Logf("%d recordings, %d intervals with %.1f %% confidence on average: %d do not cover the planted point (%.2f %%); %d cover the described one, %d lie on the side of it where the planted one is, %d on the other",
		runs, all, 100*stated/float64(all), missed, 100*float64(missed)/float64(all), covered, shifted, slips)
	assert.LessOrEqual(t, missed, mostMisses(all, 1-Confidence, 1e-6))
	assert.LessOrEqual(t, slips, mostMisses(all, 1-Confidence, 1e-6))
}

// mostMisses is the least m with P(Bin(n, p) > m) < bound.
func mostMisses(n int, p, bound float64) int {
	term := math.Pow(1-p, float64(n))
	below := term
	for m := 0; m < n; m++ {
		if 1-below < bound {
			return m
		}
		term *= float64(n-m) / float64(m+1) * p / (1 - p)
		below += term
	}
	return n
}

// binomialBelow against sums of Pascal's triangle.
func TestBinomial(t *testing.T) {
	row := []float64{1}
	for n := 1; n <= 60; n++ {
		next := make([]float64, n+1)
		for i := range next {
			if i > 0 {
				next[i] += row[i-1]
			}
			if i < n {
				next[i] += row[i]
			}
		}
		row = next
		sum := 0.0
		for k := 0; k <= n; k++ {
			assert.InDelta(t, sum/math.Pow(2, float64(n)), binomialBelow(n, k), 1e-12)
			sum += row[k]
		}
	}
	// The normal distribution with the correction for continuity: (4901.5 - 5000) / 50 = -1.97.
	assert.InDelta(t, 0.02442, binomialBelow(10000, 4902), 1e-4)
}

// The ranks that tables of the sign test give for 95 %, two-sided: the greatest number of the
// rarer sign is 0 of 6 to 8, 1 of 9 to 11, 2 of 12 to 14, 5 of 20, 9 of 30 (from memory).
func TestRanks(t *testing.T) {
	for n, most := range map[int]int{6: 0, 8: 0, 9: 1, 11: 1, 12: 2, 14: 2, 20: 5, 30: 9} {
		var all []bracket
		for i := range n {
			all = append(all, bracket{float64(i), float64(i)})
		}
		low, high, confidence := order(all)
		assert.InDelta(t, float64(most), low, 0, n)
		assert.InDelta(t, float64(n-1-most), high, 0, n)
		assert.GreaterOrEqual(t, confidence, 0.95)
	}
	_, _, confidence := order([]bracket{{1, 2}, {1, 2}, {1, 2}})
	assert.InDelta(t, 0.75, confidence, 1e-12)
	_, _, confidence = order([]bracket{{1, 2}})
	assert.InDelta(t, 0, confidence, 0)
}

// exampleDesigns are those of the clean examples.
func exampleDesigns(t *testing.T) (out []*model.Design) {
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		out = append(out, designsOf(t, f, string(text))...)
	}
	require.NotEmpty(t, out)
	return out
}

// driveLog drives a design at random and records it: every input, and everything with states
// that a column may have the name of. From a step on, a fault is there.
func driveLog(t *testing.T, d *model.Design, r *rand.Rand, steps int, o scenario.Options, f *fault.Fault) (log string) {
	var things []*thing
	for _, n := range names(d) {
		if c := lookup(d, n); c != nil && c.kind != quantity && c.kind != setting && c.kind != measure && c.kind != supplies {
			things = append(things, c)
		}
	}
	b := strings.Builder{}
	b.WriteString("time")
	for i := range d.Quantities {
		b.WriteString("," + d.Quantities[i].Path)
	}
	for i := range d.Settings {
		b.WriteString("," + d.Settings[i].Path)
	}
	for _, c := range things {
		b.WriteString("," + c.path)
	}
	drive := &model.Drive{After: model.None}
	at := make([]float64, len(d.Quantities))
	for i := range at {
		at[i] = d.Quantities[i].Start.Float64()
	}
	comes := steps/3 + r.IntN(steps/3)
	for k := range steps {
		st := model.Step{Wait: []float64{0.05, 0.3, 1, 7}[r.IntN(4)]}
		if f != nil && k == comes {
			st.Faults = f.Actions
		}
		if n := len(d.Settings); n > 0 && r.IntN(3) == 0 {
			i := r.IntN(n)
			st.Sets = append(st.Sets, model.SetAction{
				Setting: model.SettingID(i), Position: r.IntN(len(d.Settings[i].Positions)), Quantity: model.None, Supply: model.None,
			})
		}
		for i := range d.Quantities {
			if q := &d.Quantities[i]; r.IntN(2) == 0 {
				lo, hi := q.Lo.Float64(), q.Hi.Float64()
				at[i] = math.Round(min(max(lo, at[i]+(r.Float64()-0.5)*(hi-lo)/2), hi)*4) / 4
				n, _ := unit.Int(int64(at[i] * 4)).Quo(unit.Int(4))
				st.Ramps = append(st.Ramps, model.Ramp{Quantity: model.QuantityID(i), To: unit.FromBase(n, q.Lo.Unit), Seconds: st.Wait})
			}
		}
		drive.Steps = append(drive.Steps, st)
	}
	err := scenario.Record(t.Context(), d, drive, o, func(_ int, e *scenario.End) error {
		fmt.Fprintf(&b, "\n%.3f", float64(e.State.At)/1e9)
		for i := range d.Quantities {
			q := unit.FromBase(e.State.Quantities[i].N, d.Quantities[i].Lo.Unit)
			fmt.Fprintf(&b, ",%.5f", q.Written.Float64())
		}
		for i := range d.Settings {
			b.WriteString("," + d.Settings[i].Positions[e.State.Settings[i]])
		}
		for _, c := range things {
			b.WriteString(",")
			for k, cond := range c.conds {
				if e.Is(cond) == scenario.True {
					b.WriteString(c.names[k])
					break
				}
			}
		}
		return e.Err()
	})
	require.NoError(t, err)
	return b.String()
}

func optionsOf(t *testing.T, d *model.Design, r *rand.Rand) scenario.Options {
	o := scenario.Options{Pace: scenario.Pace(r.IntN(3))}
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	for i, p := range c.Params() {
		// A filament that stays cold for good would blow its fuse in the drive.
		if p.Kind != circuit.Warmth && r.IntN(2) == 0 {
			o.Corner = o.Corner.With(circuit.ParamID(i), []float64{p.Min, p.Max}[r.IntN(2)])
		}
	}
	return o
}

// What a design itself does in a drive is no departure from it, whatever its supplies, its
// tolerances and its durations are within what it says.
func TestDrivesAgree(t *testing.T) {
	rows, changes := int64(0), 0
	for k, sound := range exampleDesigns(t) {
		d, err := fault.Protect(t.Context(), sound)
		require.NoError(t, err)
		for round := range soak.Times(1) {
			r := rand.New(rand.NewPCG(uint64(soak.Seed()), uint64(k*1000+round)))
			log := driveLog(t, sound, r, 60, optionsOf(t, sound, r), nil)
			out := replayOf(t, d, log, &Mapping{}, false)
			require.Empty(t, out.Lost)
			rows += out.Rows
			for _, p := range out.Points {
				changes += p.Passes
			}
			if !assert.Empty(t, out.Stories, "%s %s\n%s", sound.File.Name, sound.Name, log) {
				return
			}
		}
	}
	t.Log(rows, "rows, with", changes, "passes")
	assert.Positive(t, changes)
}

// A fault that came in a drive is among those that explain what departs.
func TestPlantedFaults(t *testing.T) {
	departed, explained, silent, others, tried := 0, 0, 0, 0, 0
	designs := exampleDesigns(t)
	for round := range soak.Times(4) {
		r := rand.New(rand.NewPCG(uint64(soak.Seed()+round), 5))
		sound := designs[(round+soak.Seed())%len(designs)]
		faults := fault.Generate(sound)
		f := &faults[r.IntN(len(faults))]
		log := driveLog(t, sound, r, 40, scenario.Options{}, f)
		d, err := fault.Protect(t.Context(), sound)
		require.NoError(t, err)
		rep, err := New(d, strings.NewReader(log), Options{Mapping: &Mapping{}, Sound: sound, Faults: true})
		require.NoError(t, err)
		out, err := rep.Run(t.Context())
		require.NoError(t, err)
		if len(out.Stories) == 0 {
			silent++
			continue
		}
		departed++
		e := out.Stories[0].Explained
		require.NotNil(t, e, "%s: %s\n%s", sound.File.Name, f.Words, log)
		named := slices.ContainsFunc(e.Groups, func(g []string) bool { return slices.Contains(g, f.Words) })
		open := slices.ContainsFunc(e.Open, func(o string) bool { return strings.HasPrefix(o, f.Words+":") })
		if assert.True(t, named || open, "%s: %s is not among %v\n%s", sound.File.Name, f.Words, e.Groups, log) && named {
			explained++
			for _, g := range e.Groups {
				others += len(g)
			}
			tried += e.Tried
		}
	}
	t.Logf("%d faults make a difference, of which %d are among the explanations (on average %.1f of %.1f that were tried); %d show nothing",
		departed, explained, float64(others)/float64(max(1, explained)), float64(tried)/float64(max(1, explained)), silent)
	assert.Positive(t, explained)
}

// BenchmarkReplay replays rows of which one in a hundred or so comes near a point.
func BenchmarkReplay(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	const rows = 200_000
	text := strings.Builder{}
	text.WriteString("time,core,motor\n")
	on := false
	for i := range rows {
		q := 50 + 30*math.Sin(float64(i)/3000)
		on = on && q >= 44 || q >= 60
		fmt.Fprintf(&text, "%.1f,%.2f,%d\n", float64(i)/10, q+r.NormFloat64()*0.1, b2i(on))
	}
	d := blower(b, 60, 44)
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		replayOf(b, d, text.String(), &Mapping{Columns: []ColumnMap{{Name: "core", Accuracy: "1 degC"}}}, false)
	}
	b.ReportMetric(float64(b.N)*rows/b.Elapsed().Seconds(), "rows/s")
}
