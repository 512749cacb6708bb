package elaborate_test

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/model"
)

// sound checks what everything after the language relies on: whatever the text was,
// every number in a table leads somewhere.
func sound(t testing.TB, d *model.Design) {
	t.Helper()
	node := func(n model.NodeID, path string) {
		if n < 0 || int(n) >= len(d.Nodes) {
			require.Failf(t, "node", "%s: %d of %d", path, n, len(d.Nodes))
		}
	}
	element := func(e model.ElementID, kind model.ElementType, of int, path string) {
		if e < 0 || int(e) >= len(d.Elements) || d.Elements[e].Type != kind || d.Elements[e].Of != of {
			require.Failf(t, "element", "%s: %d of %d", path, e, len(d.Elements))
		}
	}
	for i := range d.Elements {
		e := &d.Elements[i]
		node(e.A, e.Path)
		node(e.B, e.Path)
		soundCond(t, d, e.Closed)
	}
	for i, x := range d.Wires {
		element(x.Element, model.ElemWire, i, x.Path)
		node(x.A, x.Path)
		node(x.B, x.Path)
	}
	for i, x := range d.Supplies {
		element(x.Element, model.ElemSupply, i, x.Path)
	}
	for i, x := range d.Loads {
		element(x.Element, model.ElemLoad, i, x.Path)
	}
	for i, x := range d.Coils {
		element(x.Element, model.ElemCoil, i, x.Path)
		node(x.A, x.Path)
	}
	for i, x := range d.Resistors {
		element(x.Element, model.ElemResistor, i, x.Path)
	}
	for i, x := range d.Diodes {
		element(x.Element, model.ElemDiode, i, x.Path)
	}
	for i, x := range d.Fuses {
		element(x.Element, model.ElemFuse, i, x.Path)
	}
	for i, x := range d.Drivers {
		element(x.Element, model.ElemDriver, i, x.Path)
		require.NotNil(t, x.On, x.Path)
		soundCond(t, d, x.When)
	}
	for i, x := range d.Contacts {
		node(x.Common, x.Path)
		require.NotNil(t, x.Made, x.Path)
		if x.Form != model.Break {
			element(x.WorkElem, model.ElemContact, i, x.Path)
		}
		if x.Form != model.Make {
			element(x.RestElem, model.ElemContact, i, x.Path)
		}
	}
	for _, x := range d.Controllers {
		node(x.Plus, x.Path)
		node(x.Minus, x.Path)
	}
	for _, x := range d.Senders {
		node(x.Pin, x.Path)
		require.Less(t, int(x.Quantity), len(d.Quantities))
	}
	for _, x := range d.Readings {
		node(x.Pin, x.Path)
		require.Less(t, int(x.Controller), len(d.Controllers))
	}
	for _, x := range d.Passages {
		require.True(t, x.A >= 0 && x.B >= 0, x.Path)
		soundCond(t, d, x.Open)
	}
	for _, m := range d.Memories {
		require.True(t, m.Of >= 0 || m.MemKind == model.MemFollow || m.Broken, m.Path)
		for _, r := range m.Rules {
			require.Less(t, r.To, len(m.States), m.Path)
			soundCond(t, d, r.When)
		}
	}
	for _, x := range d.Conditions {
		require.NotNil(t, x.Cond, x.Path)
		soundCond(t, d, x.Cond)
	}
	for _, x := range d.Requirements {
		soundCond(t, d, x.A)
		soundCond(t, d, x.B)
	}
	require.NoError(t, model.Dump(io.Discard, d))
}

// soundCond checks that a condition asks for what there is.
func soundCond(t testing.TB, d *model.Design, c *model.Cond) {
	t.Helper()
	c.Atoms(func(c *model.Cond) {
		a := &c.Atom
		n := map[model.AtomKind]int{
			model.AtomSetting: len(d.Settings), model.AtomQuantity: len(d.Quantities), model.AtomReading: len(d.Readings),
			model.AtomMemory: len(d.Memories), model.AtomMachine: len(d.Machines), model.AtomTimer: len(d.Timers),
			model.AtomBeat: len(d.Beats), model.AtomEdge: len(d.Edges), model.AtomCondition: len(d.Conditions),
			model.AtomResult: len(d.Results), model.AtomBands: len(d.Bands), model.AtomLive: len(d.Nodes),
			model.AtomGrounded: len(d.Nodes), model.AtomFloating: len(d.Nodes), model.AtomFed: len(d.Ports),
			model.AtomVented: len(d.Ports), model.AtomNeither: len(d.Ports), model.AtomFree: len(d.Elements), model.AtomMeasure: 1,
		}[a.Kind]
		if a.Index < 0 || a.Index >= n {
			require.Failf(t, "atom", "kind %d, number %d of %d", a.Kind, a.Index, n)
		}
		if a.Kind == model.AtomMeasure && a.Measure.Kind == model.Amps {
			require.True(t, a.Measure.Element >= 0 && int(a.Measure.Element) < len(d.Elements))
		}
	})
}
