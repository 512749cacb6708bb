package oracle_test

import (
	"math"
	"slices"
)

// network is a direct-current network, solved with dense matrices: node 0 is ground.
type network struct {
	names    map[string]int
	elements []*element
	solved   map[string]*solution
	corner   []float64 // of each open value where it stands: 0 its lower end, 1 its upper; nil: nominal
	open     int       // how many open values there are
	fault    *fault    // that may have come
	failed   func(x string) bool
	fuses    []fuse
	rivals   map[rivalry]bool     // of which two fuses it is known whether they are in series
	calm     map[string]*solution // at nominal values, whatever the corner
	burnt    int                  // the variable that tells that something has burnt
	solid    bool                 // no fuse blows and no wire burns
	rides    bool                 // nothing burns: a short is what it is
	driven   bool                 // one run: what is open has no value
}

type element struct {
	name string
	a, b int
	ohm  float64
	volt float64 // drives from a to b
	// valve lets current through from a to b only.
	valve bool
	metal bool // for live and grounded: a current may run, one way only if it is a valve
	plus  bool // b is the plus of a supply
	fuse  bool // it conducts until it has blown
	is    func(x string) bool
	// spread bounds an open value, of the volts of a supply or the ohms of anything else.
	spread *spread
}

type spread struct {
	index  int
	lo, hi float64
}

func newNetwork(ground string) *network {
	return &network{names: map[string]int{ground: 0}, rivals: map[rivalry]bool{}, solved: map[string]*solution{}, calm: map[string]*solution{}}
}

func (n *network) node(name string) int {
	k, ok := n.names[name]
	if !ok {
		k = len(n.names)
		n.names[name] = k
	}
	return k
}

// leaves is the node at which a wire begins that is written from a place: of the way of a
// connector that is its other half.
func (n *network) leaves(place string) int {
	if k, ok := n.names[place+beyond]; ok {
		return k
	}
	return n.node(place)
}

// beyond is the other half of a connector's way.
const beyond = " beyond"

func (n *network) add(e element) *element {
	n.elements = append(n.elements, &e)
	return &e
}

// mostOpen bounds the open values of a design, since all their combinations are looked at.
const mostOpen = 4

// spread opens a value, if there are not too many yet.
func (n *network) spread(lo, hi float64) *spread {
	if n.open == mostOpen {
		return nil
	}
	n.open++
	return &spread{n.open - 1, lo, hi}
}

// solution of the elements that conduct in a state.
type solution struct {
	net  *network
	in   []bool
	on   []bool // in, and a valve that is not shut
	volt []float64
	amps []float64
	memo map[asked]float64 // what has been asked of it
}

type asked struct {
	what byte
	a, b int
}

// once asks only what has not been asked before.
func (s *solution) once(what byte, a, b int, f func() float64) float64 {
	k := asked{what, a, b}
	x, ok := s.memo[k]
	if !ok {
		x = f()
		s.memo[k] = x
	}
	return x
}

func (s *solution) whether(what byte, a, b int, f func() bool) bool {
	return s.once(what, a, b, func() float64 {
		if f() {
			return 1
		}
		return 0
	}) == 1
}

func (n *network) values(e *element) (ohm, volt float64) {
	ohm, volt = e.ohm, e.volt
	if e.spread == nil || n.corner == nil {
		return ohm, volt
	}
	x := e.spread.lo + (e.spread.hi-e.spread.lo)*n.corner[e.spread.index]
	if e.volt != 0 {
		return ohm, x
	}
	return x, volt
}

// key reports which elements conduct in a state, with what a fault makes of them or without.
func (n *network) key(x string, failed bool) string {
	key := make([]byte, len(n.elements))
	for i, e := range n.elements {
		key[i] = '0'
		is := e.is == nil || e.is(x)
		if failed {
			is = n.fault.conducts(e, is)
		} else if n.fault != nil && e == n.fault.joins {
			is = false
		}
		if is {
			key[i] = '1'
		}
	}
	return string(key)
}

// at solves the network in a state. A short that a fault makes does not bite: a fuse opens
// first, or what follows from it is not told.
func (n *network) at(x string) *solution {
	failed := n.fault != nil && n.failed(x)
	if failed && n.bites(x) && !n.solid && !(n.rides && len(n.opening(x)) == 0) {
		failed = n.fault.joins == nil && n.fault.made == nil
	}
	return n.of(n.solved, n.key(x, failed))
}

// of solves what has not been solved yet.
func (n *network) of(solved map[string]*solution, key string) *solution {
	s := solved[key]
	if s == nil {
		s = n.solve([]byte(key))
		solved[key] = s
	}
	return s
}

// whole is the solution with everything nominal and the fault biting, if it is there.
func (n *network) whole(x string) *solution {
	corner := n.corner
	n.corner = nil
	defer func() { n.corner = corner }()
	return n.of(n.calm, n.key(x, n.fault != nil && n.failed(x)))
}

// across is what volts an element gets: a broken one has none of its own, whatever stands
// at its ends.
func (n *network) across(x string, e *element) float64 {
	if n.fault != nil && n.fault.joins == nil && n.failed(x) && !n.fault.conducts(e, true) {
		return 0
	}
	s := n.at(x)
	return s.volt[e.a] - s.volt[e.b]
}

// through is the current of element i; of a shorted one it is that of the metal in its place.
func (n *network) through(x string, i int) float64 {
	s := n.at(x)
	if f := n.fault; f != nil && f.joins != nil && slices.Contains(f.open, n.elements[i]) && n.failed(x) {
		i = slices.Index(n.elements, f.joins)
	}
	return s.amps[i]
}

func (n *network) solve(key []byte) *solution {
	s := &solution{net: n, in: make([]bool, len(key)), memo: map[asked]float64{}}
	var valves []int
	for i := range key {
		s.in[i] = key[i] == '1'
		if s.in[i] && n.elements[i].valve {
			valves = append(valves, i)
		}
	}
	for set := range 1 << len(valves) {
		conducts := append([]bool{}, s.in...)
		for k, v := range valves {
			conducts[v] = set>>k&1 == 1
		}
		n.linear(s, conducts)
		if n.consistent(s, conducts, valves) {
			s.on = conducts
			return s
		}
	}
	panic("no state of the valves fits")
}

const leak = 1e-12 // siemens from each node to ground: what is cut off reads 0 V

func (n *network) linear(s *solution, conducts []bool) {
	size := len(n.names)
	m := make([][]float64, size)
	for i := range m {
		m[i] = make([]float64, size+1)
		m[i][i] = leak
	}
	for i, e := range n.elements {
		if !conducts[i] || e.a == e.b {
			continue
		}
		ohm, volt := n.values(e)
		g := 1 / ohm
		m[e.a][e.a] += g
		m[e.b][e.b] += g
		m[e.a][e.b] -= g
		m[e.b][e.a] -= g
		m[e.a][size] -= g * volt
		m[e.b][size] += g * volt
	}
	for i := range m[0] {
		m[0][i] = 0
	}
	m[0][0] = 1
	for c := range size {
		p := c
		for r := c + 1; r < size; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		m[c], m[p] = m[p], m[c]
		for r := range size {
			if f := m[r][c] / m[c][c]; r != c && f != 0 {
				for k := c; k <= size; k++ {
					m[r][k] -= f * m[c][k]
				}
			}
		}
	}
	s.volt = make([]float64, size)
	for i := range s.volt {
		s.volt[i] = m[i][size] / m[i][i]
	}
	s.amps = make([]float64, len(n.elements))
	for i, e := range n.elements {
		if conducts[i] {
			ohm, volt := n.values(e)
			s.amps[i] = (s.volt[e.a] - s.volt[e.b] + volt) / ohm
		}
	}
}

func (n *network) consistent(s *solution, conducts []bool, valves []int) bool {
	for _, v := range valves {
		e := n.elements[v]
		_, volt := n.values(e)
		if conducts[v] && s.amps[v] < -1e-9 || !conducts[v] && s.volt[e.a]-s.volt[e.b]+volt > 1e-7 {
			return false
		}
	}
	return true
}

// reaches walks through metal, through valves the way that a current can run, but never on
// through ground.
func (s *solution) reaches(from, to int) bool {
	return s.whether('m', from, to, func() bool { return s.spread(from, to) })
}

func (s *solution) spread(from, to int) bool {
	seen := map[int]bool{from: true}
	for queue := []int{from}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if at == to {
			return true
		}
		if at == 0 && from != 0 {
			continue
		}
		for i, e := range s.net.elements {
			if !s.in[i] || !e.metal {
				continue
			}
			step := func(a, b int) {
				if a == at && !seen[b] {
					seen[b] = true
					queue = append(queue, b)
				}
			}
			step(e.a, e.b)
			if !e.valve {
				step(e.b, e.a)
			}
		}
	}
	return false
}

func (s *solution) live(node int) bool {
	for i, e := range s.net.elements {
		if s.in[i] && e.plus && s.reaches(e.b, node) {
			return true
		}
	}
	return false
}

func (s *solution) grounded(node int) bool { return s.reaches(node, 0) }

// between is the volts of a against b: where nothing joins them, what a meter shows.
func (s *solution) between(a, b int) float64 {
	return s.once('v', a, b, func() float64 { return s.metered(a, b) })
}

func (s *solution) metered(a, b int) float64 {
	if s.walks(a, b, s.on) {
		return s.volt[a] - s.volt[b]
	}
	n := s.net
	n.elements = append(n.elements, &element{a: a, b: b, ohm: 1e7})
	defer func() { n.elements = n.elements[:len(n.elements)-1] }()
	key := make([]byte, len(n.elements))
	for i := range key {
		key[i] = '1'
		if i < len(s.in) && !s.in[i] {
			key[i] = '0'
		}
	}
	m := n.solve(key)
	return m.volt[a] - m.volt[b]
}

// apart reports whether nothing that could carry a current joins two nodes.
func (s *solution) apart(a, b int) bool {
	return s.whether('a', a, b, func() bool { return !s.walks(a, b, s.in) })
}

// walks reports whether some elements join two nodes.
func (s *solution) walks(a, b int, by []bool) bool {
	seen := map[int]bool{a: true}
	for queue := []int{a}; len(queue) > 0; queue = queue[1:] {
		for i, e := range s.net.elements {
			for _, w := range [][2]int{{e.a, e.b}, {e.b, e.a}} {
				if by[i] && w[0] == queue[0] && !seen[w[1]] {
					seen[w[1]] = true
					queue = append(queue, w[1])
				}
			}
		}
	}
	return seen[b]
}
