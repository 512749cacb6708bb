package logic

import (
	"context"
	"errors"
	"fmt"
	"math"

	"pintle/checker/engine/budget"
)

// Ref is a boolean function held by a Kernel (or Manager). Within one kernel
// two functions are equal exactly if their Refs are. The zero Ref is Never.
type Ref uint32

const (
	Never  Ref = 0 // the function that holds nowhere
	Always Ref = 1 // the function that holds everywhere
)

// Not is the complement of f. It costs nothing.
func (f Ref) Not() Ref { return f ^ 1 }

// ErrTooLarge is returned when a question needs more decision nodes than the
// caller allows. Its answer is then unknown, not negative.
var ErrTooLarge = errors.New("too large to decide within the node limit")

// ErrTooLong is returned when a question takes more new decision nodes than
// Quota allows.
var ErrTooLong = errors.New("takes more work than allowed")

// DefaultMaxNodes bounds the decision nodes alive at once: 4 million, about
// 100 MB with the tables around them.
const DefaultMaxNodes = 4 << 20

// node is one decision: on variable level, else lo (0), then hi (1). The lo
// edge is never complemented, which makes the form canonical.
type node struct {
	level  uint32
	lo, hi Ref
	next   uint32 // chain of the unique table, or of the free list
}

const terminal = ^uint32(0)

// firstSize is the size of a new kernel's tables. Most questions are about a few
// variables and need some dozen nodes, so that clearing larger tables would be most of
// their work; tables double as nodes come.
const firstSize = 1 << 6

type cached struct {
	f, g, h Ref
	op      uint32
	result  Ref
}

const (
	opNone uint32 = iota
	opAnd
	opITE
	opExists
	opAndExists
	opCofactor
	opRename // + the number of the renaming, so it must stay last
)

// Kernel is a store of reduced, ordered binary decision diagrams with
// complemented edges (Bryant 1986; Brace, Rudell, Bryant 1990) over variables
// that are numbered by their level.
//
// Errors stick: once a limit is hit or the context is done, every operation
// returns Never at once and Err says why, so that long computations read
// without an error check in every line. A result counts only while Err is nil.
//
// BenchmarkKernel holds it against rudd on the same work: about five times as
// fast there (eight queens, 18 ms to 106 ms in one run).
type Kernel struct {
	nodes    []node
	heads    []uint32 // unique table: hash to first node
	mask     uint32
	free     uint32
	live     int
	crowd    int // live nodes from which a collection is due
	maxNodes int
	quota    uint64   // nodes made from which on it is too long
	cache    []cached // results, by a hash of what they are of; as good as lost when overwritten
	recall   uint32   // mask of cache
	pins     []int32  // by node: how often it is pinned; a collection keeps those that are
	renames  [][]uint32

	ctx    context.Context // polled with every 4096th new node, and when work is counted
	tick   uint32
	budget *budget.Budget // of ctx
	owed   int64          // results worked out that the budget does not know of
	err    error
	Stats  Stats
}

// Stats counts the work of a kernel: the same input gives the same counts.
type Stats struct {
	Made        uint64 // nodes created
	Peak        int    // most nodes alive at once
	Collections int
}

// NewKernel returns a kernel that holds at most maxNodes nodes at once
// (DefaultMaxNodes if maxNodes is not positive).
func NewKernel(maxNodes int) *Kernel {
	if maxNodes <= 0 {
		maxNodes = DefaultMaxNodes
	}
	maxNodes = min(maxNodes, 1<<30)
	k := &Kernel{maxNodes: maxNodes, quota: math.MaxUint64, ctx: context.Background()}
	k.nodes = append(make([]node, 0, firstSize), node{level: terminal})
	k.resize(firstSize)
	k.setCrowd()
	return k
}

// Watch makes the kernel look at ctx while it works; a done ctx becomes Err.
// Its budget pays for the work.
func (k *Kernel) Watch(ctx context.Context) {
	k.pay()
	k.ctx, k.budget = ctx, budget.From(ctx)
}

// payment is how many results are worked out before the budget hears of them.
const payment = 1 << 10

func (k *Kernel) pay() {
	k.budget.Spend(budget.Diagrams, k.owed)
	k.owed = 0
}

// Err tells why results no longer count: ErrTooLarge or the context's error,
// wrapped; nil while all is well.
func (k *Kernel) Err() error { return k.err }

// Quota lets n more nodes be made before ErrTooLong; it returns how many were
// left of the last quota. The bound is on work, not on time: the same question
// ends the same way on any machine.
func (k *Kernel) Quota(n uint64) (left uint64) {
	left = k.quota - min(k.quota, k.Stats.Made)
	k.quota = k.Stats.Made + min(n, math.MaxUint64-k.Stats.Made)
	return left
}

// Recover clears Err, so that a further, smaller question can be asked. What
// was computed before the error still counts, nothing computed after it does.
func (k *Kernel) Recover() { k.err = nil }

// Size counts the nodes alive.
func (k *Kernel) Size() int { return k.live }

func (k *Kernel) resize(size int) {
	k.heads = make([]uint32, size)
	k.mask = uint32(size - 1)
	for i := 1; i < len(k.nodes); i++ {
		n := &k.nodes[i]
		if n.level == terminal {
			continue
		}
		h := hash3(uint32(n.level), uint32(n.lo), uint32(n.hi)) & k.mask
		n.next, k.heads[h] = k.heads[h], uint32(i)
	}
	// A small cache is overwritten too often for its size to be saved.
	size = max(size, min(2*size, 1<<12))
	k.cache = make([]cached, size)
	k.recall = uint32(size - 1)
}

func hash3(a, b, c uint32) uint32 {
	x := (uint64(a)*0x9E3779B97F4A7C15 ^ uint64(b)) * 0xBF58476D1CE4E5B9
	x = (x ^ x>>29 ^ uint64(c)) * 0x94D049BB133111EB
	return uint32(x >> 32)
}

// mk returns the node (level, lo, hi), reduced and shared.
func (k *Kernel) mk(level uint32, lo, hi Ref) Ref {
	if lo == hi {
		return lo
	}
	flip := lo & 1
	lo, hi = lo^flip, hi^flip
	h := hash3(level, uint32(lo), uint32(hi)) & k.mask
	for i := k.heads[h]; i != 0; i = k.nodes[i].next {
		n := &k.nodes[i]
		if n.level == level && n.lo == lo && n.hi == hi {
			return Ref(i<<1) | flip
		}
	}
	if k.err != nil {
		return Never
	}
	if k.live >= k.maxNodes {
		k.err = fmt.Errorf("%w of %d", ErrTooLarge, k.maxNodes)
		return Never
	}
	if k.Stats.Made >= k.quota {
		k.err = ErrTooLong
		return Never
	}
	if k.tick++; k.tick&0xFFF == 0 {
		if err := k.ctx.Err(); err != nil {
			k.err = err
			return Never
		}
	}
	i := k.free
	if i != 0 {
		k.free = k.nodes[i].next
	} else {
		i = uint32(len(k.nodes))
		k.nodes = append(k.nodes, node{})
	}
	k.nodes[i] = node{level: level, lo: lo, hi: hi, next: k.heads[h]}
	k.heads[h] = i
	k.live++
	k.Stats.Made++
	k.Stats.Peak = max(k.Stats.Peak, k.live)
	if k.live > len(k.heads) {
		k.resize(2 * len(k.heads))
	}
	return Ref(i<<1) | flip
}

func (k *Kernel) level(f Ref) uint32 { return k.nodes[f>>1].level }

// branch returns the two halves of f at level, which is at or above f's own.
func (k *Kernel) branch(f Ref, level uint32) (lo, hi Ref) {
	n := &k.nodes[f>>1]
	if n.level != level {
		return f, f
	}
	return n.lo ^ f&1, n.hi ^ f&1
}

func (k *Kernel) lookup(op uint32, f, g, h Ref) (*cached, bool) {
	c := &k.cache[hash3(uint32(f)^op<<24, uint32(g), uint32(h))&k.recall]
	return c, c.op == op && c.f == f && c.g == g && c.h == h
}

// store files a result; the entry is looked up again because the table may
// have grown meanwhile. Nothing that was computed after an error is kept.
func (k *Kernel) store(op uint32, f, g, h, result Ref) Ref {
	if k.err == nil {
		c := &k.cache[hash3(uint32(f)^op<<24, uint32(g), uint32(h))&k.recall]
		*c = cached{f: f, g: g, h: h, op: op, result: result}
		if k.owed++; k.owed >= payment {
			k.pay()
			k.err = k.ctx.Err()
		}
	}
	return result
}

// Pin keeps f alive through every collection, until as many Unpins.
func (k *Kernel) Pin(f Ref) Ref {
	i := int(f >> 1)
	if i >= len(k.pins) {
		k.pins = append(k.pins, make([]int32, len(k.nodes)-len(k.pins))...)
	}
	k.pins[i]++
	return f
}

// Unpin takes one Pin back.
func (k *Kernel) Unpin(f Ref) {
	if i := int(f >> 1); i < len(k.pins) && k.pins[i] > 0 {
		k.pins[i]--
	}
}

// Crowded reports whether a collection is worth its while: there are several
// times as many nodes as were left by the last one, or few are left to make.
func (k *Kernel) Crowded() bool { return k.live > k.crowd }

// setCrowd says when the next collection is due, with live nodes now.
func (k *Kernel) setCrowd() {
	k.crowd = max(1<<19, 4*k.live)
	if k.crowd > k.maxNodes/2 {
		k.crowd = max(k.maxNodes/2, k.live+(k.maxNodes-k.live)/2)
	}
}

// Collect frees every node that neither a pinned function nor one of live
// needs. All other Refs that the caller still holds become meaningless.
func (k *Kernel) Collect(live ...Ref) {
	keep := make([]bool, len(k.nodes))
	var stack []uint32
	push := func(i uint32) {
		if i != 0 && !keep[i] {
			keep[i] = true
			stack = append(stack, i)
		}
	}
	for i, n := range k.pins {
		if n > 0 {
			push(uint32(i))
		}
	}
	for _, f := range live {
		push(uint32(f >> 1))
	}
	for len(stack) > 0 {
		n := k.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		push(uint32(n.lo >> 1))
		push(uint32(n.hi >> 1))
	}
	k.free, k.live = 0, 0
	clear(k.heads)
	clear(k.cache)
	for i := len(k.nodes) - 1; i > 0; i-- {
		n := &k.nodes[i]
		if !keep[i] {
			*n = node{level: terminal, next: k.free}
			k.free = uint32(i)
			continue
		}
		h := hash3(n.level, uint32(n.lo), uint32(n.hi)) & k.mask
		n.next, k.heads[h] = k.heads[h], uint32(i)
		k.live++
	}
	k.Stats.Collections++
	k.setCrowd()
}
