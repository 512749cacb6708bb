package circuit

import (
	"context"
	"encoding/binary"
	"math"
	"sync"

	"pintle/checker/engine/circuit/dc"
)

// everywhere are all states of the switches of some islands that can be, as leaves of
// a diagram over the switches. It is made once and shared by all questions about the
// islands, as are the solutions, so that another question costs a reading in each
// state and no more.
type allStates struct {
	islands []*island
	states  [][]bool // closed, per switch of the circuit
	choices []choice // sides before what they are sides of: the root comes last
	root    int32

	mu     sync.Mutex
	solved map[Corner][]*dc.Solution // per state and island
}

// choice decides on one switch. A side is the number of a choice, the complement of that
// of a state, or nowhere.
type choice struct {
	w            Switch
	open, closed int32
}

const nowhere = math.MinInt32

// allStatesOf returns the states of the islands of a question in which what is known holds.
func (c *Circuit) allStatesOf(d *decider, k *assignment) *allStates {
	var key []byte
	for _, i := range d.islands {
		key = binary.AppendUvarint(key, uint64(i.id))
	}
	key = k.appendMasks(key)
	c.statesMu.Lock()
	defer c.statesMu.Unlock()
	if e, ok := c.states[string(key)]; ok {
		return e
	}
	e := &allStates{islands: d.islands, solved: map[Corner][]*dc.Solution{}}
	e.root = e.spread(k, d.scope)
	if c.states == nil {
		c.states = map[string]*allStates{}
	}
	c.states[string(key)] = e
	return e
}

// spread decides on what is not known of some switches, one after another.
func (e *allStates) spread(k *assignment, switches []Switch) int32 {
	for len(switches) > 0 && k.known[switches[0]] != Depends {
		switches = switches[1:]
	}
	if len(switches) == 0 {
		closed := make([]bool, len(k.known))
		for w, t := range k.known {
			closed[w] = t == Yes
		}
		e.states = append(e.states, closed)
		return ^int32(len(e.states) - 1)
	}
	sides := [2]int32{nowhere, nowhere}
	for s, closed := range [...]bool{false, true} {
		if n := k.with(switches[0], closed); n != nil {
			sides[s] = e.spread(n, switches[1:])
		}
	}
	e.choices = append(e.choices, choice{switches[0], sides[0], sides[1]})
	return int32(len(e.choices) - 1)
}

// solve returns the solutions in a corner, those of the islands of a state in a row.
func (e *allStates) solve(ctx context.Context, c *Circuit, k Corner) ([]*dc.Solution, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if known, ok := e.solved[k]; ok {
		return known, nil
	}
	out := make([]*dc.Solution, 0, len(e.states)*len(e.islands))
	for _, closed := range e.states {
		s := Solution{c: c, closed: closed}
		for _, i := range e.islands {
			part, err := c.solveIsland(ctx, i, s.bits(i), k, true)
			if err != nil {
				return nil, err
			}
			out = append(out, part)
		}
	}
	e.solved[k] = out
	return out, nil
}

// everyState decides by trying out every state.
func (d *decider) everyState(ctx context.Context, k *assignment) (*Decision, error) {
	e := d.c.allStatesOf(d, k)
	parts, err := e.solve(ctx, d.c, d.key.corner)
	if err != nil {
		return nil, err
	}
	s := Solution{c: d.c, corner: d.key.corner, parts: make([]*dc.Solution, len(d.c.islands))}
	answers := make([]*Decision, len(e.states))
	for n := range e.states {
		s.closed = e.states[n]
		for j, i := range e.islands {
			s.parts[i.id] = parts[n*len(e.islands)+j]
		}
		v, err := s.signed(ctx, &d.q.Atom.Measure)
		if err != nil {
			return nil, err
		}
		answers[n] = plain[d.against(interval{v, v})]
	}
	done := make([]*Decision, len(e.choices))
	side := func(i int32) *Decision {
		switch {
		case i == nowhere:
			return nil
		case i < 0:
			return answers[^i]
		}
		return done[i]
	}
	for i, f := range e.choices {
		done[i] = d.b.branch(f.w, side(f.open), side(f.closed))
	}
	return side(e.root), nil
}
