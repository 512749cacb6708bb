package system_test

import (
	"slices"

	"pintle/lang/model"
	"pintle/lang/unit"
)

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
