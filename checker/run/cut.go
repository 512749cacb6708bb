package run

import (
	"fmt"
	"sync"
)

// cut ends a check where there are more findings than anybody reads: roots that come after
// so many are not looked at. Which these are does not depend on what is done first.
type cut struct {
	mu    sync.Mutex
	most  int
	found []int // by root; -1: not done yet
	upto  int   // all roots before are done
	sum   int   // of their findings
	after int   // roots after this one are left out; len(found): none
}

func newCut(roots, most int) *cut {
	c := &cut{most: most, found: make([]int, roots), after: roots}
	for i := range c.found {
		c.found[i] = -1
	}
	return c
}

// reached reports whether a root need not be looked at.
func (c *cut) reached(i int) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return i > c.after
}

func (c *cut) done(i, findings int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.found[i] = findings
	for ; c.upto < len(c.found) && c.found[c.upto] >= 0; c.upto++ {
		if c.sum += c.found[c.upto]; c.sum > c.most && c.after == len(c.found) {
			c.after = c.upto
		}
	}
}

// apply leaves out what comes after, and says so.
func (c *cut) apply(roots []Root, results []FileResult) {
	first := c.after + 1
	if first >= len(results) {
		return
	}
	clear(results[first:])
	results[first].Failures = []Failure{{File: roots[first].Name, What: fmt.Sprintf(
		"from here on %d files were not checked: there are more than %d findings in those before", len(results)-first, c.most)}}
}
