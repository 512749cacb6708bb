package circuit

import (
	"math"
	"slices"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// presence is what a partial choice of switches says about an element.
type presence uint8

const (
	absent  presence = iota
	maybe            // its switch is not known
	present          // it conducts
)

// side is how a node is attached.
type side uint8

const (
	inner side = iota // not by metal that is known to conduct
	low               // to the zero
	high              // to the zero through a supply that is known to be there
)

// region cuts an island, as far as its switches are known, at its rails.
//
// Rails are the nodes that known metal and known supplies attach to the zero (low
// ones without a supply between). What is left falls apart into components that
// only rails join. Nothing is approximate yet: that comes with what is said of the
// potential of rails, see bound.go.
type region struct {
	presence   []presence // per element of the island
	side       []side     // per node of the island
	component  []int32    // per node, -1 for rails
	components []component
	held       []bool // per node: it is a rail, or joined to one by what is known to conduct both ways
	dead       []bool // per element: it leads nowhere, so that it carries no current
	minor      []bool // per node, see workbench.minor; nil until asked for
}

// component is what hangs together without rails, or a single maybe element between
// two rails.
type component struct {
	elements  []int32 // positions in the island, ascending
	terminals []terminal
	unknown   bool    // some element is only maybe there
	lows      int     // terminals of that side
	highs     int     //
	emf       float64 // sum of the volts of sources in it
	push      float64 // sum of their short-circuit currents, in A
	siemens   float64 // what its high rails can give to its low ones, see draws
	drop      bool    // it holds a diode with a drop
	// still means that no current runs in it, whatever maybe elements do: it ends at
	// no more than one rail and holds no source.
	still bool
}

// terminal is a rail that a component ends at.
type terminal struct {
	node dc.Node
	// siemens bounds what the component can draw from this rail a volt: the sum of
	// the conductances of its elements that end here.
	siemens float64
}

// cut makes the region of what is known.
func (w *boundNetwork) cut(k *assignment, ohm, volt []float64) *region {
	n := len(w.s.Nodes)
	r := &region{
		presence:  make([]presence, len(w.s.Elements)),
		side:      make([]side, n),
		component: make([]int32, n),
	}
	for i, id := range w.s.Elements {
		switch s := w.c.switchOf[id]; {
		case s == always || s >= 0 && k.known[s] == Yes:
			r.presence[i] = present
		case s >= 0 && k.known[s] == Depends:
			r.presence[i] = maybe
		}
	}
	w.attach(r)
	for v := range r.component {
		r.component[v] = -1
	}
	taken := make([]bool, len(w.s.Elements)) // it is part of a component
	for v := range n {
		if r.side[v] == inner && r.component[v] < 0 {
			w.flood(r, dc.Node(v), taken)
		}
	}
	for i, b := range w.branches {
		if r.presence[i] == maybe && r.side[b.A] != inner && r.side[b.B] != inner {
			r.components = append(r.components, component{elements: []int32{int32(i)}})
		}
	}
	for i := range r.components {
		w.describe(r, &r.components[i], ohm, volt)
	}
	w.prune(r)
	w.hold(r)
	return r
}

// hold finds the nodes that are joined to rails for certain.
func (w *boundNetwork) hold(r *region) {
	r.held = make([]bool, len(w.s.Nodes))
	var queue []dc.Node
	for v, s := range r.side {
		if s != inner {
			r.held[v] = true
			queue = append(queue, dc.Node(v))
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		v := queue[0]
		for _, i := range w.at[v] {
			b := &w.branches[i]
			if to := b.A + b.B - v; r.presence[i] == present && !r.held[to] && b.Kind != dc.Diode && !b.OneWay {
				r.held[to] = true
				queue = append(queue, to)
			}
		}
	}
}

// prune finds the elements that carry no current because they are part of a still
// component, or the only one that can conduct at one of their ends.
func (w *boundNetwork) prune(r *region) {
	r.dead = make([]bool, len(w.branches))
	for _, c := range r.components {
		for _, i := range c.elements {
			r.dead[i] = c.still
		}
	}
	alone := func(v dc.Node) (int, bool) {
		last, n := -1, 0
		for _, i := range w.at[v] {
			if r.presence[i] != absent && !r.dead[i] {
				last, n = i, n+1
			}
		}
		return last, n == 1 && v != w.ref
	}
	var queue []dc.Node
	for v := range dc.Node(len(w.s.Nodes)) {
		queue = append(queue, v)
	}
	for ; len(queue) > 0; queue = queue[1:] {
		if i, ok := alone(queue[0]); ok {
			b := &w.branches[i]
			r.dead[i] = true
			queue = append(queue, b.A+b.B-queue[0])
		}
	}
}

// attach finds the rails.
func (w *boundNetwork) attach(r *region) {
	queue := []dc.Node{w.ref}
	r.side[w.ref] = low
	// Metal first, so that a node is low if it can be, unless metal shorts a supply.
	for pass := range 2 {
		for ; len(queue) > 0; queue = queue[1:] {
			v := queue[0]
			for _, i := range w.at[v] {
				b := &w.branches[i]
				to := b.A + b.B - v
				if r.presence[i] != present || r.side[to] != inner {
					continue
				}
				e := &w.c.elems[w.s.Elements[i]]
				supply := w.holds(r, i)
				switch {
				case e.Metal:
					r.side[to] = r.side[v]
				case supply && pass > 0:
					r.side[to] = high
				default:
					continue
				}
				queue = append(queue, to)
			}
		}
		if pass == 0 {
			w.divide(r)
			for v, s := range r.side {
				if s != inner {
					queue = append(queue, dc.Node(v))
				}
			}
		}
	}
}

// holds reports whether an element is a supply that is known to be there and can give and take.
func (w *boundNetwork) holds(r *region, i int) bool {
	e := &w.c.elems[w.s.Elements[i]]
	return r.presence[i] == present && e.Type == model.ElemSupply && !e.shorted && !e.OneWay
}

// divide makes rails of the plus of shorted supplies high: those that metal joins to the plus with
// less resistance than to the zero. On which side a rail is counted changes no bound's truth, and
// where all rails of a vehicle were low, hardly any bound would tell anything.
func (w *boundNetwork) divide(r *region) {
	n := len(w.s.Nodes)
	ohm := make([]float64, n)
	for v := range ohm {
		ohm[v] = math.Inf(1)
	}
	shorted := false
	ohm[w.ref] = 0
	for i := range w.branches {
		if e := &w.branches[i]; w.holds(r, i) && r.side[e.A] == low && r.side[e.B] == low && e.B != w.ref {
			ohm[e.B], r.side[e.B], shorted = 0, high, true
		}
	}
	if !shorted {
		return
	}
	done := make([]bool, n)
	for {
		v := -1
		for u := range n {
			if !done[u] && !math.IsInf(ohm[u], 0) && (v < 0 || ohm[u] < ohm[v]) {
				v = u
			}
		}
		if v < 0 {
			return
		}
		done[v] = true
		for _, i := range w.at[v] {
			e := &w.branches[i]
			to := e.A + e.B - dc.Node(v)
			if r.presence[i] != present || !w.c.elems[w.s.Elements[i]].Metal || done[to] || ohm[v]+e.Ohm >= ohm[to] {
				continue
			}
			ohm[to], r.side[to] = ohm[v]+e.Ohm, r.side[v]
		}
	}
}

// flood collects the component of a node.
func (w *boundNetwork) flood(r *region, start dc.Node, taken []bool) {
	id := int32(len(r.components))
	var c component
	r.component[start] = id
	for queue := []dc.Node{start}; len(queue) > 0; queue = queue[1:] {
		v := queue[0]
		for _, i := range w.at[v] {
			if r.presence[i] == absent || taken[i] {
				continue
			}
			taken[i] = true
			c.elements = append(c.elements, int32(i))
			b := &w.branches[i]
			if to := b.A + b.B - v; r.side[to] == inner && r.component[to] < 0 {
				r.component[to] = id
				queue = append(queue, to)
			}
		}
	}
	slices.Sort(c.elements)
	c.elements = slices.Clone(c.elements) // they are many, and kept
	r.components = append(r.components, c)
}

func (w *boundNetwork) describe(r *region, c *component, ohm, volt []float64) {
	ends := map[dc.Node]int{}
	for _, i := range c.elements {
		b := &w.branches[i]
		c.unknown = c.unknown || r.presence[i] == maybe
		switch {
		case b.Kind == dc.Source:
			c.emf += volt[i]
			c.push += volt[i] / ohm[i]
		case b.Kind == dc.Diode && volt[i] > 0:
			c.drop = true
		}
		for _, v := range [...]dc.Node{b.A, b.B} {
			if r.side[v] == inner {
				continue
			}
			t, ok := ends[v]
			if !ok {
				t = len(c.terminals)
				ends[v] = t
				c.terminals = append(c.terminals, terminal{node: v})
				if r.side[v] == low {
					c.lows++
				} else {
					c.highs++
				}
			}
			c.terminals[t].siemens += 1 / ohm[i]
		}
	}
	c.still = len(c.terminals) <= 1 && c.emf == 0
}
