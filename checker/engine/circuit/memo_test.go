package circuit_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// besides puts a circuit of its own before all else in a design, so that everything in it
// has other numbers, and the battery other volts: what is asked about is what it was.
func besides(d *model.Design, closed *model.Cond) *model.Design {
	x := circuittest.Floating()
	x.Supply("spare", "spare minus", "spare plus", 6, 0.1, circuittest.Between(5, 7), circuittest.When(closed))
	x.Load("spare lamp", "spare plus", "spare minus", 10, circuittest.Cold(1))
	nodes, elements := len(x.Design.Nodes), len(x.Design.Elements)
	out := *d
	out.Nodes = append(slices.Clone(x.Design.Nodes), d.Nodes...)
	out.Elements = slices.Clone(x.Design.Elements)
	out.Supplies = slices.Clone(x.Design.Supplies)
	for _, e := range d.Elements {
		e.A, e.B = e.A+model.NodeID(nodes), e.B+model.NodeID(nodes)
		if e.Type == model.ElemSupply {
			e.Of += len(x.Design.Supplies)
		}
		out.Elements = append(out.Elements, e)
	}
	for _, s := range d.Supplies {
		s.Element, s.Minus, s.Plus = s.Element+model.ElementID(elements), s.Minus+model.NodeID(nodes), s.Plus+model.NodeID(nodes)
		out.Supplies = append(out.Supplies, s)
	}
	out.Ground += model.NodeID(nodes)
	return &out
}

func besidesAtom(a model.Atom, nodes, elements int) model.Atom {
	a.Index, a.Other = a.Index+nodes, a.Other+nodes
	m := &a.Measure
	m.A, m.B = m.A+model.NodeID(nodes), m.B+model.NodeID(nodes)
	if m.Element != model.None {
		m.Element += model.ElementID(elements)
	}
	m.Windings = slices.Clone(m.Windings)
	for i := range m.Windings {
		m.Windings[i].Element += model.ElementID(elements)
	}
	return a
}

// requireAlike holds two decisions in two circuits against each other, by the conditions
// of the switches and the names of the elements.
func requireAlike(t *rapid.T, a *circuit.Circuit, x *circuit.Decision, b *circuit.Circuit, y *circuit.Decision) {
	require.Equal(t, x.IsLeaf(), y.IsLeaf())
	if !x.IsLeaf() {
		require.Same(t, a.Switches()[x.Switch].Cond, b.Switches()[y.Switch].Cond)
		requireAlike(t, a, x.Open, b, y.Open)
		requireAlike(t, a, x.Closed, b, y.Closed)
		return
	}
	require.Equal(t, x.Answer, y.Answer)
	require.Equal(t, x.Nominal, y.Nominal)
	require.Equal(t, x.Why, y.Why)
	require.Equal(t, x.On, y.On)
	if x.Answer != circuit.Depends {
		return
	}
	require.Equal(t, a.Describe(x.Yes), b.Describe(y.Yes))
	require.Equal(t, a.Describe(x.No), b.Describe(y.No))
	require.Equal(t, x.Param == circuit.NoParam, y.Param == circuit.NoParam)
	if x.Param != circuit.NoParam {
		require.Equal(t, a.Element(a.Params()[x.Param].Element).Path, b.Element(b.Params()[y.Param].Element).Path)
	}
}

// TestMemo decides and judges without a Memo, with an empty one, and, in a design in which
// everything has another number, out of the one that was filled.
func TestMemo(t *testing.T) {
	ctx := context.Background()
	var hits uint64
	rapid.Check(t, func(t *rapid.T) {
		d := vehicle(t, rapid.IntRange(1, 7).Draw(t, "switches")).Design
		other := besides(d, circuittest.Free(99))
		memo := circuit.NewMemo()
		make := func(d *model.Design, m *circuit.Memo) *circuit.Circuit {
			c, err := circuit.New(d, nil)
			require.NoError(t, err)
			c.Share(m)
			return c
		}
		alone, first, second := make(d, nil), make(d, memo), make(other, memo)
		volts := rapid.SampledFrom([]float64{0, 9, 15}).Draw(t, "battery")
		cold := rapid.Bool().Draw(t, "cold")
		corner := func(c *circuit.Circuit) circuit.Corner {
			k := circuit.Nominal.WithCold(cold)
			if volts > 0 {
				for i, s := range c.Design().Supplies {
					if s.Path == "battery" {
						k = c.WithSupply(k, model.SupplyID(i), volts)
					}
				}
			}
			return k
		}
		over := rapid.SampledFrom([]circuit.Freedom{0, circuit.OverSupply, circuit.OverTolerance, circuit.OverWarmth, circuit.OverAll}).Draw(t, "over")
		for _, a := range asked(t, d, 3) {
			ask := func(c *circuit.Circuit, a model.Atom) *circuit.Decision {
				q, ok := c.Register(a)
				require.True(t, ok)
				d, err := c.WorstCase(ctx, q, corner(c), over)
				require.NoError(t, err)
				return d
			}
			want := ask(alone, a)
			requireAlike(t, alone, want, first, ask(first, a))
			requireAlike(t, alone, want, second, ask(second, besidesAtom(a, len(other.Nodes)-len(d.Nodes), len(other.Elements)-len(d.Elements))))
		}
		found, _ := memo.Counts()
		hits += found
	})
	require.Positive(t, hits, "nothing is ever remembered")
}

// TestApart decides case by case, with a Memo that is shared with circuits that go by other
// cases, and finds in each state what is found without cases.
func TestApart(t *testing.T) {
	ctx := context.Background()
	compared, open := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		b := vehicle(t, rapid.IntRange(1, 7).Draw(t, "switches"))
		fault := b.Setting("fault", "no", "yes", "worse")
		for i := range b.Design.Elements { // some conduct with the fault only, others without it only
			e := &b.Design.Elements[i]
			if e.Type == model.ElemSupply || e.Closed != nil && e.Closed.Op == model.CondFalse {
				continue
			}
			switch rapid.IntRange(0, 7).Draw(t, e.Path) {
			case 0:
				e.Closed = model.And(e.Closed, fault(0))
			case 1:
				if e.Closed != nil {
					e.Closed = model.Or(e.Closed, fault(1, 2))
				}
			case 2:
				e.Closed = model.And(e.Closed, model.Not(fault(2)))
			}
		}
		memo := circuit.NewMemo()
		var all []*circuit.Circuit
		for _, cases := range [][]*model.Cond{nil, {fault(1, 2)}, {fault(1)}, {model.Not(fault(2)), fault(1)}} {
			c, err := circuit.New(b.Design, nil)
			require.NoError(t, err)
			if all != nil {
				c.Apart(cases...)
				c.Share(memo)
			}
			all = append(all, c)
		}
		over := rapid.SampledFrom([]circuit.Freedom{0, circuit.OverTolerance, circuit.OverAll}).Draw(t, "over")
		for _, a := range asked(t, b.Design, 3) {
			var told []*circuit.Decision
			for _, c := range all {
				q, ok := c.Register(a)
				require.True(t, ok)
				d, err := c.WorstCase(ctx, q, circuit.Nominal, over)
				require.NoError(t, err)
				told = append(told, d)
			}
			for range 8 {
				position := rapid.IntRange(0, 2).Draw(t, "fault is")
				key := rapid.IntRange(0, 2).Draw(t, "key is")
				free := rapid.Uint64().Draw(t, "free")
				is := func(c *circuit.Circuit) func(circuit.Switch) bool {
					return func(w circuit.Switch) bool {
						return holdsIn(c.Switches()[w].Cond, fault(0).Atom.Index, position, key, free)
					}
				}
				want := told[0].At(is(all[0]))
				for i, c := range all[1:] {
					got := told[1+i].At(is(c))
					switch {
					case want.Answer == circuit.Undecided || got.Answer == circuit.Undecided:
						open++
					default:
						compared++
						require.Equal(t, want.Answer, got.Answer, "cases %d", i+1)
					}
				}
			}
		}
	})
	t.Logf("%d compared, %d not decided in both", compared, open)
	require.Greater(t, compared, 100*open)
}

// holdsIn is a condition of a drawn vehicle in a state: of the fault, of the key, and of what is
// free.
func holdsIn(c *model.Cond, fault, position, key int, free uint64) bool {
	switch c.Op {
	case model.CondTrue:
		return true
	case model.CondNot:
		return !holdsIn(c.Kids[0], fault, position, key, free)
	case model.CondAnd:
		return !slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return !holdsIn(k, fault, position, key, free) })
	case model.CondOr:
		return slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return holdsIn(k, fault, position, key, free) })
	case model.CondAtom:
		switch {
		case c.Atom.Kind == model.AtomSetting && c.Atom.Index == fault:
			return slices.Contains(c.Atom.In, position)
		case c.Atom.Kind == model.AtomSetting:
			return slices.Contains(c.Atom.In, key)
		}
		return free>>(uint(c.Atom.Index+2)&63)&1 == 1
	}
	return false
}

// TestMemoTellsApart changes one thing of a circuit after the other: none of it is taken
// for what was decided before.
func TestMemoTellsApart(t *testing.T) {
	ctx := context.Background()
	memo := circuit.NewMemo()
	answer := func(volts, inside, ohm, cold, share, level float64, closed *model.Cond, reversed bool) circuit.Decision {
		b := circuittest.New()
		b.Supply("battery", "gnd", "stud", volts, inside)
		b.Contact("S1", "stud", "x", closed)
		b.Load("lamp", "x", "y", ohm, circuittest.Cold(cold), circuittest.Within(share))
		if reversed {
			b.Diode("V1", "gnd", "y")
		} else {
			b.Diode("V1", "y", "gnd")
		}
		c, err := circuit.New(b.Design, nil)
		require.NoError(t, err)
		c.Share(memo)
		q, ok := c.Register(model.Atom{Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(level),
			Measure: model.Measure{Kind: model.Volts, A: b.Node("x"), B: b.Node("gnd")}})
		require.True(t, ok)
		d, err := c.WorstCase(ctx, q, circuit.Nominal, circuit.OverAll)
		require.NoError(t, err)
		return *d
	}
	s, twice := circuittest.Free(1), circuittest.Free(2)
	misses := uint64(0)
	fresh := func(d circuit.Decision) {
		t.Helper()
		_, now := memo.Counts()
		require.Greater(t, now, misses, "taken for another")
		misses = now
	}
	fresh(answer(12, 0.1, 6, 0.6, 0, 10, s, false))
	fresh(answer(13, 0.1, 6, 0.6, 0, 10, s, false))
	fresh(answer(12, 0.2, 6, 0.6, 0, 10, s, false))
	fresh(answer(12, 0.1, 7, 0.6, 0, 10, s, false))
	fresh(answer(12, 0.1, 6, 0.7, 0, 10, s, false))
	fresh(answer(12, 0.1, 6, 0.6, 0.1, 10, s, false))
	fresh(answer(12, 0.1, 6, 0.6, 0, 11, s, false))
	fresh(answer(12, 0.1, 6, 0.6, 0, 10, model.And(s, twice), false))
	fresh(answer(12, 0.1, 6, 0.6, 0, 10, s, true))
	answer(12, 0.1, 6, 0.6, 0, 10, twice, false) // another switch, but as free as the first
	_, now := memo.Counts()
	require.Equal(t, misses, now)
}
