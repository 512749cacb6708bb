package system_test

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// brute interprets a flat design one state at a time, straight from what package model
// says, and shares nothing with the translation but the circuit's solution of a single
// state.
type brute struct {
	d      *model.Design
	c      *circuit.Circuit
	points []unit.Num // critical values of quantities, rising
	cache  map[string]bool
}

// world is a state. A quantity counts the points and the gaps between them: 2k+1 is on
// point k, 2k below it.
type world struct {
	settings, quantities, memories, modes, timers, beats, edges, free []int
}

func (w *world) key() string {
	return fmt.Sprint(w.settings, w.quantities, w.memories, w.modes, w.timers, w.beats, w.edges, w.free)
}

func (w *world) clone() *world {
	return &world{slices.Clone(w.settings), slices.Clone(w.quantities), slices.Clone(w.memories), slices.Clone(w.modes),
		slices.Clone(w.timers), slices.Clone(w.beats), slices.Clone(w.edges), slices.Clone(w.free)}
}

func newBrute(d *model.Design) (*brute, error) {
	c, err := circuit.New(d, nil)
	if err != nil {
		return nil, err
	}
	b := &brute{d: d, c: c, cache: map[string]bool{}}
	for _, l := range levels {
		b.points = append(b.points, unit.Int(l))
	}
	return b, nil
}

// order compares a quantity's place with a value among the points.
func (b *brute) order(place int, v unit.Num) int {
	k := slices.IndexFunc(b.points, func(p unit.Num) bool { return p.Equal(v) })
	switch {
	case place < 2*k+1:
		return -1
	case place > 2*k+1:
		return 1
	}
	return 0
}

func compares(order int, c model.Cmp) bool {
	return [...]bool{model.Below: order < 0, model.AtMost: order <= 0, model.Above: order > 0, model.AtLeast: order >= 0}[c]
}

func (b *brute) eval(w *world, c *model.Cond) bool {
	if c == nil {
		return true
	}
	switch c.Op {
	case model.CondTrue:
		return true
	case model.CondFalse:
		return false
	case model.CondAnd:
		return !slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return !b.eval(w, k) })
	case model.CondOr:
		return slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return b.eval(w, k) })
	case model.CondNot:
		return !b.eval(w, c.Kids[0])
	}
	return b.atom(w, &c.Atom)
}

func (b *brute) atom(w *world, a *model.Atom) bool {
	d := b.d
	switch a.Kind {
	case model.AtomSetting:
		return slices.Contains(a.In, w.settings[a.Index])
	case model.AtomQuantity:
		return compares(b.order(w.quantities[a.Index], a.Value.N), a.Cmp)
	case model.AtomReading:
		r := &d.Readings[a.Index]
		for _, s := range r.Senders {
			if b.electric(w, model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(d.Senders[s].Pin)}) {
				return compares(b.order(w.quantities[d.Senders[s].Quantity], a.Value.N), a.Cmp)
			}
		}
		return compares(r.CountsAs.N.Cmp(a.Value.N), a.Cmp)
	case model.AtomMemory:
		return slices.Contains(a.In, w.memories[a.Index])
	case model.AtomMachine:
		return slices.Contains(a.In, w.modes[a.Index])
	case model.AtomTimer:
		return slices.Contains(a.In, w.timers[a.Index])
	case model.AtomBeat:
		on := 0
		if b.eval(w, d.Beats[a.Index].While) && w.beats[a.Index] == 0 {
			on = 1
		}
		return slices.Contains(a.In, on)
	case model.AtomEdge:
		now, before := b.eval(w, d.Edges[a.Index].Of), w.edges[a.Index] == 1
		return map[model.EdgeKind]bool{model.Begins: now && !before, model.Ends: !now && before, model.Stays: now && before}[a.Edge]
	case model.AtomCondition:
		return b.eval(w, d.Conditions[a.Index].Cond)
	case model.AtomFree:
		return w.free[b.freeIndex(a.Index)] == 1
	case model.AtomFed:
		return b.joined(w, a.Index, false) && !b.joined(w, a.Index, true)
	case model.AtomVented:
		return b.joined(w, a.Index, true)
	}
	return b.electric(w, *a)
}

func (b *brute) frees() []int {
	var out []int
	for i := range b.d.Elements {
		if b.d.Elements[i].Sometimes {
			out = append(out, i)
		}
	}
	return out
}

func (b *brute) freeIndex(element int) int { return slices.Index(b.frees(), element) }

// joined walks backwards from a port to an origin that is present, or to air.
func (b *brute) joined(w *world, port int, air bool) bool {
	seen := map[int]bool{}
	var walk func(p int) bool
	walk = func(p int) bool {
		if seen[p] {
			return false
		}
		seen[p] = true
		if air && b.d.Ports[p].OpenToAir {
			return true
		}
		for _, o := range b.d.Origins {
			if !air && int(o.Port) == p && b.eval(w, o.Present) {
				return true
			}
		}
		for _, h := range b.d.Passages {
			if !b.eval(w, h.Open) {
				continue
			}
			if int(h.B) == p && walk(int(h.A)) || !h.OneWay && int(h.A) == p && walk(int(h.B)) {
				return true
			}
		}
		return false
	}
	return walk(port)
}

func (b *brute) electric(w *world, a model.Atom) bool {
	q, ok := b.c.Register(a)
	if !ok {
		panic("no question")
	}
	infos := b.c.Switches()
	closed := make([]bool, len(infos))
	for i := range infos {
		closed[i] = b.eval(w, infos[i].Cond)
	}
	key := fmt.Sprint(q, closed)
	if yes, ok := b.cache[key]; ok {
		return yes
	}
	sol, err := b.c.Solve(context.Background(), func(s circuit.Switch) bool { return closed[s] }, circuit.Nominal)
	if err != nil {
		panic(err)
	}
	yes, err := sol.Answer(context.Background(), q)
	if err != nil {
		panic(err)
	}
	b.cache[key] = yes
	return yes
}
