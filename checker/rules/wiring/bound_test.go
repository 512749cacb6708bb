package wiring

import (
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// eachDesign calls f for every design of the examples and of the fixtures.
func eachDesign(t *testing.T, f func(t *testing.T, v *view)) {
	t.Helper()
	for _, fsys := range []fs.FS{os.DirFS("../../../examples"), os.DirFS("testdata")} {
		err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || path.Ext(name) != run.Extension {
				return err
			}
			text, err := fs.ReadFile(fsys, name)
			require.NoError(t, err)
			tree := syntax.Parse(source.NewFile(name, string(text)), nil)
			read := elaborate.Elaborate(t.Context(), tree, run.NewLoader(run.InFS(fsys), tree))
			for _, design := range read.Designs {
				t.Run(strings.TrimSuffix(name, run.Extension)+" "+design.Name, func(t *testing.T) {
					p := &rule.Pass{Ctx: t.Context(), Root: tree, Read: read, Design: design, Limits: settings.DefaultLimits()}
					r := rule.Rule{Name: "test", Run: func(p *rule.Pass) { f(t, look(p)) }}
					p.Run(&r, nowhere{})
				})
			}
			return nil
		})
		require.NoError(t, err)
	}
}

type nowhere struct{}

func (nowhere) Report(diag.Finding)  {}
func (nowhere) Clear(string, string) {}

// No state of the switches, whether it can be reached or not, drives more through an
// element than its bound says, or makes the metal between two nodes lose more.
func TestBoundsHold(t *testing.T) {
	bounded := 0
	eachDesign(t, func(t *testing.T, v *view) {
		random := rand.New(rand.NewPCG(7, 11))
		b := bounds.Of(v.p)
		for range 40 {
			bits := random.Uint64()
			s, err := v.c.Solve(t.Context(), func(w circuit.Switch) bool { return bits>>(uint(w)%64)&1 != 0 }, v.highest())
			require.NoError(t, err)
			short := len(s.Shorts()) > 0
			for i := range v.d.Elements {
				id, e := model.ElementID(i), &v.d.Elements[i]
				most := b.most(id)
				if e.Type == model.ElemSupply || math.IsInf(most, 1) {
					continue
				}
				bounded++
				// Straps between ground and the minus of a source lose some millivolts.
				assert.LessOrEqual(t, math.Abs(s.Amps(id)), most*1.001+0.05, e.Path)
			}
			for i := range v.d.Loads {
				for _, n := range []model.NodeID{v.d.Loads[i].A, v.d.Loads[i].B} {
					for _, end := range v.d.Supplies {
						for _, at := range []model.NodeID{end.Plus, end.Minus} {
							if s.Joined(n, at) && !short {
								u, _ := s.Between(n, at)
								assert.LessOrEqual(t, math.Abs(u), b.drop(n, at)+1e-3, "%s to %s", v.d.Nodes[n].Path, v.d.Nodes[at].Path)
							}
						}
					}
				}
			}
		}
	})
	assert.Greater(t, bounded, 1000)
}

// What worst finds and what it proves not to be is what one gets by solving every
// reachable state.
func TestWorstAgainstAllStates(t *testing.T) {
	asked := 0
	eachDesign(t, func(t *testing.T, v *view) {
		s := v.at(circuit.Nominal)
		for i := range v.d.Wires {
			w := &v.d.Wires[i]
			if w.Broken || i%3 != 0 { // every third will do
				continue
			}
			m := ask.Current(w.Element)
			most, known := 0.0, true
			for _, island := range v.c.IslandsOf(m) {
				states, all, err := s.ReachableContacts(t.Context(), island, 512)
				require.NoError(t, err)
				known = known && all
				for _, st := range states {
					sol, err := v.c.Solve(t.Context(), func(w circuit.Switch) bool { return slices.Contains(st.Closed, w) }, circuit.Nominal)
					require.NoError(t, err)
					most = max(most, math.Abs(sol.Amps(w.Element)))
				}
			}
			if !known || most < 1e-6 { // less is no current to a comparison
				continue
			}
			asked++
			got, ok := v.worst(s, &w.Info, m, most*0.6, system.On(nil))
			if assert.Equal(t, ask.Yes, ok, w.Path) {
				assert.InEpsilon(t, most, got.value, 0.01, w.Path) // the highest that single switches lead to
				assert.LessOrEqual(t, got.value, most*(1+1e-9), w.Path)
				assert.NotNil(t, got.trace, w.Path)
			}
			_, ok = v.worst(s, &w.Info, m, most*1.01, system.On(nil))
			assert.Equal(t, ask.No, ok, w.Path)
		}
	})
	assert.Greater(t, asked, 100)
}

// Sources from one node are not in series: a battery and an alternator on one ground drive no more
// than the higher of them, and one on top of the battery adds to it. (Kirchhoff, by hand.)
func TestSourcesFromOneNodeAreNotInSeries(t *testing.T) {
	looked := 0
	for text, want := range map[string]float64{
		"supply more: 14 V, from frame to more_plus, inside 40 mohm, one way\n": 14,
		"supply more: 6 V, from frame to more_plus, inside 40 mohm\n":           12,
		"supply more: 14 V, from stud to more_plus, inside 40 mohm\n":           26,
	} {
		tree := syntax.Parse(source.NewFile("x.pintle", "title \"Two\"\nground frame\nnode stud, more_plus\n"+
			"supply battery: 12 V, from frame to stud, inside 8 mohm\n"+text+
			"load lamp: stud to frame, 10 ohm at 12 V, lit from 60 %\n"), nil)
		read := elaborate.Elaborate(t.Context(), tree, run.NewLoader(run.InFS(os.DirFS(".")), tree))
		require.Len(t, read.Designs, 1)
		p := &rule.Pass{Ctx: t.Context(), Root: tree, Read: read, Design: read.Designs[0], Limits: settings.DefaultLimits()}
		p.Run(&rule.Rule{Name: "test", Run: func(p *rule.Pass) {
			looked++
			assert.InDelta(t, want, bounds.Of(p).span, 1e-9, text)
		}}, nowhere{})
	}
	assert.Equal(t, 3, looked)
}
