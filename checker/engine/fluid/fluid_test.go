package fluid_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/fluid"
	"pintle/lang/model"
)

// free is a condition that a test decides by number.
func free(n int) *model.Cond {
	return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomFree, Index: n}}
}

func at(state uint) func(*model.Cond) bool {
	return func(c *model.Cond) bool { return state>>c.Atom.Index&1 == 1 }
}

const (
	pump = iota
	inlet
	outlet
	vent
	diaphragm
)

// changeover is a valve that passes vacuum to a diaphragm while condition 0 holds and
// vents it otherwise; the pump is there while condition 1 holds.
func changeover() *model.Design {
	return &model.Design{
		Ports: []model.Port{
			pump: {Origin: 0}, inlet: {Origin: model.None}, outlet: {Origin: model.None},
			vent: {OpenToAir: true, Origin: model.None}, diaphragm: {Origin: model.None},
		},
		Origins: []model.Origin{{Port: pump, Medium: "vacuum", Present: free(1)}},
		Passages: []model.Passage{
			{A: inlet, B: outlet, Open: free(0)},
			{A: vent, B: outlet, Open: model.Not(free(0))},
			{A: pump, B: inlet, Hose: true},
			{A: outlet, B: diaphragm, Hose: true},
		},
	}
}

func holds(state uint) func(*model.Cond) bool {
	return func(c *model.Cond) bool {
		if c.Op == model.CondNot {
			return !at(state)(c.Kids[0])
		}
		return at(state)(c)
	}
}

func solve(t *testing.T, d *model.Design, state uint, faults ...model.FaultAction) *fluid.Answers[bool] {
	t.Helper()
	f, err := fluid.New(d, faults)
	require.NoError(t, err)
	a, err := fluid.Solve(context.Background(), f, fluid.Concrete(holds(state)))
	require.NoError(t, err)
	return a
}

func fail(passage int, mode model.FaultMode) model.FaultAction {
	return model.FaultAction{Thing: model.Thing{Kind: model.ThingPassage, Index: passage, Path: "H"}, Mode: mode}
}

func TestChangeover(t *testing.T) {
	for _, c := range []struct {
		name                 string
		state                uint
		faults               []model.FaultAction
		fed, vented, neither bool
	}{
		{"moved, pump runs", 3, nil, true, false, false},
		{"moved, pump stands", 1, nil, false, false, true},
		{"at rest", 2, nil, false, true, false},
		{"feed hose off", 3, []model.FaultAction{fail(2, model.FaultOff)}, false, true, false},
		{"hose off at the diaphragm", 3, []model.FaultAction{fail(3, model.FaultOff)}, false, true, false},
		{"fill stuck shut", 3, []model.FaultAction{fail(0, model.FaultStuckShut)}, false, false, true},
		{"fill stuck open, at rest: both, which is not fed", 2, []model.FaultAction{fail(0, model.FaultStuckOpen)}, false, true, false},
		{"mended", 3, []model.FaultAction{fail(2, model.FaultOff), {Thing: model.Thing{Kind: model.ThingPassage, Index: 2}, Mend: true}}, true, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := solve(t, changeover(), c.state, c.faults...)
			require.Equal(t, c.fed, a.Fed(diaphragm), "fed")
			require.Equal(t, c.vented, a.Vented(diaphragm), "vented")
			require.Equal(t, c.neither, a.Neither(diaphragm), "neither")
		})
	}
}

func TestStuckOpenIsBothAtOnce(t *testing.T) {
	a := solve(t, changeover(), 2, fail(0, model.FaultStuckOpen))
	require.True(t, a.Both(diaphragm))
	require.False(t, solve(t, changeover(), 3).Both(diaphragm))
}

func TestHoseOffOpensTheSourceSideToo(t *testing.T) {
	a := solve(t, changeover(), 3, fail(2, model.FaultOff))
	require.True(t, a.Both(pump))
}

func TestOneWayPassesOnlyForward(t *testing.T) {
	d := changeover()
	d.Passages[2].OneWay = true // pump to inlet
	require.True(t, solve(t, d, 3).Fed(diaphragm))
	d.Passages[2].A, d.Passages[2].B = inlet, pump
	require.True(t, solve(t, d, 3).Neither(diaphragm))
}

func TestWay(t *testing.T) {
	f, err := fluid.New(changeover(), nil)
	require.NoError(t, err)
	way, ok := f.Way(diaphragm, false, holds(3))
	require.True(t, ok)
	require.Equal(t, []model.PassageID{2, 0, 3}, way)
	way, ok = f.Way(diaphragm, true, holds(2))
	require.True(t, ok)
	require.Equal(t, []model.PassageID{1, 3}, way)
	_, ok = f.Way(diaphragm, false, holds(1))
	require.False(t, ok)
}

func TestFaultsThatCannotBe(t *testing.T) {
	for name, a := range map[string]model.FaultAction{
		"a passage inside a part does not come off": fail(0, model.FaultOff),
		"no such passage":   fail(9, model.FaultStuckOpen),
		"not a way to fail": fail(2, model.FaultBlown),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := fluid.New(changeover(), []model.FaultAction{a})
			require.True(t, errors.Is(err, fluid.ErrFault))
		})
	}
}

// TestSymbolicEqualsConcrete computes with sets of states, as a decision diagram
// would, and holds the result against every state by itself.
func TestSymbolicEqualsConcrete(t *testing.T) {
	const conds, all = 5, 1<<(1<<5) - 1
	sets := fluid.Logic[uint64]{
		True: all,
		Of: func(c *model.Cond) uint64 {
			var out uint64
			for s := range uint(1 << conds) {
				if holds(s)(c) {
					out |= 1 << s
				}
			}
			return out
		},
		And:  func(a, b uint64) uint64 { return a & b },
		Or:   func(a, b uint64) uint64 { return a | b },
		Not:  func(a uint64) uint64 { return all &^ a },
		Same: func(a, b uint64) bool { return a == b },
	}
	rapid.Check(t, func(t *rapid.T) {
		ports := rapid.IntRange(2, 8).Draw(t, "ports")
		port := rapid.IntRange(0, ports-1)
		d := &model.Design{Ports: make([]model.Port, ports)}
		for i := range d.Ports {
			d.Ports[i].Origin = model.None
			d.Ports[i].OpenToAir = rapid.IntRange(0, 5).Draw(t, "air") == 0
		}
		for range rapid.IntRange(1, 2).Draw(t, "origins") {
			d.Origins = append(d.Origins, model.Origin{Port: model.PortID(port.Draw(t, "at")), Present: free(rapid.IntRange(0, conds-1).Draw(t, "present"))})
		}
		for range rapid.IntRange(1, 12).Draw(t, "passages") {
			d.Passages = append(d.Passages, model.Passage{
				A: model.PortID(port.Draw(t, "A")), B: model.PortID(port.Draw(t, "B")),
				Open:   rapid.SampledFrom([]*model.Cond{nil, free(0), free(1), free(2), model.Not(free(3)), free(4)}).Draw(t, "open"),
				OneWay: rapid.Bool().Draw(t, "one way"),
			})
		}
		f, err := fluid.New(d, nil)
		require.NoError(t, err)
		whole, err := fluid.Solve(context.Background(), f, sets)
		require.NoError(t, err)
		for s := range uint(1 << conds) {
			one, err := fluid.Solve(context.Background(), f, fluid.Concrete(holds(s)))
			require.NoError(t, err)
			for p := range model.PortID(ports) {
				require.Equal(t, one.Fed(p), whole.Fed(p)>>s&1 == 1)
				require.Equal(t, one.Vented(p), whole.Vented(p)>>s&1 == 1)
				require.Equal(t, one.Neither(p), whole.Neither(p)>>s&1 == 1)
				_, fed := f.Way(p, false, holds(s))
				require.Equal(t, one.Origin[p], fed)
			}
		}
	})
}

func TestWayAgainst(t *testing.T) {
	d := changeover()
	f, err := fluid.New(d, nil)
	require.NoError(t, err)
	way, against := f.WayAgainst(diaphragm)
	require.Equal(t, []model.PassageID{2, 0, 3}, way)
	require.Empty(t, against)

	d.Passages[0] = model.Passage{A: outlet, B: inlet, OneWay: true}
	f, err = fluid.New(d, nil)
	require.NoError(t, err)
	way, against = f.WayAgainst(diaphragm)
	require.Equal(t, []model.PassageID{2, 0, 3}, way)
	require.Equal(t, []model.PassageID{0}, against)

	d.Passages[2].B = vent // the hose from the pump leads to the filter: by the vent it comes to the diaphragm
	d.Passages[1].Open = model.False
	f, err = fluid.New(d, nil)
	require.NoError(t, err)
	way, against = f.WayAgainst(diaphragm)
	require.Equal(t, []model.PassageID{3, 0}, way, "all that is joined to it")
	require.Empty(t, against)
}
