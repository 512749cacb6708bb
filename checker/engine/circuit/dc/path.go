package dc

import (
	"cmp"
	"container/heap"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Route is the way of a current: out of the plus terminal of a source, through the
// branches in order, and back into its minus terminal.
type Route struct {
	Source   int
	Branches []int // without the source
}

// ErrNoCurrent says that a branch carries no current.
var ErrNoCurrent = errors.New("dc: no current in that branch")

// sameAmps is the relative difference below which two currents count as equal, so
// that rounding never chooses between two equal lamps.
const sameAmps = 1e-9

// Path returns the main current path through a branch: the loop that one and the
// same current runs in, from the plus terminal of a source that delivers, through the
// branch, and back to the minus terminal of that source, past no point twice. Of all
// loops through the branch it is the one whose smallest current is largest, of those the
// one whose second smallest is, and so on, then that of the lowest branch numbers. Of
// several sources on it the one that delivers most comes first, of equal ones the one
// that the current leaves last before the branch.
//
// There is a loop whenever the branch carries current: every flow that nowhere begins or
// ends is a sum of loops, and each of these holds a source that delivers, for everything
// else takes volts. ErrNoCurrent if the branch carries none, or none above the rounding
// of the largest current.
func (s *Solution) Path(branch int) (Route, error) {
	if branch < 0 || branch >= len(s.i) {
		return Route{}, fmt.Errorf("%w: branch %d of %d", ErrNoCurrent, branch, len(s.i))
	}
	if !s.Carries(branch) {
		return Route{}, fmt.Errorf("%w: branch %d", ErrNoCurrent, branch)
	}
	tail, head := s.ends(branch)
	loop := append([]int{branch}, s.widest(head, tail)...)
	first := -1
	for i := range loop { // from the branch back
		b := (len(loop) - i) % len(loop)
		if s.delivers(loop[b]) && (first < 0 || s.i[loop[b]] > s.i[loop[first]]*(1+sameAmps)) {
			first = b
		}
	}
	if first < 0 || len(loop) == 1 && tail != head {
		return Route{}, fmt.Errorf("%w: branch %d is in no loop with a source", ErrNoCurrent, branch)
	}
	return Route{Source: loop[first], Branches: slices.Concat(loop[first+1:], loop[:first])}, nil
}

// delivers reports whether a branch is a source whose EMF drives its current.
func (s *Solution) delivers(b int) bool {
	return s.c.net.Branches[b].Kind == Source && s.i[b] > s.noise && s.values.e[b] > 0
}

// ends returns the nodes that the current of a branch comes from and goes to.
func (s *Solution) ends(b int) (tail, head Node) {
	br := &s.c.net.Branches[b]
	if s.i[b] < 0 {
		return br.B, br.A
	}
	return br.A, br.B
}

// reached is a node on the search for the widest way.
type reached struct {
	node  Node
	via   int   // branch that led there
	ranks []int // of the currents on the way, ascending
}

// widest searches along the currents for the way between two nodes of which the smallest
// current is largest, then the second smallest, and so on. What is nothing but a longer
// way of the same currents comes later. It is Dijkstra's algorithm: a further branch
// never makes a way wider, and of two ways the wider one stays so with the same branch
// added to both. Nil if there is none.
func (s *Solution) widest(from, to Node) []int {
	leaving := make([][]int, len(s.v))
	for b, i := range s.i {
		if i != 0 {
			tail, _ := s.ends(b)
			leaving[tail] = append(leaving[tail], b)
		}
	}
	rank := s.ranks()
	known := make([]*reached, len(s.v))
	queue := &wideFirst{{node: from, via: -1}}
	for queue.Len() > 0 {
		here := heap.Pop(queue).(reached)
		if known[here.node] != nil {
			continue
		}
		known[here.node] = &here
		if here.node == to {
			break
		}
		for _, b := range leaving[here.node] {
			if _, head := s.ends(b); known[head] == nil {
				at, _ := slices.BinarySearch(here.ranks, rank[b])
				heap.Push(queue, reached{head, b, slices.Insert(slices.Clone(here.ranks), at, rank[b])})
			}
		}
	}
	var out []int
	for n := to; n != from; {
		if known[n] == nil {
			return nil
		}
		out = append(out, known[n].via)
		n, _ = s.ends(known[n].via)
	}
	slices.Reverse(out)
	return out
}

// ranks numbers the currents of all branches by size. Those that differ by no more than
// rounding have one rank.
func (s *Solution) ranks() []int {
	order := make([]int, len(s.i))
	for b := range order {
		order[b] = b
	}
	amps := func(b int) float64 { return math.Abs(s.i[b]) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(amps(a), amps(b)) })
	out := make([]int, len(s.i))
	for k, b := range order[1:] {
		out[b] = out[order[k]]
		if amps(b) > amps(order[k])*(1+sameAmps) {
			out[b]++
		}
	}
	return out
}

// wideFirst is a heap of ways with the widest first, among equal ones that of the lowest
// branch.
type wideFirst []reached

func (q wideFirst) Len() int      { return len(q) }
func (q wideFirst) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q wideFirst) Less(i, j int) bool {
	a, b := &q[i], &q[j]
	for k := range min(len(a.ranks), len(b.ranks)) {
		if a.ranks[k] != b.ranks[k] {
			return a.ranks[k] > b.ranks[k]
		}
	}
	if len(a.ranks) != len(b.ranks) {
		return len(a.ranks) < len(b.ranks)
	}
	return a.via < b.via
}

func (q *wideFirst) Push(x any) { *q = append(*q, x.(reached)) }
func (q *wideFirst) Pop() any {
	last := len(*q) - 1
	x := (*q)[last]
	*q = (*q)[:last]
	return x
}
