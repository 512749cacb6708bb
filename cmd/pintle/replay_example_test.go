package main

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

	"pintle/checker/checktest/golden"
	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// drivenFans records a van whose fast stage sets 4 degC too late, and from whose last minutes on
// wire W8 is broken: the water goes up and down, a value and the stage of the fans once a second.
func drivenFans(t *testing.T) string {
	const design = "../../examples/two_speed_fan.pintle"
	text, err := os.ReadFile(design)
	require.NoError(t, err)
	late := strings.Replace(string(text), "threshold hot: temp, sets at 103 degC", "threshold hot: temp, sets at 107 degC", 1)
	require.NotEqual(t, string(text), late)
	read := elaborate.Elaborate(t.Context(), syntax.Parse(source.NewFile(design, late), nil), elaboratetest.Disk{})
	require.NotEmpty(t, read.Designs)
	d := read.Designs[0]
	fans := slices.IndexFunc(d.Results, func(r model.Result) bool { return r.Path == "fans" })
	require.GreaterOrEqual(t, fans, 0)
	w8 := slices.IndexFunc(d.Wires, func(w model.Wire) bool { return w.Path == "W8" })
	require.GreaterOrEqual(t, w8, 0)
	r := rand.New(rand.NewPCG(8, 1))
	var water []float64
	at := 70.0
	for range 9 {
		for _, to := range [...]float64{109 + 3*r.Float64(), 84 + 3*r.Float64()} {
			for step := 0.35 + 0.25*r.Float64(); math.Abs(to-at) > step; {
				at += math.Copysign(step, to-at)
				water = append(water, at)
			}
		}
	}
	drive := &model.Drive{After: model.None}
	for i, v := range water {
		n, _ := unit.Int(int64(math.Round(v * 100))).Quo(unit.Int(100))
		to := unit.FromBase(n, d.Quantities[0].Lo.Unit)
		st := model.Step{Wait: 1, Ramps: []model.Ramp{{Quantity: 0, To: to, Seconds: 1}}}
		if i == 0 {
			st.Sets = []model.SetAction{
				{Setting: 0, Position: 1, Quantity: model.None, Supply: model.None},
				{Quantity: 0, Value: to, Setting: model.None, Supply: model.None},
			}
		}
		if i == len(water)-120 {
			w := &d.Wires[w8]
			st.Faults = []model.FaultAction{{Thing: model.Thing{Kind: model.ThingElement, Index: int(w.Element), Path: w.Path}, Mode: model.FaultOpen, Place: w.Place}}
		}
		drive.Steps = append(drive.Steps, st)
	}
	b := strings.Builder{}
	b.WriteString("Time [s];ECT [degC];Ignition;Fan stage\n")
	require.NoError(t, scenario.Record(t.Context(), d, drive, scenario.Options{}, func(i int, e *scenario.End) error {
		stage := -1
		for k := range d.Results[fans].Rows {
			c := &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomResult, Index: fans, In: []int{k}}}
			if e.Is(c) == scenario.True {
				stage = k
			}
		}
		seen := fmt.Sprintf("%.1f", water[i]+r.NormFloat64()*0.12)
		if i%97 == 50 {
			seen = "-" // a sample that was lost
		}
		fmt.Fprintf(&b, "%d;%s;%d;%d\n", i+1, seen, e.State.Settings[0], []int{2, 1, 0}[stage])
		return e.Err()
	}))
	return b.String()
}

// The example of a recording is that of such a van, and what is said of it names what is wrong.
func TestReplayExample(t *testing.T) {
	golden.Check(t, "../../examples/logs/two_speed_fan.csv", drivenFans(t))
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, os.DirFS("../../examples")))
	here, err := os.Getwd()
	require.NoError(t, err)
	t.Chdir(folder)
	out, errs, status := replayed(t, "two_speed_fan.pintle", filepath.Join("logs", "two_speed_fan.csv"))
	assert.Empty(t, errs)
	assert.Equal(t, 1, status)
	svg, _, _ := replayed(t, "two_speed_fan.pintle", filepath.Join("logs", "two_speed_fan.csv"), "--as", "svg")
	t.Chdir(here)
	golden.Check(t, "testdata/replay/two_speed_fan.txt", filepath.ToSlash(out))
	golden.Check(t, "testdata/replay/two_speed_fan.svg", filepath.ToSlash(svg))
	assert.Contains(t, out, "shifted")
	assert.Contains(t, out, "W8 broken")
}
