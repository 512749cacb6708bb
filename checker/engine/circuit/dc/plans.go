package dc

import (
	"encoding/binary"
	"sync"
)

// Plans that were made, by the ends of all branches: a plan depends on nothing else and does
// not change. Bounds of rails, parts of islands and designs with one fault more solve networks
// of few shapes again and again, and to order the elimination costs more than to solve a small
// one.
var plans planCache

// planCache forgets the plans that were not asked for since it last forgot some.
type planCache struct {
	mu            sync.Mutex
	known, before map[string]*plan
	size          int // numbers held by what is known
}

// maxPlans is how many numbers the plans in a planCache hold before it forgets: 16 MiB.
const maxPlans = 1 << 22

// of is newPlan, remembered.
func (c *planCache) of(nodes int, branches []Branch) (*plan, error) {
	name := binary.AppendUvarint(make([]byte, 0, 4*len(branches)+4), uint64(nodes))
	for _, b := range branches {
		name = binary.AppendUvarint(binary.AppendUvarint(name, uint64(b.A)), uint64(b.B))
	}
	c.mu.Lock()
	p := c.known[string(name)]
	if p == nil {
		if p = c.before[string(name)]; p != nil {
			c.enter(name, p)
		}
	}
	c.mu.Unlock()
	if p != nil {
		return p, nil
	}
	p, err := newPlan(nodes, branches)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.enter(name, p)
	return p, nil
}

func (c *planCache) enter(name []byte, p *plan) {
	if c.known == nil || c.size >= maxPlans {
		c.known, c.before, c.size = map[string]*plan{}, c.known, 0
	}
	c.known[string(name)] = p
	c.size += len(p.pos) + len(p.start) + len(p.row) + len(p.pairs) + len(p.into) + len(name)/4
}
