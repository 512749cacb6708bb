package oracle_test

import (
	"slices"
	"strings"
)

// fault is a single fault: its words, and what it does to what conducts and flows.
type fault struct {
	words string
	open  []*element // that then never conduct
	made  []*element // that then always conduct
	joins *element   // metal that is then there besides; nil: none
	// flow is the name of a passage or hose, how what becomes of it.
	flow, how string
	loose     []string // ports that are then open to air
}

const short = 1e-3 // ohms of the metal that a fault joins

// failing collects what can fail, by the words of the reference.
type failing struct {
	word     string // wire, coil, load, resistor, diode, fuse, contact, driver
	name     string
	elements []*element // of a contact: for a changeover the resting throw and then the working one
}

func (d *drawing) fails(word, name string, elements ...*element) {
	d.failing = append(d.failing, failing{word, name, elements})
}

// faults lists the single faults of a design.
func (d *drawing) faults() []fault {
	var out []fault
	for _, f := range d.failing {
		e := f.elements[0]
		add := func(words string, x fault) {
			x.words = f.name + " " + words
			out = append(out, x)
		}
		shorts := func(words string, to int) {
			end := e.a
			if d.always(end, to, e) {
				end = e.b
			}
			if !d.always(end, to, nil) {
				add(words, fault{joins: &element{a: to, b: end, ohm: short, metal: true}})
			}
		}
		switch f.word {
		case "wire":
			add("broken", fault{open: f.elements})
			shorts("shorted to ground", 0)
			shorts("shorted to a feed", d.net.node("battery.stud"))
		case "coil", "load", "resistor", "diode":
			add("broken", fault{open: f.elements})
			add("shorted", fault{open: f.elements, joins: &element{a: e.a, b: e.b, ohm: short, metal: true}})
			shorts("shorted to ground", 0)
			shorts("shorted to a feed", d.net.node("battery.stud"))
		case "connector":
			add("off", fault{open: f.elements})
		case "fuse":
			add("blown", fault{open: f.elements})
		case "contact":
			if len(f.elements) == 2 {
				add("welded", fault{open: f.elements[:1], made: f.elements[1:]})
				add("stuck open", fault{made: f.elements[:1], open: f.elements[1:]})
				continue
			}
			add("welded", fault{made: f.elements})
			add("stuck open", fault{open: f.elements})
		case "driver":
			add("stuck on", fault{made: f.elements})
			add("stuck off", fault{open: f.elements})
		case "sender":
			add("silent", fault{how: "silent"})
		}
	}
	for _, f := range d.flows {
		switch {
		case f.hose:
			out = append(out, fault{words: f.name + " off", flow: f.name, how: "shut", loose: []string{f.a, f.b}})
		case f.is != nil:
			out = append(out, fault{words: f.name + " stuck open", flow: f.name, how: "open"}, fault{words: f.name + " stuck shut", flow: f.name, how: "shut"})
		}
	}
	return out
}

// has reports whether a fault of a kind is there in a state.
func (n *network) has(x, how string) bool { return n.fault != nil && n.fault.how == how && n.failed(x) }

// opened reports whether a fault opens a port to air.
func (n *network) opened(x, port string) bool {
	return n.fault != nil && slices.Contains(n.fault.loose, port) && n.failed(x)
}

// passes reports whether a passage or hose is open.
func (n *network) passes(x string, f flow) bool {
	if n.fault != nil && n.fault.flow == f.name && f.name != "" && n.failed(x) {
		return n.fault.how == "open"
	}
	return f.is == nil || f.is(x)
}

// always reports which nodes are joined by metal in every state, other than by one element.
func (d *drawing) always(a, b int, but *element) bool {
	seen := map[int]bool{a: true}
	for queue := []int{a}; len(queue) > 0; queue = queue[1:] {
		for _, e := range d.net.elements {
			if !e.metal || e.valve || e.is != nil && !e.fuse || e == but {
				continue
			}
			for _, w := range [][2]int{{e.a, e.b}, {e.b, e.a}} {
				if w[0] == queue[0] && !seen[w[1]] {
					seen[w[1]] = true
					queue = append(queue, w[1])
				}
			}
		}
	}
	return seen[b]
}

// afflict lets a fault come at any time, or from the start.
func (d *drawing) afflict(f *fault, from bool) (mend func()) {
	if b := d.box; b != nil && b.open > 0 && strings.HasPrefix(f.words, "Wsignal shorted") {
		v := d.vars[b.open]
		v.starts = nil
		for i := range v.size {
			v.starts = append(v.starts, i)
		}
	}
	v := d.vars[d.failure]
	v.starts = []int{0, 1}
	if from {
		v.starts = []int{1}
	}
	n := d.net
	n.fault, n.failed = f, func(x string) bool { return x[d.failure] == 1 }
	count := len(n.elements)
	if f.joins != nil {
		f.joins.is = n.failed
		n.elements = append(n.elements, f.joins)
	}
	n.solved, n.calm, n.rivals = map[string]*solution{}, map[string]*solution{}, map[rivalry]bool{}
	return func() {
		n.elements, n.rivals = n.elements[:count], map[rivalry]bool{}
		n.fault, n.solved, n.calm = nil, map[string]*solution{}, map[string]*solution{}
		v.starts = []int{2}
		if d.box != nil && d.box.open > 0 {
			d.vars[d.box.open].starts = []int{0}
		}
	}
}

// stands is whether a contact or driver stands made or on: as what moves it says, unless a
// fault holds it.
func (n *network) stands(e *element, moved func(x string) bool) func(x string) bool {
	return func(x string) bool {
		if n.fault != nil && n.failed(x) {
			return n.fault.conducts(e, moved(x))
		}
		return moved(x)
	}
}

// conducts reports what a fault makes of an element.
func (f *fault) conducts(e *element, was bool) bool {
	switch {
	case f == nil:
		return was
	case slices.Contains(f.open, e):
		return false
	case slices.Contains(f.made, e):
		return true
	}
	return was
}

// burns reports whether what a fault joins shorts a supply: metal from its plus to its minus
// through what is joined.
func (s *solution) burns(f *fault) bool {
	via := slices.Clone(f.made)
	if f.joins != nil {
		via = append(via, f.joins)
	}
	for i, e := range s.net.elements {
		if !s.in[i] || !e.plus {
			continue
		}
		for k, j := range s.net.elements {
			if !s.in[k] || !slices.Contains(via, j) {
				continue
			}
			for _, w := range [][2]int{{j.a, j.b}, {j.b, j.a}} {
				if s.metal(e.b, w[0], e.a) && s.metal(w[1], e.a, e.b) {
					return true
				}
			}
		}
	}
	return false
}

// metal joins two nodes without passing a third.
func (s *solution) metal(from, to, not int) bool {
	if from == not || to == not {
		return from == to
	}
	seen := map[int]bool{from: true, not: true}
	for queue := []int{from}; len(queue) > 0; queue = queue[1:] {
		if queue[0] == to {
			return true
		}
		for i, e := range s.net.elements {
			if !s.in[i] || !e.metal {
				continue
			}
			for _, w := range [][2]int{{e.a, e.b}, {e.b, e.a}} {
				if w[0] == queue[0] && !seen[w[1]] && (!e.valve || w[0] == e.a) {
					seen[w[1]] = true
					queue = append(queue, w[1])
				}
			}
		}
	}
	return false
}
