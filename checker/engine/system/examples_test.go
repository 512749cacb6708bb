package system_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// examples are the designs of the examples folder, benches of parts included.
func examples(t testing.TB) []*model.Design {
	t.Helper()
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	parts, err := filepath.Glob("../../../examples/parts/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var out []*model.Design
	for _, f := range append(files, parts...) {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		out = append(out, elaboratetest.Designs(t, f, string(text))...)
	}
	return out
}

func TestExamplesKeepTheirClaims(t *testing.T) {
	ctx := context.Background()
	for _, d := range examples(t) {
		s, err := system.Build(ctx, d, system.Options{})
		require.NoError(t, err, d.Title)
		x, err := s.States(ctx)
		require.NoError(t, err)
		assert.Positive(t, x.States.Sign(), "%s %s", d.Title, d.Name)
		for i := range d.Requirements {
			v, err := s.Decide(ctx, &d.Requirements[i])
			require.NoError(t, err)
			assert.Equal(t, system.Holds, v.Outcome, "%s %s: %s %s %s", d.Title, d.Name, d.Requirements[i].Name, v.Why, v.Corner)
			assert.False(t, v.NominalOnly, "%s: %s", d.Requirements[i].Name, v.Why)
		}
		hunts, err := s.Hunts(ctx)
		require.NoError(t, err)
		assert.Empty(t, hunts, d.Title)
		locks, err := s.Livelocks(ctx)
		require.NoError(t, err)
		assert.Empty(t, locks, d.Title)
	}
}

// Every way to a state that the search finds, written as a drive and run in real time by
// the drive's own interpreter, comes to that state.
func TestWitnessesReplay(t *testing.T) {
	replayed := 0
	for _, d := range append(examples(t), elaboratetest.Designs(t, "overrun.pintle", overrun)...) {
		replayed += replay(t, d)
	}
	t.Logf("%d ways replayed", replayed)
	assert.Greater(t, replayed, 100)
}

// replay follows the way to each state of each memory, machine, result and symptom.
func replay(t *testing.T, d *model.Design) int {
	t.Helper()
	ctx := context.Background()
	s, err := system.Build(ctx, d, system.Options{})
	require.NoError(t, err)
	var goals []*model.Cond
	goal := func(kind model.AtomKind, index, in int) {
		goals = append(goals, &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: kind, Index: index, In: []int{in}}})
	}
	for i := range d.Memories {
		for x := range d.Memories[i].States {
			goal(model.AtomMemory, i, x)
		}
	}
	for i := range d.Machines {
		for x := range d.Machines[i].Modes {
			goal(model.AtomMachine, i, x)
		}
	}
	for i := range d.Results {
		for x := range d.Results[i].Rows {
			goal(model.AtomResult, i, x)
		}
	}
	for i := range d.Symptoms {
		goals = append(goals, d.Symptoms[i].Cond)
	}
	for i := range d.Requirements {
		if d.Requirements[i].Form == model.Possible {
			goals = append(goals, d.Requirements[i].A)
		}
	}
	n := 0
	for _, g := range goals {
		v, err := s.PossibleHere(ctx, system.On(g))
		require.NoError(t, err)
		if v.Trace == nil {
			continue
		}
		way, inexact := v.Trace.AsDrive("way")
		if len(inexact) > 0 {
			continue
		}
		if len(way.Steps) == 0 { // it is so at rest
			way.Steps = []model.Step{{}}
		}
		last := &way.Steps[len(way.Steps)-1]
		last.Sees = append(last.Sees, model.See{Cond: g, When: model.AtEnd})
		got, err := scenario.Run(ctx, d, &way, scenario.Options{})
		require.NoError(t, err)
		assert.Empty(t, got.Failures, "%s: to %s by\n%s\n%s", d.Title, d.Words(g), story(v), system.DriveText(d, &way))
		n++
	}
	return n
}

// What is decided on the part of a design that has a say is what the whole would decide.
func TestSlicesAgreeWithTheWhole(t *testing.T) {
	ctx := context.Background()
	for _, d := range examples(t) {
		part, err := system.Build(ctx, d, system.Options{})
		require.NoError(t, err)
		whole, err := system.Build(ctx, d, system.Options{Circuit: part.Circuit(), Unsliced: true})
		require.NoError(t, err)
		for i := range d.Requirements {
			a, err := part.Decide(ctx, &d.Requirements[i])
			require.NoError(t, err)
			b, err := whole.Decide(ctx, &d.Requirements[i])
			require.NoError(t, err)
			assert.Equal(t, a.Outcome, b.Outcome, "%s: %s", d.Title, d.Requirements[i].Name)
			assert.Equal(t, a.Vacuous, b.Vacuous, "%s: %s", d.Title, d.Requirements[i].Name)
			assert.Equal(t, a.Corner, b.Corner)
			if a.Trace != nil && b.Trace != nil {
				assert.Len(t, b.Trace.Steps, len(a.Trace.Steps), "%s: %s", d.Title, d.Requirements[i].Name)
			}
		}
	}
}
