package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// reached is the exact set of states, and where it starts.
type reached struct {
	initial logic.Ref // settled, edges set
	all     logic.Ref
	stages  []stage // how it grew
}

// stage is the set after it was closed under the events of one variable.
type stage struct {
	all    logic.Ref
	events []int
}

// reach computes the reachable states once.
//
// The set is closed under the moves of one input after another, those of an
// input that disturb nothing first: what is independent then comes out as a
// plain product, and of what is coupled each set met on the way is nearly as
// regular as the last. Inputs low in the diagrams go first, as in saturation
// (Ciardo, Lüttgen, Siminiceanu 2001). It was chosen by measurement: breadth
// first, with or without frontiers, took ten to a hundred times as long on
// BenchmarkWhole.
func (m *model) reach() (*reached, error) {
	if m.reached != nil {
		return m.reached, nil
	}
	f := m.f
	_, rest := m.settle(m.raw, m.allElements())
	c := &closure{m: m, all: m.refresh(rest)}
	initial := f.Pin(c.all)
	stages := []stage{{all: initial}}
	c.prepare()
	// idle counts the groups in a row that had nothing to add.
	for g, idle := 0, 0; idle < len(c.groups); g = (g + 1) % len(c.groups) {
		if c.closed[g] == c.all {
			idle++
			continue
		}
		idle = 0
		c.close(c.groups[g])
		c.closed[g] = c.all
		if c.all != stages[len(stages)-1].all {
			stages = append(stages, stage{all: f.Pin(c.all), events: c.groups[g]})
		}
		if err := f.Err(); err != nil {
			return nil, err
		}
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	m.reached = &reached{initial: initial, all: f.Pin(c.all), stages: stages}
	return m.reached, nil
}

// closure is a reachable set in the making.
type closure struct {
	m      *model
	all    logic.Ref
	loud   []logic.Ref // by event: where its first part disturbs something
	groups [][]int     // the events of each variable
	closed []logic.Ref // the set that each group was last closed over
}

func (c *closure) prepare() {
	m, f := c.m, c.m.f
	by := map[logic.Var][]int{}
	for i, e := range m.events {
		loud := m.moving
		if e.Kind != MoveIdle {
			for _, j := range m.readers[e.Var] {
				loud = f.Or(loud, m.elems[j].excited)
			}
		}
		c.loud = append(c.loud, f.Pin(loud))
		by[e.Var] = append(by[e.Var], i)
	}
	for _, v := range append(slices.Clone(f.Order()), -1) {
		if by[v] != nil {
			c.groups = append(c.groups, by[v])
		}
	}
	slices.Reverse(c.groups)
	c.closed = make([]logic.Ref, len(c.groups))
}

// close adds what the events of one variable can do, any number of times.
func (c *closure) close(group []int) {
	m, f := c.m, c.m.f
	for before := logic.Never; before != c.all; {
		before = c.all
		for again := logic.Never; again != c.all; { // nothing else stirs
			again = c.all
			for _, i := range group {
				if e := &m.events[i]; e.Kind != MoveIdle {
					c.all = f.Or(c.all, m.refresh(f.Diff(m.happen(e, c.all), c.loud[i])))
				}
			}
		}
		for _, i := range group {
			e := &m.events[i]
			next := m.happen(e, c.all)
			if e.Kind != MoveIdle {
				// Where a move leads to a known resting state, what follows is
				// an idle move from there, which has its own turn.
				next = f.And(f.Diff(next, c.all), c.loud[i])
			}
			if next == logic.Never {
				continue
			}
			c.all = f.Or(c.all, m.respond(next, m.workOf(e)))
			if f.Crowded() {
				f.Collect(append([]logic.Ref{c.all, before}, c.closed...)...)
			}
		}
	}
}

// during holds what moves pass through: the states while hardware settles and
// those in which the machines step.
type during struct {
	start  logic.Ref // while the raw start settles
	first  logic.Ref // while hardware settles after the first part of a move
	atStep logic.Ref // settled, as the machines read them
	second logic.Ref // while hardware settles after the machines
	final  logic.Ref // settled after the machines, edges still old
	any    logic.Ref // start, first or second
}

// pass computes during once.
func (m *model) pass() (*during, error) {
	if m.during != nil {
		return m.during, nil
	}
	r, err := m.reach()
	if err != nil {
		return nil, err
	}
	f, d := m.f, &during{}
	d.start, _ = m.settle(m.raw, m.allElements())
	begun := r.all // an idle move begins in any resting state
	for i := range m.events {
		if e := &m.events[i]; e.Kind != MoveIdle {
			begun = f.Or(begun, m.happen(e, r.all))
		}
	}
	d.first, d.atStep = m.settle(begun, m.allElements())
	d.second, d.final = logic.Never, d.atStep
	if len(m.machines) > 0 {
		moved, stayed := m.step(d.atStep)
		var rest logic.Ref
		d.second, rest = m.settle(moved, m.modeReaders())
		d.final = f.Or(stayed, rest)
	}
	d.any = f.Or(d.start, f.Or(d.first, d.second))
	if err := f.Err(); err != nil {
		return nil, err
	}
	for _, r := range []logic.Ref{d.start, d.first, d.atStep, d.second, d.final, d.any} {
		f.Pin(r)
	}
	m.during = d
	return d, nil
}

// resting is the part of u in which no element is excited.
func (m *model) resting(u logic.Ref) logic.Ref {
	for i := range m.elems {
		u = m.f.Diff(u, m.elems[i].excited)
	}
	return u
}

// toStep is the set of states right after the first part of a move from which
// settling can come to atStep states of b.
func (m *model) toStep(d *during, b logic.Ref) logic.Ref {
	return m.before(m.f.And(b, d.atStep), d.first)
}

// toFinal is the set of atStep states from which the rest of a move can end in
// b.
func (m *model) toFinal(d *during, b logic.Ref) logic.Ref {
	f := m.f
	b = f.And(m.refreshing(b), d.final)
	if len(m.machines) == 0 {
		return f.And(b, d.atStep)
	}
	stayed := f.Diff(f.And(b, d.atStep), m.moving)
	moved := f.And(m.stepping(m.before(b, d.second)), f.And(d.atStep, m.moving))
	return f.Or(stayed, moved)
}

// onward is the set of resting states that one move leads to from u, idle moves
// that change nothing aside.
func (m *model) onward(u logic.Ref) logic.Ref {
	f := m.f
	out := logic.Never
	for i := 0; i < len(m.events); {
		e, next := &m.events[i], logic.Never
		for ; i < len(m.events) && m.events[i].Var == e.Var; i++ {
			next = f.Or(next, m.happen(&m.events[i], u))
		}
		if next != logic.Never {
			out = f.Or(out, m.respond(next, m.workOf(e)))
		}
	}
	return out
}

// beginning is the set of resting states from which the first part of some move
// leads into b; idle moves lead into idle.
func (m *model) beginning(b, idle logic.Ref) logic.Ref {
	f := m.f
	out := logic.Never
	for i := 0; i < len(m.events); {
		e, from := &m.events[i], logic.Never
		for ; i < len(m.events) && m.events[i].Var == e.Var; i++ {
			if e.Kind == MoveIdle {
				from = f.Or(from, m.happening(&m.events[i], idle))
			} else {
				from = f.Or(from, m.happening(&m.events[i], b))
			}
		}
		out = f.Or(out, from)
	}
	return f.And(out, m.reached.all)
}

// preceding is the set of resting states from which one move can end in b.
func (m *model) preceding(d *during, b logic.Ref) logic.Ref {
	return m.precedingBy(d, b, nil)
}

// precedingBy is the same for the given events only; nil means all.
func (m *model) precedingBy(d *during, b logic.Ref, events []int) logic.Ref {
	step := m.toFinal(d, b)
	if begun := m.toStep(d, step); events == nil {
		return m.beginning(begun, step)
	} else {
		out := logic.Never
		for _, i := range events {
			from := begun
			if m.events[i].Kind == MoveIdle {
				from = step
			}
			out = m.f.Or(out, m.happening(&m.events[i], from))
		}
		return m.f.And(out, m.reached.all)
	}
}
