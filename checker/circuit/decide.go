package circuit

import (
	"context"
	"fmt"
	"sync"

	"pintle/checker/circuit/dc"
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
	d, err := c.newDecider(key).decide(ctx)
	if err == nil {
		e.d = d
	}
	return d, err
}

// maxSwitches is how many unknown switches are tried out in all their states before
// a question is given up as undecided.
const maxSwitches = 16

type decider struct {
	c       *Circuit
	b       *builder
	key     decisionKey
	q       QuestionInfo
	scope   []Switch // of the question's islands, ascending
	leaves  int
	workers []*island
}

func (c *Circuit) newDecider(key decisionKey) *decider {
	d := &decider{c: c, b: newBuilder(), key: key, q: c.Question(key.q)}
	for _, i := range d.q.Islands {
		d.workers = append(d.workers, c.islands[i])
		d.scope = append(d.scope, c.islands[i].Switches...)
	}
	return d
}

func (d *decider) decide(ctx context.Context) (*Decision, error) {
	k := d.c.facts.nothing()
	if n := k.open(d.scope); n > maxSwitches {
		return d.b.leaf(Leaf{
			Answer: Undecided, Nominal: Undecided,
			Why: fmt.Sprintf("%d switches act on it together", n),
		}), nil
	}
	return d.tryAll(ctx, k, 0)
}

// tryAll decides on the switches of the scope from number i on, one after another.
func (d *decider) tryAll(ctx context.Context, k *knowledge, i int) (*Decision, error) {
	for i < len(d.scope) && k.known[d.scope[i]] != Depends {
		i++
	}
	if i == len(d.scope) {
		return d.exact(ctx, k)
	}
	var sides [2]*Decision
	for s, closed := range [...]bool{false, true} {
		if n := k.with(d.scope[i], closed); n != nil {
			var err error
			if sides[s], err = d.tryAll(ctx, n, i+1); err != nil {
				return nil, err
			}
		}
	}
	return d.b.branch(d.scope[i], sides[0], sides[1]), nil
}

// exact answers where all switches of the scope are known.
func (d *decider) exact(ctx context.Context, k *knowledge) (*Decision, error) {
	s := &Solution{c: d.c, corner: d.key.corner, closed: make([]bool, len(k.known)), parts: make([]*dc.Solution, len(d.c.islands))}
	for w, t := range k.known {
		s.closed[w] = t == Yes
	}
	for _, i := range d.workers {
		var err error
		if s.parts[i.id], err = d.c.solveIsland(ctx, i, s.bits(i), d.key.corner, true); err != nil {
			return nil, err
		}
	}
	yes, err := s.Answer(ctx, d.key.q)
	if err != nil {
		return nil, err
	}
	return d.b.leaf(Leaf{Answer: triOf(yes), Nominal: triOf(yes)}), nil
}
