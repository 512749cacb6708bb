package circuit

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// decisions remembers what was decided. One goroutine works on a question and
// corner at a time; others wait for it.
type decisions struct {
	mu    sync.Mutex
	known map[decisionKey]*deciding
}

type decisionKey struct {
	q      QuestionID
	corner Corner
	over   Freedom
}

type deciding struct {
	mu sync.Mutex
	d  *Decision
}

// Decide answers a question in one corner, for all states: every leaf is Yes, No, or
// Undecided with a reason. It is worked out once. The error is that of the context,
// or ErrDesign for a corner that cannot be.
func (c *Circuit) Decide(ctx context.Context, q QuestionID, k Corner) (*Decision, error) {
	return c.decide(ctx, decisionKey{q, k, 0})
}

func (c *Circuit) decide(ctx context.Context, key decisionKey) (*Decision, error) {
	c.decisions.mu.Lock()
	if c.decisions.known == nil {
		c.decisions.known = map[decisionKey]*deciding{}
	}
	e, ok := c.decisions.known[key]
	if !ok {
		e = &deciding{}
		c.decisions.known[key] = e
	}
	c.decisions.mu.Unlock()
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.d != nil {
		return e.d, nil
	}
	w := c.newDecider(key)
	d, err := w.apart(ctx, c.facts.nothing(), c.apart)
	if err == nil {
		e.d = d
	}
	return d, err
}

// decided returns a decision if it has been made already.
func (c *Circuit) decided(key decisionKey) *Decision {
	c.decisions.mu.Lock()
	e := c.decisions.known[key]
	c.decisions.mu.Unlock()
	if e == nil {
		return nil
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.d
}

// Limits of one decision.
const (
	// fewSwitches is how many switches in the islands of a question are tried out in
	// all their states without first asking which of them matter.
	fewSwitches = 6
	// someSwitches is how many are tried out where bounds have not decided after a
	// someth of all states, and someStates at most. (A bound costs several solutions,
	// and those of all states serve every question.)
	someSwitches = 14
	someth       = 16
	someStates   = 256
	// maxSwitches is how many switches may have to be known, one after another, before
	// an answer is given up as undecided.
	maxSwitches = 16
	// maxStates bounds the states that one decision looks at. In a large island each costs
	// more: then it is so many elements in all states together, and fewStates at least.
	maxStates   = 1 << 12
	maxElements = 1 << 17
	fewStates   = 32
	// maxCorners bounds the corners that one decision solves for: times the elements of their
	// part.
	maxCorners = 1 << 20
	// vainSteps is how many, times the elements, all questions that were left open in the end
	// may have looked at before others of the circuit get no more than fewStates: where that
	// many are in vain the circuit is a mesh, or its rails are at their limits, and the next
	// question fares no better.
	vainSteps = 8 * maxElements
	// fewMetal is how many states a question that asks for metal may look at after that.
	fewMetal = 256
	// leastStates is how many it may look at when the steps of Limit are spent.
	leastStates = 4
	// judgedStates is in how many states, known in part, it may be asked in vain what
	// tolerances do before that is given up where more than judgedSwitches are unknown.
	judgedStates   = 4
	judgedSwitches = 6
	// climbedStates is in how many whole states the worst case is looked for.
	climbedStates = 256
)

// errNoProgress ends a narrowing that bounds do not help.
var errNoProgress = errors.New("circuit: bounds do not decide")

// decider makes one decision.
type decider struct {
	c       *Circuit
	b       *builder
	key     decisionKey
	q       QuestionInfo
	islands []*island
	scope   []Switch // of the islands, ascending
	states  int      // looked at so far
	corners int      // elements of the parts whose corners were solved so far, in all solutions together
	vain    int      // states of which it stayed open what tolerances do
	climbs  int      // states in which the worst case was looked for
	most    int      // states that it may look at
	parted  int      // elements whose corners it may solve for
	sound   bool     // none of the conditions of Apart holds
	spent   bool     // that is less than a circuit of which nothing was asked would allow
	cut     bool     // and it was too little
	giveUp  int      // states after which narrowing ends without a decision; 0: never
	cap     int      // states that it may look at in any case; 0: no such bound
	met     bool     // it looked at as many as it may, and some answer is left open
}

func (c *Circuit) newDecider(key decisionKey) *decider {
	d := &decider{c: c, b: newBuilder(), key: key, q: c.Question(key.q)}
	for _, i := range d.q.Islands {
		d.islands = append(d.islands, c.islands[i])
		d.scope = append(d.scope, c.islands[i].Switches...)
	}
	d.allow()
	return d
}

// decide decides where something is known.
func (d *decider) decide(ctx context.Context, k *assignment) (*Decision, error) {
	switch {
	case d.q.Atom.Kind != model.AtomMeasure:
		return d.metal(ctx, k, 0)
	case d.key.over != 0:
		if d.key.over != OverAll { // what depends on nothing at all does not depend on less
			if all := d.c.decided(decisionKey{d.key.q, d.key.corner, OverAll}); all != nil && all.settled() {
				return all.under(k), nil
			}
		}
		nominal, err := d.c.Decide(ctx, d.key.q, d.key.corner)
		if err != nil {
			return nil, err
		}
		nominal = nominal.under(k)
		open := func(k *assignment) (*Decision, error) {
			if d.ways(nominal, manyWays) > manyWays {
				return d.narrow(ctx, k, 0, Undecided)
			}
			return d.along(ctx, k, 0, nominal)
		}
		if out, err := d.locally(ctx, k, Undecided, open); err != nil || out != nil {
			return out, err
		}
		return open(k)
	case k.open(d.scope) <= fewSwitches:
		return d.everyState(ctx, k)
	}
	if open := k.open(d.scope); open <= someSwitches {
		d.giveUp = d.states + min(1<<open/someth, someStates)
	}
	out, err := d.narrow(ctx, k, 0, Undecided)
	if errors.Is(err, errNoProgress) {
		return d.everyState(ctx, k)
	}
	return out, err
}

// manyWays is how many ways through the nominal decision are followed to judge it.
const manyWays = 64

// ways counts the ways through a decision, as far as most and a little beyond.
func (d *decider) ways(n *Decision, most int) int {
	if n.IsLeaf() {
		return 1
	}
	open := d.ways(n.Open, most)
	if open > most {
		return open
	}
	return open + d.ways(n.Closed, most-open)
}

// along judges along the nominal decision: what turns the nominal answer has to be
// decided on in any case, and at its leaves the answer to be held on to is known.
func (d *decider) along(ctx context.Context, k *assignment, depth int, n *Decision) (*Decision, error) {
	if n.IsLeaf() {
		return d.narrow(ctx, k, depth, n.Nominal)
	}
	w := n.Switch
	switch k.known[w] {
	case Yes:
		return d.along(ctx, k, depth, n.Closed)
	case No:
		return d.along(ctx, k, depth, n.Open)
	}
	return d.fork(k, w, func(k *assignment) (*Decision, error) {
		if k.known[w] == Yes {
			return d.along(ctx, k, depth+1, n.Closed)
		}
		return d.along(ctx, k, depth+1, n.Open)
	})
}

// fork decides on one switch.
func (d *decider) fork(k *assignment, w Switch, then func(*assignment) (*Decision, error)) (*Decision, error) {
	var sides [2]*Decision
	for s, closed := range [...]bool{false, true} {
		if n := k.with(w, closed); n != nil {
			var err error
			if sides[s], err = then(n); err != nil {
				return nil, err
			}
		}
	}
	return d.b.branch(w, sides[0], sides[1]), nil
}

// narrow decides by bounds as long as they do, and otherwise on the switch that most
// likely stands in the way. The nominal answer is Undecided where it is not known yet.
func (d *decider) narrow(ctx context.Context, k *assignment, depth int, nominal Tri) (*Decision, error) {
	return d.narrowOn(ctx, k, depth, nominal, false)
}

// narrowOn is narrow where the part that the question is about may have been tried already.
func (d *decider) narrowOn(ctx context.Context, k *assignment, depth int, nominal Tri, tried bool) (*Decision, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	d.states++
	if d.giveUp > 0 && d.states > d.giveUp {
		return nil, errNoProgress
	}
	if k.open(d.scope) == 0 {
		return d.exact(ctx, k)
	}
	if !tried {
		out, err := d.locally(ctx, k, nominal, func(k *assignment) (*Decision, error) { return d.narrowOn(ctx, k, depth, nominal, true) })
		if err != nil || out != nil {
			return out, err
		}
	}
	leaf, regions, err := d.bounded(ctx, k, nominal)
	if err != nil || leaf != nil {
		return leaf, err
	}
	w, ok := d.branchOn(k, regions)
	if !ok {
		// Nothing unknown can be in the way, so the rest of the scope is tried out.
		w = d.firstUnknown(k)
	}
	if depth >= maxSwitches || d.states >= d.most {
		if d.cap > 0 {
			return nil, errNotQuick
		}
		d.met = true
		if d.states >= d.most {
			d.stopped()
		}
		return d.b.leaf(Leaf{Answer: Undecided, Nominal: Undecided, Why: tooMany(k.open(d.scope))}), nil
	}
	return d.fork(k, w, func(k *assignment) (*Decision, error) { return d.narrow(ctx, k, depth+1, nominal) })
}

func tooMany(n int) string {
	return fmt.Sprintf("%d switches share a rail with it and the answer depends on their load", n)
}

func (d *decider) firstUnknown(k *assignment) Switch {
	for _, w := range d.scope {
		if k.known[w] == Depends {
			return w
		}
	}
	return -1
}

// state is the solution of the question's islands where all their switches are known.
// The rest of it is empty.
func (d *decider) state(ctx context.Context, k *assignment, corner Corner, keep bool) (*Solution, error) {
	s := &Solution{c: d.c, corner: corner, closed: make([]bool, len(k.known)), parts: make([]*dc.Solution, len(d.c.islands))}
	for w, t := range k.known {
		s.closed[w] = t == Yes
	}
	for _, i := range d.islands {
		var err error
		if s.parts[i.id], err = d.c.solveIsland(ctx, i, s.bits(i), corner, keep); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// exact answers where all switches of the scope are known.
func (d *decider) exact(ctx context.Context, k *assignment) (*Decision, error) {
	if d.q.Atom.Kind != model.AtomMeasure {
		return nil, fmt.Errorf("circuit: question %d is not about a measure", d.key.q)
	}
	at := func(corner Corner) (interval, error) {
		s, err := d.state(ctx, k, corner, corner == d.key.corner)
		if err != nil {
			return interval{}, err
		}
		v, err := s.signed(ctx, &d.q.Atom.Measure)
		return interval{v, v}, err
	}
	v, err := at(d.key.corner)
	if err != nil {
		return nil, err
	}
	return d.worstCase(ctx, v, scene{
		known:  k,
		at:     at,
		params: func(corner Corner) ([]ParamID, error) { return d.influences(ctx, k, corner) },
	})
}
