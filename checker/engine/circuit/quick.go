package circuit

import (
	"context"
	"errors"
)

// quickStates is how many states a question may take to be decided at once, see Quick.
const quickStates = 48

// Quick reports whether a question is decided by bounds, or next to: then Decide costs nothing
// more. Where it does not, one state of all switches often answers what is asked at a tenth of
// what a decision for all states costs.
func (c *Circuit) Quick(ctx context.Context, q QuestionID, k Corner) (bool, error) {
	key := decisionKey{q, k, 0}
	if c.decided(key) != nil {
		return true, nil
	}
	w := c.newDecider(key)
	w.cap = quickStates
	d, err := w.apart(ctx, c.facts.nothing(), c.apart)
	switch {
	case errors.Is(err, errNotQuick):
		return false, nil
	case err != nil || !d.settled():
		return false, err
	}
	c.decisions.mu.Lock()
	defer c.decisions.mu.Unlock()
	if c.decisions.known == nil {
		c.decisions.known = map[decisionKey]*deciding{}
	}
	if c.decisions.known[key] == nil {
		c.decisions.known[key] = &deciding{d: d}
	}
	return true, nil
}

// errNotQuick ends a decision that Quick has no use for.
var errNotQuick = errors.New("circuit: not decided at once")
