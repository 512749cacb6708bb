package extremes

import (
	"slices"

	"pintle/checker/engine/circuit/dc"
)

// What of a network acts on a reading, made small.
//
// A box has as many vertices as open resistances allow, so that few of them is what counts.
// Nothing is read of most nodes, and there the textbook rules hold, each of them exact:
//
//   - a branch between two nodes whose potentials are given acts on no other, nor does what is
//     joined to the reading through such nodes only;
//   - what ends at a node where nothing else does carries no current;
//   - of branches in series only the sum of their resistances acts on the rest, of plain
//     resistances side by side only the sum of their conductances. As each lies anywhere within
//     its interval by itself, so does the sum.

// tiny is what is left of a resistance that another one of its series has taken over, in ohm.
const tiny = dc.MinOhm

// edge is a series of branches, or several such side by side.
type edge struct {
	a, b     dc.Node
	carrier  int   // the branch that has the resistance of them all; -1: none may have it
	branches []int // all of them
	plain    bool  // resistances and nothing else, and no current in it is read
	stiff    bool  // its resistance is open and can't be put elsewhere
	gone     bool
}

// reduction takes branches out of a box, and moves their resistances.
type reduction struct {
	edges []edge
	at    [][]int // per node: edges that end there; those that are gone are left in
	keep  []bool  // per node: its potential is given, or it is read
	ohm   []Interval
}

// manyOpen is how many resistances have to be open for it to pay to make a network small.
const manyOpen = 2

// reduce returns the branches of those in that act on a reading, with their resistances.
func (p *Part) reduce(in []int, ohm, volt []Interval, r Reading) ([]int, []Interval) {
	open := 0
	for _, i := range in {
		if ohm[i].Lo != ohm[i].Hi {
			open++
		}
	}
	if open <= manyOpen {
		return in, ohm
	}
	x := &reduction{at: make([][]int, p.nodes), keep: make([]bool, p.nodes), ohm: slices.Clone(ohm)}
	x.keep[p.zero] = true
	for _, t := range p.ends {
		x.keep[t] = true
	}
	acting, read := p.acting(in, x.keep, r)
	if r.Terms == nil {
		x.keep[r.Plus], x.keep[r.Minus] = true, true
	}
	for _, i := range acting {
		b := &p.branches[i]
		valve := b.Kind == dc.Diode || b.OneWay
		e := edge{a: b.A, b: b.B, carrier: i, branches: []int{i}}
		e.plain = b.Kind == dc.Resistor && volt[i] == Interval{} && !read[i]
		if valve {
			e.carrier, e.stiff = -1, ohm[i].Lo != ohm[i].Hi
		}
		n := len(x.edges)
		x.edges = append(x.edges, e)
		x.at[e.a], x.at[e.b] = append(x.at[e.a], n), append(x.at[e.b], n)
	}
	x.run()
	var out []int
	for i := range x.edges {
		if !x.edges[i].gone {
			out = append(out, x.edges[i].branches...)
		}
	}
	slices.Sort(out)
	return out, x.ohm
}

// acting lists the branches that are joined to a reading without a node of given potential
// between, and says of each branch whether its current is read.
func (p *Part) acting(in []int, fixed []bool, r Reading) (out []int, read []bool) {
	at := make([][]int, p.nodes)
	for _, i := range in {
		at[p.branches[i].A], at[p.branches[i].B] = append(at[p.branches[i].A], i), append(at[p.branches[i].B], i)
	}
	taken, seen := make([]bool, len(p.branches)), make([]bool, p.nodes)
	read = make([]bool, len(p.branches))
	var queue []dc.Node
	enter := func(n dc.Node) {
		if !fixed[n] && !seen[n] {
			seen[n] = true
			queue = append(queue, n)
		}
	}
	take := func(i int) {
		taken[i] = true
		enter(p.branches[i].A)
		enter(p.branches[i].B)
	}
	if r.Terms == nil {
		enter(r.Plus)
		enter(r.Minus)
	}
	for _, t := range r.Terms {
		read[t.Branch] = true
		if slices.Contains(in, t.Branch) {
			take(t.Branch)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for _, i := range at[queue[0]] {
			take(i)
		}
	}
	for _, i := range in {
		if taken[i] {
			out = append(out, i)
		}
	}
	return out, read
}

// run applies the rules until none applies.
func (x *reduction) run() {
	for again := true; again; {
		again = x.beside()
		for n := range x.nodes() {
			again = x.end(n) || x.series(n) || again
		}
	}
}

// nodes yields the nodes in the order of the edges.
func (x *reduction) nodes() func(func(dc.Node) bool) {
	return func(yield func(dc.Node) bool) {
		for i := range x.edges {
			if x.edges[i].gone {
				continue
			}
			for _, n := range [...]dc.Node{x.edges[i].a, x.edges[i].b} {
				if !yield(n) {
					return
				}
			}
		}
	}
}

// here lists the edges that end at a node.
func (x *reduction) here(n dc.Node) []int {
	out := x.at[n][:0]
	for _, i := range x.at[n] {
		if e := &x.edges[i]; !e.gone && (e.a == n || e.b == n) && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	x.at[n] = out
	return out
}

// end takes away what leads nowhere.
func (x *reduction) end(n dc.Node) bool {
	here := x.here(n)
	if x.keep[n] || len(here) != 1 || x.edges[here[0]].a == x.edges[here[0]].b { // a loop has a current of its own
		return false
	}
	x.edges[here[0]].gone = true
	return true
}

// series makes one edge of two that meet where nothing else does.
func (x *reduction) series(n dc.Node) bool {
	here := x.here(n)
	if x.keep[n] || len(here) != 2 {
		return false
	}
	e, f := &x.edges[here[0]], &x.edges[here[1]]
	if e.stiff || f.stiff || e.a == e.b || f.a == f.b {
		return false
	}
	f.a, f.b = e.a+e.b-n, f.a+f.b-n
	switch {
	case f.carrier < 0:
		f.carrier = e.carrier
	case e.carrier >= 0:
		own, other := &x.ohm[f.carrier], &x.ohm[e.carrier]
		*own = Interval{own.Lo + other.Lo, own.Hi + other.Hi}
		*other = Point(tiny)
	}
	f.plain = f.plain && e.plain
	f.branches = append(f.branches, e.branches...)
	e.gone = true
	x.at[f.a] = append(x.at[f.a], here[1])
	return true
}

// beside makes one edge of plain ones between the same nodes.
func (x *reduction) beside() (some bool) {
	first := map[[2]dc.Node]int{}
	for i := range x.edges {
		e := &x.edges[i]
		if e.gone || !e.plain {
			continue
		}
		if e.a == e.b {
			e.gone, some = true, true
			continue
		}
		key := [2]dc.Node{min(e.a, e.b), max(e.a, e.b)}
		j, ok := first[key]
		if !ok {
			first[key] = i
			continue
		}
		own, other := &x.ohm[x.edges[j].carrier], x.ohm[e.carrier]
		*own = Interval{1 / (1/own.Lo + 1/other.Lo), 1 / (1/own.Hi + 1/other.Hi)}
		e.gone, some = true, true
	}
	return some
}
