package dc

import (
	"encoding/binary"
	"sync"
	"sync/atomic"
)

// key names a switch state with a set of values. Up to 64 switches need no string.
type key struct {
	values uint32
	first  uint64
	more   string
}

// keyOf reads exactly the words that switches need, so that sets of equal members
// have equal keys however long their slices are.
func keyOf(closed Bits, switches int, values uint32) key {
	k := key{values: values}
	if len(closed) > 0 {
		k.first = closed[0]
	}
	if switches > 64 {
		words := make([]byte, 0, (switches+63)/64*8-8)
		for i := 1; i < (switches+63)/64; i++ {
			word := uint64(0)
			if i < len(closed) {
				word = closed[i]
			}
			words = binary.LittleEndian.AppendUint64(words, word)
		}
		k.more = string(words)
	}
	return k
}

type table struct {
	mu    sync.RWMutex
	known map[key]*Solution
}

func (t *table) find(k key) (*Solution, bool) {
	t.mu.RLock()
	defer t.mu.RUnlock()
	s, ok := t.known[k]
	return s, ok
}

// keep stores a solution, or returns the one that another goroutine stored meanwhile.
func (t *table) keep(k key, s *Solution) *Solution {
	t.mu.Lock()
	defer t.mu.Unlock()
	if old, ok := t.known[k]; ok {
		return old
	}
	if t.known == nil {
		t.known = map[key]*Solution{}
	}
	t.known[k] = s
	return s
}

// Forget drops all remembered solutions. Those already handed out stay valid.
func (c *Compiled) Forget() {
	c.table.mu.Lock()
	defer c.table.mu.Unlock()
	c.table.known = nil
}

type work struct{ solves, pivots, hits atomic.Uint64 }

// Stats counts the work done since Compile.
type Stats struct {
	Solves uint64 // networks solved
	Pivots uint64 // eliminations in them: one, and one for each change of diode states
	Hits   uint64 // answers from the table
	Known  int    // solutions in the table now
}

// Stats returns the counters.
func (c *Compiled) Stats() Stats {
	c.table.mu.RLock()
	defer c.table.mu.RUnlock()
	return Stats{
		Solves: c.work.solves.Load(),
		Pivots: c.work.pivots.Load(),
		Hits:   c.work.hits.Load(),
		Known:  len(c.table.known),
	}
}
