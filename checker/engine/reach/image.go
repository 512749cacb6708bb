package reach

import (
	"pintle/checker/engine/logic"
)

// worklist is a set of element indices, taken lowest first.
type worklist []bool

func (m *model) allElements() worklist {
	w := make(worklist, len(m.elems))
	for i := range w {
		w[i] = true
	}
	return w
}

func (m *model) readersOf(vars ...logic.Var) worklist {
	w := make(worklist, len(m.elems))
	for _, v := range vars {
		for _, i := range m.readers[v] {
			w[i] = true
		}
	}
	return w
}

// settle lets hardware change, from every state of u and in every order. Only
// the elements of work can be excited at first. It returns all states passed
// through, u included, and those that rest.
func (m *model) settle(u logic.Ref, work worklist) (through, rest logic.Ref) {
	f := m.f
	touched := append(worklist(nil), work...)
	// Each element is given only what came since it last looked.
	seen := make([]logic.Ref, len(m.elems))
	for i := 0; i < len(work); {
		if !work[i] {
			i++
			continue
		}
		work[i] = false
		el := &m.elems[i]
		fresh := f.And(f.Diff(u, seen[i]), el.excited)
		seen[i] = u
		if fresh == logic.Never {
			i++
			continue
		}
		m.images++
		grown := u
		for _, fr := range el.fires {
			grown = f.Or(grown, f.Assign(f.And(fresh, fr.pre), el.v, fr.to))
		}
		if grown == u {
			i++
			continue
		}
		u = grown
		for _, j := range m.readers[el.v] { // el reads itself: it may go on
			touched[j] = true
		}
		copy(work, touched) // what was excited before still is
		i = 0
		if f.Err() != nil {
			return logic.Never, logic.Never
		}
	}
	rest = u
	for i, t := range touched {
		if t {
			rest = f.Diff(rest, m.elems[i].excited)
		}
	}
	return u, rest
}

// step lets all machines take their transitions at once.
func (m *model) step(u logic.Ref) (moved, stayed logic.Ref) {
	f := m.f
	moved, stayed = f.And(u, m.moving), f.Diff(u, m.moving)
	if moved == logic.Never {
		return moved, stayed
	}
	for i := range m.machines {
		k := &m.machines[i]
		moved = f.AndExists(moved, k.relation, f.Bits(k.spent...))
	}
	return f.FromShadow(moved), stayed
}

// refresh gives every edge the value that its expression has.
func (m *model) refresh(u logic.Ref) logic.Ref {
	f := m.f
	for _, e := range m.edges {
		free := f.Exists(u, f.Bits(e.v))
		u = f.And(free, f.ITE(e.of, f.Is(e.v, 1), f.Is(e.v, 0)))
	}
	return u
}

// happen applies the first part of a move to the states of u.
func (m *model) happen(e *event, u logic.Ref) logic.Ref {
	f := m.f
	m.images++
	if e.Kind == MoveIdle {
		return f.And(u, e.pre)
	}
	u = f.AndExists(u, e.pre, f.Bits(e.Var))
	return f.And(f.And(u, f.Is(e.Var, e.To)), e.after)
}

// respond completes moves: u is where they stand after their first part, and
// only what reads v can be excited.
func (m *model) respond(u logic.Ref, work worklist) logic.Ref {
	f := m.f
	_, u = m.settle(u, work)
	if len(m.machines) > 0 {
		moved, stayed := m.step(u)
		if moved != logic.Never {
			_, moved = m.settle(moved, m.modeReaders())
		}
		u = f.Or(moved, stayed)
	}
	return m.refresh(u)
}

func (m *model) modeReaders() worklist {
	var modes []logic.Var
	for _, k := range m.machines {
		modes = append(modes, k.v)
	}
	return m.readersOf(modes...)
}

// workOf lists the elements that an event can excite.
func (m *model) workOf(e *event) worklist {
	if e.Kind == MoveIdle {
		return make(worklist, len(m.elems))
	}
	return m.readersOf(e.Var)
}

// before is the set of states of within from which hardware can come to b by
// any number of changes, b included.
func (m *model) before(b, within logic.Ref) logic.Ref {
	f := m.f
	b = f.And(b, within)
	seen := make([]logic.Ref, len(m.elems))
	for i := len(m.elems) - 1; i >= 0; {
		if f.Err() != nil {
			return logic.Never
		}
		if seen[i] == b {
			i--
			continue
		}
		grown := f.Or(b, f.And(within, m.firing(i, b)))
		m.images++
		if grown == b {
			seen[i] = b
			i--
			continue
		}
		b = grown
		i = len(m.elems) - 1
	}
	return b
}

// firing is the set of states in which element i can change, right into b.
func (m *model) firing(i int, b logic.Ref) logic.Ref {
	f, el := m.f, &m.elems[i]
	r := logic.Never
	for _, fr := range el.fires {
		r = f.Or(r, f.And(fr.pre, f.Fix(b, el.v, fr.to)))
	}
	return r
}

// stepping is the set of states from which the machines step into b.
func (m *model) stepping(b logic.Ref) logic.Ref {
	f := m.f
	b = f.ToShadow(b)
	for i := len(m.machines) - 1; i >= 0; i-- {
		k := &m.machines[i]
		b = f.AndExists(b, k.relation, f.ShadowBits(k.v))
	}
	return b
}

// refreshing is the set of states that refresh takes into b.
func (m *model) refreshing(b logic.Ref) logic.Ref {
	f := m.f
	for _, e := range m.edges {
		b = f.ITE(e.of, f.Fix(b, e.v, 1), f.Fix(b, e.v, 0))
	}
	return b
}

// happening is the set of states in which e can happen, right into b.
func (m *model) happening(e *event, b logic.Ref) logic.Ref {
	f := m.f
	m.images++
	if e.Kind == MoveIdle {
		return f.And(e.pre, b)
	}
	return f.And(e.pre, f.Fix(f.And(b, e.after), e.Var, e.To))
}
