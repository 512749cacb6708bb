package dc

import (
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

// Path returns the main way of the current through a branch: from the plus terminal
// of a source that delivers, through the branch, back to the minus terminal of that
// same source. On each side of the branch it is the way whose smallest current is
// largest, among those the one of fewest branches, then of the lowest branch numbers.
//
// Both sides exist whenever the branch carries current: every current of a network
// flows in loops, and each loop holds a source that delivers. ErrNoCurrent if it
// carries none, or none above the rounding of the largest current.
func (s *Solution) Path(branch int) (Route, error) {
	if branch < 0 || branch >= len(s.i) {
		return Route{}, fmt.Errorf("%w: branch %d of %d", ErrNoCurrent, branch, len(s.i))
	}
	if !s.Carries(branch) {
		return Route{}, fmt.Errorf("%w: branch %d", ErrNoCurrent, branch)
	}
	br := s.c.net.Branches
	if s.delivers(branch) {
		forth := s.widest(br[branch].B, false, map[Node]int{br[branch].A: branch})
		return Route{Source: branch, Branches: forth.branches}, forth.lost(branch)
	}
	plus := make(map[Node]int) // the source that delivers most, by its plus terminal
	for b := range s.i {
		if s.delivers(b) {
			if old, ok := plus[br[b].B]; !ok || s.i[b] > s.i[old]*(1+sameAmps) {
				plus[br[b].B] = b
			}
		}
	}
	tail, head := s.ends(branch)
	back := s.widest(tail, true, plus)
	if err := back.lost(branch); err != nil {
		return Route{}, err
	}
	forth := s.widest(head, false, map[Node]int{br[back.source].A: back.source})
	slices.Reverse(back.branches)
	return Route{
		Source:   back.source,
		Branches: slices.Concat(back.branches, []int{branch}, forth.branches),
	}, forth.lost(branch)
}

// delivers tells whether a branch is a source whose EMF drives its current.
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

// way is a found chain of branches and the source at its far end.
type way struct {
	source   int
	branches []int
	found    bool
}

func (w way) lost(branch int) error {
	if w.found {
		return nil
	}
	return fmt.Errorf("%w: branch %d is in no loop with a source", ErrNoCurrent, branch)
}

// widest searches from a node along the currents (against them if back) to a node of
// goals. The largest current that still leads there is found by bisection.
func (s *Solution) widest(from Node, back bool, goals map[Node]int) way {
	leaving := make([][]int, len(s.v))
	var amps []float64
	for b, i := range s.i {
		if i == 0 {
			continue
		}
		tail, head := s.ends(b)
		if back {
			tail = head
		}
		leaving[tail] = append(leaving[tail], b)
		amps = append(amps, math.Abs(i))
	}
	slices.Sort(amps)
	lo, hi := 0, len(amps) // amps[lo] leads there if anything does
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if s.shortest(from, back, goals, leaving, amps[mid]).found {
			lo = mid
		} else {
			hi = mid
		}
	}
	atLeast := 0.0
	if lo < len(amps) {
		atLeast = amps[lo] * (1 - sameAmps)
	}
	return s.shortest(from, back, goals, leaving, atLeast)
}

// shortest is a breadth-first search through branches of at least the given current.
func (s *Solution) shortest(from Node, back bool, goals map[Node]int, leaving [][]int, atLeast float64) way {
	via := make([]int, len(s.v)) // branch by which a node was reached, plus one
	queue := []Node{from}
	for ; len(queue) > 0; queue = queue[1:] {
		here := queue[0]
		if source, ok := goals[here]; ok {
			return way{source, s.trace(from, here, back, via), true}
		}
		for _, b := range leaving[here] {
			if math.Abs(s.i[b]) < atLeast {
				continue
			}
			tail, head := s.ends(b)
			if back {
				head = tail
			}
			if head != from && via[head] == 0 {
				via[head] = b + 1
				queue = append(queue, head)
			}
		}
	}
	return way{}
}

func (s *Solution) trace(from, n Node, back bool, via []int) []int {
	var out []int
	for n != from {
		b := via[n] - 1
		out = append(out, b)
		tail, head := s.ends(b)
		n = tail
		if back {
			n = head
		}
	}
	slices.Reverse(out)
	return out
}
