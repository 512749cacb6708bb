package scenario

import (
	"context"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/lang/diag"
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

func and(a, b Truth) Truth {
	switch {
	case a == False || b == False:
		return False
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return True
}

func or(a, b Truth) Truth { return and(a.not(), b.not()).not() }

// moment is a state with what follows from it, worked out when it is asked for.
type moment struct {
	*plant
	ctx   context.Context
	s     *State
	solve []*circuit.Solution // one for each way in which unknown switches may stand
	paths *fluid.Answers[Truth]
	read  []diag.Number // what was told of the circuit since the last line
	vague bool          // too many switches are unknown to look at all ways
	err   error         // the first thing that went wrong; answers are Unknown from then on
}

func (p *plant) moment(ctx context.Context, s *State) *moment {
	return &moment{plant: p, ctx: ctx, s: s}
}

// eval gives the value of a condition; nil is true.
func (m *moment) eval(c *model.Cond) Truth {
	if c == nil {
		return True
	}
	if is, stuck := m.holds.Of(c); stuck {
		return truth(is)
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
			if out = and(out, m.eval(k)); out == False {
				return False
			}
		}
		return out
	case model.CondOr:
		out := False
		for _, k := range c.Kids {
			if out = or(out, m.eval(k)); out == True {
				return True
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
		if d.Settings[a.Index].Broken {
			return Unknown
		}
		return among(a.In, s.Settings[a.Index])
	case model.AtomQuantity:
		if d.Quantities[a.Index].Broken {
			return Unknown
		}
		return truth(s.Quantities[a.Index].Compare(a.Cmp, a.Value.N))
	case model.AtomReading:
		if m.leeway != nil {
			return m.readWithin(a)
		}
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
		r := s.Rhythms[a.Index]
		if r.Unknown {
			return Unknown
		}
		return among(a.In, b2i(r.Running && !r.Second))
	case model.AtomEdge:
		return m.edge(a)
	case model.AtomCondition:
		if d.Conditions[a.Index].Broken {
			return Unknown
		}
		return m.eval(d.Conditions[a.Index].Cond)
	case model.AtomResult:
		return m.anyRow(a)
	case model.AtomBands:
		return m.anyBand(a)
	case model.AtomBlown:
		if d.Fuses[a.Index].Broken {
			return Unknown
		}
		return truth(m.blown[d.Fuses[a.Index].Element])
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
	if v == UnknownState {
		return Unknown
	}
	for _, x := range in {
		if x == v {
			return True
		}
	}
	return False
}

func (m *moment) edge(a *model.Atom) Truth {
	now, before := m.eval(m.design.Edges[a.Index].Of), m.s.Edges[a.Index]
	switch a.Edge {
	case model.Begins:
		return and(now, before.not())
	case model.Ends:
		return and(now.not(), before)
	}
	return and(now, before)
}

func (m *moment) anyRow(a *model.Atom) Truth {
	res := &m.design.Results[a.Index]
	if res.Broken {
		return Unknown
	}
	out := False
	for _, r := range a.In {
		if row := &res.Rows[r]; row.Broken {
			out = or(out, Unknown)
		} else {
			out = or(out, m.eval(row.When))
		}
	}
	return out
}

// anyBand reports whether a partition is in one of the bands: the one that the quantity
// lies in, or where that keeps, the one that it came from.
func (m *moment) anyBand(a *model.Atom) Truth {
	b := &m.design.Bands[a.Index]
	if b.Broken {
		return Unknown
	}
	switch while := m.eval(b.While); while {
	case False, Unknown:
		return while
	}
	if b.Memory != model.None {
		return among(a.In, m.s.Memories[b.Memory])
	}
	out := False
	for _, i := range a.In {
		out = or(out, m.eval(b.Bands[i].In))
	}
	return out
}

// reading is what a controller's input that reads a sender takes its quantity to be:
// the sender's that it is joined to, or what it counts as while disconnected.
func (m *moment) reading(id model.ReadingID) (Level, bool) {
	r := &m.design.Readings[id]
	if r.Broken || m.shorted(r) != False {
		return Level{}, false
	}
	for _, sid := range r.Senders {
		if m.silent[sid] {
			continue
		}
		joined := m.electrical(&model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(m.design.Senders[sid].Pin)})
		switch q := m.design.Senders[sid].Quantity; {
		case joined == Unknown || joined == True && (q == model.None || m.design.Senders[sid].Broken || m.design.Quantities[q].Broken):
			return Level{}, false
		case joined == True:
			at, ok := m.stuck[sid]
			if !ok {
				at = m.s.Quantities[q]
			}
			if !m.offsets.Exact() {
				at.N = at.N.Add(m.offsets.Of(sid))
			}
			return at, true
		}
	}
	return Level{N: r.CountsAs.N}, r.HasCountsAs
}

// shorted is whether the pin of an input that reads a sender is joined by metal to ground or to
// the plus of a supply: nobody knows what it then reads.
func (m *moment) shorted(r *model.Reading) Truth {
	at := func(kind model.AtomKind) Truth {
		return m.electrical(&model.Atom{Kind: kind, Index: int(r.Pin)})
	}
	return or(at(model.AtomLive), at(model.AtomGrounded))
}

// mostUnknown bounds the switches of which it is not known how they stand, while the
// circuit is still solved in all the ways in which they may.
const mostUnknown = 4

// solutions solves the circuit in the state, once: in every way in which switches that
// are unknown may stand. The first has them open. It is false where there are too many.
func (m *moment) solutions() ([]*circuit.Solution, bool) {
	if m.solve != nil || m.err != nil || m.vague {
		return m.solve, m.err == nil && !m.vague
	}
	switches := m.circuit.Switches()
	stands := make([]Truth, len(switches))
	var unknown []int
	for w := range switches {
		if stands[w] = m.eval(switches[w].Cond); stands[w] == Unknown {
			unknown = append(unknown, w)
		}
	}
	if len(unknown) > mostUnknown {
		m.vague = true
		return nil, false
	}
	for way := range 1 << len(unknown) {
		for i, w := range unknown {
			stands[w] = truth(way>>i&1 == 1)
		}
		sol, err := m.circuit.Solve(m.ctx, func(w circuit.Switch) bool { return stands[w] == True }, m.corner)
		if err != nil {
			m.solve, m.err = nil, err
			return nil, false
		}
		m.solve = append(m.solve, sol)
	}
	return m.solve, true
}

// solution is one of the solutions, for explaining what is the same in all of them.
func (m *moment) solution() (*circuit.Solution, bool) {
	all, ok := m.solutions()
	if !ok {
		return nil, false
	}
	return all[0], true
}

func (m *moment) electrical(a *model.Atom) Truth {
	q, ok := m.circuit.Register(*a)
	if !ok || m.unread.In(m.circuit.Question(q).Islands) {
		return Unknown
	}
	if m.leeway != nil {
		return m.leeway.electrical(m, q)
	}
	all, ok := m.solutions()
	if !ok {
		return Unknown
	}
	var out Truth
	for i, sol := range all {
		yes, err := sol.Answer(m.ctx, q)
		switch {
		case err != nil:
			m.err = err
			return Unknown
		case i > 0 && truth(yes) != out:
			return Unknown
		}
		out = truth(yes)
	}
	return out
}
