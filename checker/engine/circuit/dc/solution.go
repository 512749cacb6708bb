package dc

import (
	"math"
	"slices"
)

// Solution is one solved state. It never changes and may be shared.
//
// Nodes that are joined through conducting branches form a piece. Only differences
// within a piece mean anything: each piece has its own zero, its reference, which is
// the most wanted of Network.References that lies in it, else its lowest node. A
// node that only open switches or blocking diodes touch is a piece by itself.
type Solution struct {
	c      *Compiled
	values *Values
	v      []float64 // per node, volts against the reference of its piece
	i      []float64 // per branch, amperes
	on     []bool    // per branch
	noise  float64   // amperes that may be rounding
	piece  []int32   // per node
	refs   []Node    // per piece
	tied   int       // pieces below this number hold a wanted reference
}

// Potential returns the volts of a node against the reference of its piece.
func (s *Solution) Potential(n Node) float64 { return s.v[n] }

// Current returns the amperes through a branch, positive from A to B inside it.
// It is 0 where the branch is absent or blocks.
func (s *Solution) Current(branch int) float64 { return s.i[branch] }

// Carries reports whether the current through a branch is more than rounding: more than
// 1e-14 of the largest current at hand.
func (s *Solution) Carries(branch int) bool { return math.Abs(s.i[branch]) > s.noise }

// Conducting reports whether a branch is present and, if it is a diode or a one-way
// source, carries current. Exactly at the knee, without current, it does not.
func (s *Solution) Conducting(branch int) bool { return s.on[branch] }

// Pieces returns the number of pieces.
func (s *Solution) Pieces() int { return len(s.refs) }

// Piece returns the piece that a node lies in, 0 to Pieces-1. The pieces that hold a
// wanted reference come first, in the order of those; the others follow in the order
// of their lowest nodes.
func (s *Solution) Piece(n Node) int { return int(s.piece[n]) }

// Reference returns the zero of a piece.
func (s *Solution) Reference(piece int) Node { return s.refs[piece] }

// Floating reports whether a node lies in a piece without a wanted reference.
func (s *Solution) Floating(n Node) bool { return int(s.piece[n]) >= s.tied }

// Between returns the volts of a against b. It is false where they lie in different
// pieces, so that no such voltage is defined.
func (s *Solution) Between(a, b Node) (float64, bool) {
	if s.piece[a] != s.piece[b] {
		return 0, false
	}
	return s.v[a] - s.v[b], true
}

// room makes the room that a solution of c needs.
func (s *Solution) room(c *Compiled) {
	n, b := c.net.Nodes, len(c.net.Branches)
	slab := make([]float64, n+b)
	s.c, s.v, s.i = c, slab[:n:n], slab[n:]
	s.on, s.piece = make([]bool, b), make([]int32, n)
}

// take fills a solution with what was found.
func (s *Solution) take(w *workspace, vs *Values) {
	c := s.c
	s.values = vs
	copy(s.i, w.i)
	copy(s.on, w.on)
	s.noise = w.near
	s.label()
	for v := range s.v {
		k, ref := c.plan.pos[v], c.plan.pos[s.refs[s.piece[v]]]
		s.v[v] = (w.v[k] - w.v[ref]) + (w.fine[k] - w.fine[ref])
	}
}

// label finds the pieces (union-find, the lowest node being the root) and numbers
// them.
func (s *Solution) label() {
	for v := range s.piece {
		s.piece[v] = int32(v)
	}
	pieces := len(s.piece)
	for b, on := range s.on {
		if !on {
			continue
		}
		br := &s.c.net.Branches[b]
		if unite(s.piece, int32(br.A), int32(br.B)) {
			pieces--
		}
	}
	// A root gets the number of its piece as -1-number; the rest then follow, since
	// roots are the lowest of their pieces and parents are lower than their children.
	s.refs = slices.Grow(s.refs[:0], pieces)
	name := func(r int32, ref Node) {
		s.piece[r] = -1 - int32(len(s.refs))
		s.refs = append(s.refs, ref)
	}
	for _, ref := range s.c.net.References {
		if r, ok := rootOrNamed(s.piece, int32(ref)); !ok {
			name(r, ref)
		}
	}
	s.tied = len(s.refs)
	for v := range s.piece {
		switch p := s.piece[v]; {
		case p == int32(v):
			name(p, Node(v))
		case p >= 0:
			s.piece[v] = s.piece[p]
		}
	}
	for v := range s.piece {
		s.piece[v] = -1 - s.piece[v]
	}
}

// rootOf follows parents to the root, halving the way there.
func rootOf(parent []int32, v int32) int32 {
	for parent[v] != v {
		parent[v] = parent[parent[v]]
		v = parent[v]
	}
	return v
}

// unite joins the sets of two members, the lowest staying root; false if they were
// joined already.
func unite(parent []int32, a, b int32) bool {
	a, b = rootOf(parent, a), rootOf(parent, b)
	parent[max(a, b)] = min(a, b)
	return a != b
}

// rootOrNamed follows parents; ok where the root is named already.
func rootOrNamed(parent []int32, v int32) (root int32, named bool) {
	for parent[v] >= 0 && parent[v] != v {
		v = parent[v]
	}
	return v, parent[v] < 0
}
