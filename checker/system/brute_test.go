package system_test

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/circuit"
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

// excited lists the states that one change of hardware can lead to.
func (b *brute) excited(w *world) []*world {
	var out []*world
	change := func(f func(*world)) {
		n := w.clone()
		f(n)
		out = append(out, n)
	}
	for i := range b.d.Memories {
		for _, r := range b.d.Memories[i].Rules {
			if (r.From == nil || slices.Contains(r.From, w.memories[i])) && r.To != w.memories[i] && b.eval(w, r.When) {
				change(func(n *world) { n.memories[i] = r.To })
				break
			}
		}
	}
	for i := range b.d.Machines {
		m := &b.d.Machines[i]
		if m.Reset != nil && w.modes[i] != m.Start && b.eval(w, m.Reset) {
			change(func(n *world) { n.modes[i] = m.Start })
		}
	}
	for i := range b.d.Timers {
		t := &b.d.Timers[i]
		run, stop, to := b.eval(w, t.Run), t.Stop != nil && b.eval(w, t.Stop), w.timers[i]
		switch at := w.timers[i]; {
		case stop:
			to = model.TimerIdle
		case t.InLast && run:
			to = model.TimerDone
		case t.InLast && at == model.TimerDone:
			to = model.TimerRunning
		case t.InLast:
		case at == model.TimerIdle && run:
			to = model.TimerRunning
		case !run && (at == model.TimerDone || at == model.TimerRunning && !t.Starts):
			to = model.TimerIdle
		}
		if to != w.timers[i] {
			change(func(n *world) { n.timers[i] = to })
		}
	}
	for i := range b.d.Beats {
		if w.beats[i] == 1 && !b.eval(w, b.d.Beats[i].While) {
			change(func(n *world) { n.beats[i] = 0 })
		}
	}
	return out
}

// settle lists the resting states that hardware can come to.
func (b *brute) settle(ws ...*world) []*world {
	seen := map[string]bool{}
	var out []*world
	for len(ws) > 0 {
		w := ws[len(ws)-1]
		ws = ws[:len(ws)-1]
		if k := w.key(); seen[k] {
			continue
		} else {
			seen[k] = true
		}
		next := b.excited(w)
		if next == nil {
			out = append(out, w)
		}
		ws = append(ws, next...)
	}
	return out
}

// step lets every machine take its first transition that can fire.
func (b *brute) step(w *world) *world {
	n := w.clone()
	for i := range b.d.Machines {
		m := &b.d.Machines[i]
		if m.Reset != nil && b.eval(w, m.Reset) {
			continue
		}
		for _, t := range m.Transitions {
			if (t.Any || slices.Contains(t.From, w.modes[i])) && b.eval(w, t.When) {
				n.modes[i] = t.To
				break
			}
		}
	}
	return n
}

func (b *brute) refresh(w *world) *world {
	n := w.clone()
	for i := range b.d.Edges {
		n.edges[i] = 0
		if b.eval(w, b.d.Edges[i].Of) {
			n.edges[i] = 1
		}
	}
	return n
}

func (b *brute) allowed(w *world) bool {
	for _, a := range b.d.Assumptions {
		if a.Form == model.AssumeNever && b.eval(w, a.Cond) || a.Form == model.AssumeAlways && !b.eval(w, a.Cond) {
			return false
		}
	}
	return true
}

// moves lists what can happen first.
func (b *brute) moves(w *world) []*world {
	var out []*world
	input := func(f func(*world)) {
		n := w.clone()
		f(n)
		if b.allowed(n) {
			out = append(out, n)
		}
	}
	for i := range b.d.Settings {
		s := &b.d.Settings[i]
		at := w.settings[i]
		for to := range s.Positions {
			near := to == at+1 || to == at-1
			ok := to != at && (!s.InOrder || near || slices.Contains(s.Springs, model.Spring{From: at, To: to}))
			for _, a := range b.d.Assumptions {
				if a.Form == model.AssumeMoves && int(a.Setting) == i && a.Position == to && !b.eval(w, a.Cond) {
					ok = false
				}
			}
			if ok {
				input(func(n *world) { n.settings[i] = to })
			}
		}
	}
	for i := range b.d.Quantities {
		falls, rises := true, true
		for _, a := range b.d.Assumptions {
			if a.Form == model.AssumeFalls && int(a.Quantity) == i && !b.eval(w, a.Cond) {
				falls = false
			}
			if a.Form == model.AssumeRises && int(a.Quantity) == i && !b.eval(w, a.Cond) {
				rises = false
			}
		}
		if w.quantities[i] > 1 && falls { // the range begins on the first point
			input(func(n *world) { n.quantities[i]-- })
		}
		if w.quantities[i] < 2*len(b.points)-1 && rises {
			input(func(n *world) { n.quantities[i]++ })
		}
	}
	for k := range w.free {
		input(func(n *world) { n.free[k] = 1 - n.free[k] })
	}
	for i := range b.d.Timers {
		if w.timers[i] == model.TimerRunning {
			n := w.clone()
			n.timers[i] = model.TimerDone
			if b.d.Timers[i].InLast {
				n.timers[i] = model.TimerIdle
			}
			out = append(out, n)
		}
	}
	for i := range b.d.Beats {
		if b.eval(w, b.d.Beats[i].While) {
			n := w.clone()
			n.beats[i] = 1 - n.beats[i]
			out = append(out, n)
		}
	}
	return out
}

// reachable lists all resting states by key; nil if there are more than limit.
func (b *brute) reachable(limit int) map[string]*world {
	d := b.d
	w := &world{timers: make([]int, len(d.Timers)), beats: make([]int, len(d.Beats)), edges: make([]int, len(d.Edges))}
	for _, s := range d.Settings {
		w.settings = append(w.settings, s.Start)
	}
	for _, q := range d.Quantities {
		k := slices.IndexFunc(b.points, func(p unit.Num) bool { return p.Equal(q.Start.N) })
		w.quantities = append(w.quantities, 2*k+1)
	}
	for _, m := range d.Memories {
		w.memories = append(w.memories, m.Start)
	}
	for _, m := range d.Machines {
		w.modes = append(w.modes, m.Start)
	}
	starts := []*world{w}
	for range b.frees() {
		var both []*world
		for _, s := range starts {
			for x := range 2 {
				n := s.clone()
				n.free = append(n.free, x)
				both = append(both, n)
			}
		}
		starts = both
	}
	starts = slices.DeleteFunc(starts, func(w *world) bool { return !b.allowed(w) })
	seen := map[string]*world{}
	var queue []*world
	put := func(w *world) {
		w = b.refresh(w)
		if k := w.key(); seen[k] == nil {
			seen[k] = w
			queue = append(queue, w)
		}
	}
	for _, s := range b.settle(starts...) {
		put(s)
	}
	for len(queue) > 0 {
		if len(seen) > limit {
			return nil
		}
		w := queue[0]
		queue = queue[1:]
		begun := b.moves(w)
		if len(d.Machines) > 0 {
			begun = append(begun, w)
		}
		for _, settled := range b.settle(begun...) {
			for _, end := range b.settle(b.step(settled)) {
				put(end)
			}
		}
	}
	return seen
}
