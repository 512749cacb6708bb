package scenario

import (
	"context"
	"encoding/binary"
	"slices"

	"pintle/lang/model"
)

// settling is what a state may come to while hardware settles.
type settling struct{ ends []possible }

// identity is what two states have in common that do not differ but in the times of clocks.
func (s *Possible) identity(st *possible) string {
	b := s.key[:0]
	put := func(v int) { b = binary.AppendVarint(b, int64(v)) }
	for _, v := range st.cells {
		put(v)
	}
	for _, v := range st.Settings {
		put(v)
	}
	for _, v := range st.Memories {
		put(v)
	}
	for _, v := range st.Machines {
		put(v)
	}
	for i := range st.Clocks {
		c := &st.Clocks[i]
		put(c.Phase)
		if c.Phase == model.TimerRunning {
			put(c.Case)
			put(int(c.Until))
		}
	}
	for i := range st.Rhythms {
		r := &st.Rhythms[i]
		put(b2i(r.Unknown)<<2 | b2i(r.Running)<<1 | b2i(r.Second))
		if r.Running {
			put(int(r.Until))
		}
	}
	for _, v := range st.Edges {
		put(int(v))
	}
	if len(st.Free) > 0 {
		for i := range s.d.Elements {
			if s.d.Elements[i].Sometimes {
				put(b2i(st.Free[model.ElementID(i)]))
			}
		}
	}
	s.key = b
	return string(b)
}

// moved lets a state come to rest behind a move: hardware settles, every machine takes at most
// one transition, hardware settles again, and so on while modes go on changing; see
// plant.move. The states are those at rest.
func (s *Possible) moved(ctx context.Context, st possible) ([]possible, error) {
	s.place(&st)
	id := s.identity(&st)
	if out, known := s.memo[id]; known {
		return out, nil
	}
	var out []possible
	seen := map[string]bool{}
	for todo := []possible{st}; len(todo) > 0; {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		calm, err := s.calmAll(ctx, &at)
		if err != nil {
			return nil, err
		}
		for i := range calm.ends {
			steps, stays, err := s.steps(ctx, &calm.ends[i])
			if err != nil {
				return nil, err
			}
			var after []possible
			for k := range steps {
				c, err := s.calmAll(ctx, &steps[k])
				if err != nil {
					return nil, err
				}
				after = append(after, c.ends...)
			}
			if stays {
				edged := s.edged(ctx, calm.ends[i])
				if slices.Equal(edged.Edges, calm.ends[i].Edges) {
					out = append(out, edged)
				} else {
					after = append(after, edged)
				}
			}
			for k := range after {
				next := s.edged(ctx, after[k])
				if id := s.identity(&next); !seen[id] {
					seen[id] = true
					todo = append(todo, next)
				}
			}
		}
		if len(seen) > mostPossible {
			return nil, ManyError{}
		}
	}
	if len(s.memo) > 1<<15 {
		clear(s.memo)
	}
	s.memo[id] = out
	return out, nil
}

// edged takes down what begins and ends with a state at rest.
func (s *Possible) edged(ctx context.Context, st possible) possible {
	if len(st.Edges) == 0 {
		return st
	}
	m := s.moment(ctx, &st)
	edges := make([]Truth, len(st.Edges))
	for i := range edges {
		edges[i] = m.eval(s.d.Edges[i].Of)
	}
	st.Edges = edges
	return st
}

// steps are the states behind the transitions of the machines, all of them taken at once, and
// whether it may be that none is.
func (s *Possible) steps(ctx context.Context, st *possible) (out []possible, stays bool, err error) {
	m := s.moment(ctx, st)
	out, stays = []possible{*st}, true
	for i := range s.d.Machines {
		to := m.transitions(&s.d.Machines[i], st.Machines[i])
		if m.err != nil {
			return nil, false, m.err
		}
		if len(to) == 1 && to[0] == st.Machines[i] {
			continue
		}
		stays = stays && slices.Contains(to, st.Machines[i])
		var next []possible
		for _, mode := range to {
			for _, o := range out {
				o.Machines = slices.Clone(o.Machines)
				o.Machines[i] = mode
				next = append(next, o)
			}
		}
		if out = next; len(out) > mostPossible {
			return nil, false, ManyError{}
		}
	}
	return slices.DeleteFunc(out, func(o possible) bool { return slices.Equal(o.Machines, st.Machines) }), stays, nil
}

// transitions are the modes that a machine may go to in one step, the one it is in included if
// it may stay.
func (m *moment) transitions(mc *model.Machine, mode int) []int {
	reset := False
	if mc.Reset != nil {
		reset = m.eval(mc.Reset)
	}
	if mode == UnknownState || reset == True {
		return []int{mode}
	}
	var out []int
	if reset == Unknown {
		out = append(out, mode)
	}
	for _, t := range mc.Transitions {
		if !t.Any && !slices.Contains(t.From, mode) {
			continue
		}
		when := m.eval(t.When)
		if when != False && !slices.Contains(out, t.To) {
			out = append(out, t.To)
		}
		if when == True {
			return out
		}
	}
	if !slices.Contains(out, mode) {
		out = append(out, mode)
	}
	return out
}

// calmAll lets hardware settle in all ways that what is not known allows. Where it goes round
// without end, all that it comes through is possible.
func (s *Possible) calmAll(ctx context.Context, st *possible) (settling, error) {
	s.place(st)
	id := s.identity(st)
	if out, known := s.settled[id]; known {
		return out, nil
	}
	var out settling
	seen := map[string]bool{id: true}
	all := []possible{*st}
	for at := 0; at < len(all); at++ {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		next, stays, err := s.turns(ctx, &all[at])
		if err != nil {
			return out, err
		}
		if stays {
			out.ends = append(out.ends, all[at])
		}
		for _, n := range next {
			if id := s.identity(&n); !seen[id] {
				seen[id] = true
				all = append(all, n)
			}
		}
		if len(all) > mostPossible {
			return out, ManyError{}
		}
	}
	if len(out.ends) == 0 {
		out.ends = all
	}
	if len(s.settled) > 1<<15 {
		clear(s.settled)
	}
	s.settled[id] = out
	return out, nil
}

// turns are the states behind the first change of hardware that is due, and behind each that
// may be; stays tells that it may be at rest.
func (s *Possible) turns(ctx context.Context, st *possible) (out []possible, stays bool, err error) {
	m := s.moment(ctx, st)
	for _, resting := range [...]bool{false, true} {
		sure := true
		if resting {
			if may, must := m.mayRest(); !may {
				break
			} else {
				sure = must
			}
		}
		for k := range st.parts() {
			next, stay := s.turn(m, st, k, resting)
			stay = stay || !sure
			if m.err != nil {
				return nil, false, m.err
			}
			out = append(out, next...)
			if !stay {
				return out, false, nil
			}
		}
	}
	return out, true, m.err
}

// mayRest is moment.rests where not all is known: whether it may be so, and whether it surely is.
func (m *moment) mayRest() (may, must bool) {
	may, must = true, true
	for i := range m.design.Machines {
		level := withoutEdges(&m.design.Machines[i])
		mode := m.s.Machines[i]
		to := m.transitions(&level, mode)
		may = may && slices.Contains(to, mode)
		must = must && len(to) == 1
	}
	return may, may && must
}

// turn is what one of the parts may come to, counted as in moment.turn, and whether it may
// stay as it is. With resting, only what waits until all is at rest changes.
func (s *Possible) turn(m *moment, st *possible, k int, resting bool) (out []possible, stays bool) {
	stays = true
	add := func(change func(*possible)) {
		next := *st
		change(&next)
		out = append(out, next)
	}
	if k < len(st.Memories) {
		to := m.nexts(&s.d.Memories[k], st.Memories[k], resting)
		for _, v := range to {
			if v != st.Memories[k] {
				add(func(n *possible) { n.Memories = slices.Clone(n.Memories); n.Memories[k] = v })
			}
		}
		return out, slices.Contains(to, st.Memories[k])
	}
	if k -= len(st.Memories); resting {
		return nil, true
	}
	if k < len(st.Machines) {
		mc := &s.d.Machines[k]
		if mc.Broken || mc.Reset == nil || st.Machines[k] == mc.Start {
			return nil, true
		}
		reset := m.eval(mc.Reset)
		if reset != False {
			add(func(n *possible) { n.Machines = slices.Clone(n.Machines); n.Machines[k] = mc.Start })
		}
		return out, reset != True
	}
	if k -= len(st.Machines); k < len(st.Clocks) {
		return s.turnTimer(m, st, k)
	}
	i := k - len(st.Clocks)
	b, r := &s.d.Beats[i], st.Rhythms[i]
	if b.Broken {
		return nil, true
	}
	on := m.eval(b.While)
	put := func(v Rhythm) {
		add(func(n *possible) { n.Rhythms = slices.Clone(n.Rhythms); n.Rhythms[i] = v })
	}
	if on != True && r.Running {
		put(Rhythm{})
		stays = on == Unknown
	}
	if on != False && !r.Running {
		put(Rhythm{Running: true, Until: started})
		stays = on == Unknown
	}
	return out, stays
}

// nexts are the states that a memory may go to, or stay in.
func (m *moment) nexts(mem *model.Memory, state int, resting bool) []int {
	if mem.Broken {
		return []int{state}
	}
	var out []int
	for _, r := range mem.Rules {
		if r.AtRest != resting || r.From != nil && !slices.Contains(r.From, state) || r.To == state {
			continue
		}
		when := m.eval(r.When)
		if when != False && !slices.Contains(out, r.To) {
			out = append(out, r.To)
		}
		if when == True {
			return out
		}
	}
	return append(out, state)
}

func (s *Possible) turnTimer(m *moment, st *possible, i int) (out []possible, stays bool) {
	t, c := &s.d.Timers[i], st.Clocks[i]
	if t.Broken {
		return nil, true
	}
	run, stop := m.eval(t.Run), False
	if t.Stop != nil {
		stop = m.eval(t.Stop)
	}
	var to []int
	for _, r := range [...]bool{false, true} {
		for _, x := range [...]bool{false, true} {
			if run != Unknown && truth(r) != run || stop != Unknown && truth(x) != stop {
				continue
			}
			if p := phase(t, c.Phase, r, x); !slices.Contains(to, p) {
				to = append(to, p)
			}
		}
	}
	put := func(v Clock) {
		next := *st
		next.Clocks = slices.Clone(next.Clocks)
		next.Clocks[i] = v
		out = append(out, next)
	}
	for _, p := range to {
		switch {
		case p == c.Phase:
		case p != model.TimerRunning:
			put(Clock{Phase: p})
		default:
			for k := range t.Cases {
				when := m.eval(t.Cases[k].When)
				if when != False {
					put(Clock{Phase: p, Case: k, Until: started})
				}
				if when == True {
					break
				}
			}
			if len(t.Cases) == 0 {
				put(Clock{Phase: p, Case: -1})
			}
		}
	}
	return out, slices.Contains(to, c.Phase)
}
