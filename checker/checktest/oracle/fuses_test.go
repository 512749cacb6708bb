package oracle_test

import (
	"math"
	"slices"
)

// fuse is a fuse that opens.
type fuse struct {
	e      *element
	rating float64
	v      int // the variable that reports whether it has blown
}

// bites reports whether a fault shorts a supply.
func (n *network) bites(x string) bool {
	return n.fault != nil && n.failed(x) && (x[n.burnt] == 1 || n.whole(x).burns(n.fault))
}

// opening lists the fuses of which one opens next, whichever: from twice its rating on, each but
// for those of which another one in a current path with it carries 1.6 times the multiple.
func (n *network) opening(x string) (out []int) {
	if n.solid || x[n.burnt] == 1 {
		return nil
	}
	s := n.whole(x)
	times := make([]float64, len(n.fuses))
	for i, f := range n.fuses {
		k := slices.Index(n.elements, f.e)
		if s.in[k] {
			times[i] = math.Abs(s.amps[k]) / f.rating
		}
		if times[i] > 1.7 && times[i] < 2.4 {
			panic(tie{})
		}
	}
	for i, t := range times {
		most := t
		for j := range times {
			if times[j] > most && n.series(x, n.fuses[i].e, n.fuses[j].e) {
				most = times[j]
			}
		}
		switch {
		case t < 2:
			continue
		case t*1.5 < most && most < t*2:
			panic(tie{})
		case t*1.6 > most:
			out = append(out, i)
		}
	}
	return out
}

// series reports whether some path from the plus of a supply to its minus leads through two
// fuses, with every switch closed: by walking all paths.
func (n *network) series(x string, i, j *element) bool {
	failed := n.fault != nil && n.failed(x)
	key := rivalry{i, j, failed}
	if out, ok := n.rivals[key]; ok {
		return out
	}
	next := make([]map[int]bool, len(n.names)) // by other elements
	for k := range next {
		next[k] = map[int]bool{}
	}
	for _, e := range n.elements {
		if e != i && e != j && e.a != e.b && !e.plus && !(failed && !n.fault.conducts(e, true)) && !(n.fault != nil && e == n.fault.joins && !failed) {
			next[e.a][e.b], next[e.b][e.a] = true, true
		}
	}
	for _, e := range n.elements { // other supplies, too, but no path leads through its own
		if e.plus {
			next[e.a][e.b], next[e.b][e.a] = true, true
		}
	}
	steps := 0
	var walk func(at, to int, seen map[int]bool, met int) bool
	walk = func(at, to int, seen map[int]bool, met int) bool {
		if at == to {
			return met == 2
		}
		if steps++; steps > 100000 {
			panic(tie{})
		}
		seen[at] = true
		defer delete(seen, at)
		for _, e := range [...]*element{i, j} {
			for _, w := range [][2]int{{e.a, e.b}, {e.b, e.a}} {
				if w[0] == at && !seen[w[1]] && walk(w[1], to, seen, met+1) {
					return true
				}
			}
		}
		for to2 := range next[at] {
			if !seen[to2] && walk(to2, to, seen, met) {
				return true
			}
		}
		return false
	}
	out := slices.ContainsFunc(n.elements, func(e *element) bool { return e.plus && walk(e.b, e.a, map[int]bool{}, 0) })
	n.rivals[key] = out
	return out
}

// rivalry is of two fuses, with a fault or without.
type rivalry struct {
	i, j   *element
	failed bool
}

// protect adds a fuse that opens.
func (d *drawing) protect(name string, e *element, rating float64) {
	n := d.net
	v := variable{name: name, sort: hardware, size: 2, starts: []int{0}}
	k := len(n.fuses)
	v.due = func(x string) []int {
		if slices.Contains(n.opening(x), k) {
			return []int{1}
		}
		return nil
	}
	v.patient = func(x string) bool { return n.solid || !n.bites(x) }
	at := d.add(v)
	n.fuses = append(n.fuses, fuse{e, rating, at})
	e.fuse, e.is = true, func(x string) bool { return x[at] == 0 }
	d.contacts = append(d.contacts, named{name, "blown", "", func(x string) bool {
		return x[at] == 1 || n.fault != nil && n.failed(x) && n.fault.words == name+" blown"
	}, false})
}

// burns adds what follows from a short that no fuse opens.
func (d *drawing) burns() {
	n := d.net
	n.burnt = d.add(variable{name: "burnt", sort: hardware, size: 2, starts: []int{0}, due: func(x string) []int {
		if !n.solid && !n.rides && n.bites(x) && len(n.opening(x)) == 0 {
			return []int{1}
		}
		return nil
	}})
}
