package drive

import (
	"context"

	"pintle/checker/circuit"
	"pintle/checker/fluid"
	"pintle/lang/model"
)

// Truth is the value of a condition: what cannot be known is neither true nor false.
type Truth uint8

// The values.
const (
	False Truth = iota
	True
	Unknown
)

func truth(b bool) Truth {
	if b {
		return True
	}
	return False
}

func (t Truth) not() Truth {
	switch t {
	case True:
		return False
	case False:
		return True
	}
	return Unknown
}

// moment is a state with what follows from it, worked out when it is asked for.
type moment struct {
	*plant
	ctx   context.Context
	s     *State
	solve *circuit.Solution
	paths *fluid.Answers[bool]
	err   error // the first thing that went wrong; answers are Unknown from then on
}

func (p *plant) moment(ctx context.Context, s *State) *moment {
	return &moment{plant: p, ctx: ctx, s: s}
}

// eval gives the value of a condition; nil is true.
func (m *moment) eval(c *model.Cond) Truth {
	if c == nil {
		return True
	}
	switch c.Op {
	case model.CondTrue:
		return True
	case model.CondFalse:
		return False
	case model.CondNot:
		return m.eval(c.Kids[0]).not()
	case model.CondAnd:
		out := True
		for _, k := range c.Kids {
			switch m.eval(k) {
			case False:
				return False
			case Unknown:
				out = Unknown
			}
		}
		return out
	case model.CondOr:
		out := False
		for _, k := range c.Kids {
			switch m.eval(k) {
			case True:
				return True
			case Unknown:
				out = Unknown
			}
		}
		return out
	case model.CondAtom:
		return m.atom(&c.Atom)
	}
	return Unknown
}

func (m *moment) atom(a *model.Atom) Truth {
	d, s := m.design, m.s
	switch a.Kind {
	case model.AtomSetting:
		return among(a.In, s.Settings[a.Index])
	case model.AtomQuantity:
		return truth(s.Quantities[a.Index].Compare(a.Cmp, a.Value.N))
	case model.AtomReading:
		level, ok := m.reading(model.ReadingID(a.Index))
		if !ok {
			return Unknown
		}
		return truth(level.Compare(a.Cmp, a.Value.N))
	case model.AtomMemory:
		return among(a.In, s.Memories[a.Index])
	case model.AtomMachine:
		return among(a.In, s.Machines[a.Index])
	case model.AtomTimer:
		return among(a.In, s.Clocks[a.Index].Phase)
	case model.AtomBeat:
		on := 0
		if r := s.Rhythms[a.Index]; r.Running && !r.Second {
			on = 1
		}
		return among(a.In, on)
	case model.AtomEdge:
		return m.edge(a)
	case model.AtomCondition:
		return m.eval(d.Conditions[a.Index].Cond)
	case model.AtomResult:
		return m.anyRow(a)
	case model.AtomBands:
		return m.anyBand(a)
	case model.AtomFree:
		return truth(s.Free[model.ElementID(a.Index)])
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		return m.port(a)
	}
	if circuit.Electrical(a.Kind) {
		return m.electrical(a)
	}
	return Unknown
}

func among(in []int, v int) Truth {
	for _, x := range in {
		if x == v {
			return True
		}
	}
	return False
}

func (m *moment) edge(a *model.Atom) Truth {
	now, before := m.eval(m.design.Edges[a.Index].Of), m.s.Edges[a.Index]
	switch {
	case now == Unknown:
		return Unknown
	case a.Edge == model.Begins:
		return truth(now == True && !before)
	case a.Edge == model.Ends:
		return truth(now == False && before)
	}
	return truth(now == True && before)
}

func (m *moment) anyRow(a *model.Atom) Truth {
	out := False
	for _, r := range a.In {
		switch m.eval(m.design.Results[a.Index].Rows[r].When) {
		case True:
			return True
		case Unknown:
			out = Unknown
		}
	}
	return out
}

// anyBand tells whether a partition is in one of the bands: the one that the quantity
// lies in, or where that keeps, the one that it came from.
func (m *moment) anyBand(a *model.Atom) Truth {
	b := &m.design.Bands[a.Index]
	switch while := m.eval(b.While); while {
	case False, Unknown:
		return while
	}
	if b.Memory != model.None {
		return among(a.In, m.s.Memories[b.Memory])
	}
	out := False
	for _, i := range a.In {
		switch m.eval(b.Bands[i].In) {
		case True:
			return True
		case Unknown:
			out = Unknown
		}
	}
	return out
}

// reading is what a controller's input that reads a sender takes its quantity to be:
// the sender's that it is joined to, or what it counts as while disconnected.
func (m *moment) reading(id model.ReadingID) (Level, bool) {
	r := &m.design.Readings[id]
	for _, sid := range r.Senders {
		if m.silent[sid] {
			continue
		}
		joined := m.electrical(&model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(m.design.Senders[sid].Pin)})
		switch joined {
		case True:
			if at, ok := m.stuck[sid]; ok {
				return at, true
			}
			return m.s.Quantities[m.design.Senders[sid].Quantity], true
		case Unknown:
			return Level{}, false
		}
	}
	return Level{N: r.CountsAs.N}, r.HasCountsAs
}

// solution solves the circuit in the state, once.
func (m *moment) solution() (*circuit.Solution, bool) {
	if m.solve == nil && m.err == nil {
		switches := m.circuit.Switches()
		m.solve, m.err = m.circuit.Solve(m.ctx, func(w circuit.Switch) bool {
			return m.eval(switches[w].Cond) == True
		}, m.corner)
	}
	return m.solve, m.err == nil
}

func (m *moment) electrical(a *model.Atom) Truth {
	sol, ok := m.solution()
	if !ok {
		return Unknown
	}
	q, ok := m.circuit.Register(*a)
	if !ok {
		return Unknown
	}
	yes, err := sol.Answer(m.ctx, q)
	if err != nil {
		m.err = err
		return Unknown
	}
	return truth(yes)
}
