package circuit

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// workbench is an island's network in which every element can be put in or left out
// by itself, with room at every node for what stands for the unknown rest. Bounds
// are solved on it, see bound.go.
type boundNetwork struct {
	c        *Circuit
	s        *island
	branches []dc.Branch     // of the elements, in the order of the island
	at       [][]int         // per node: the elements that end there
	ref      dc.Node         // the zero: ground, else the minus of a supply
	floor    dc.Node         // a node far below everything
	span     float64         // no potential is further from the zero than this, in V
	nets     [2]*dc.Compiled // for bounding downwards and upwards

	trials [2]sync.Pool // of *trial, by the network

	mu      sync.Mutex
	draws   map[string]*draws
	stands  map[string][]uint64 // how switches can stand together, by these
	parts   map[string]*part
	figures map[figuresKey]*figures
	// known are bounds by what is known and asked for, before those of earlier.
	known, before map[string]*bounds
}

// What stands for the rest at a node, as branches between it and the floor: they take
// current away in the network for bounding downwards, and give it in the other.
const (
	toLow  = iota // while the node is beyond the outermost low rail
	toHigh        // while it is beyond the outermost high rail
	push          // always
	supply        // while the node is beyond what supplies that may be there hold it at
	extras
)

// pushVolts is the EMF behind a branch that stands for a source of current, in volts
// above the span: so far that the current hardly depends on the potential.
const pushVolts = 1e4

// floorSag is more than what thousand ampere let fall across the floor's source, in V.
const floorSag = 1000 * dc.MinOhm

// workbenchOf makes an island's workbench when it is first needed.
func (c *Circuit) workbenchOf(s *island) (*boundNetwork, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench != nil {
		return s.bench, nil
	}
	n := len(s.Nodes)
	w := &boundNetwork{
		c: c, s: s, at: make([][]int, n), floor: dc.Node(n), span: 1,
		draws: map[string]*draws{}, stands: map[string][]uint64{}, parts: map[string]*part{}, figures: map[figuresKey]*figures{}, known: map[string]*bounds{},
	}
	if refs := c.references(s); len(refs) > 0 {
		w.ref = refs[0]
	}
	for i, id := range s.Elements {
		b := c.branch(s, id)
		w.branches = append(w.branches, b)
		w.at[b.A] = append(w.at[b.A], i)
		w.at[b.B] = append(w.at[b.B], i)
		if b.Kind == dc.Source {
			w.span += c.highest(id)
		}
	}
	for i := range w.nets {
		var err error
		if w.nets[i], err = dc.Compile(w.network(i == 1)); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrDesign, err)
		}
	}
	s.bench = w
	return w, nil
}

// network is the network for bounding downwards or upwards.
func (w *boundNetwork) network(up bool) dc.Network {
	net := dc.Network{Nodes: len(w.s.Nodes) + 1, References: []dc.Node{w.ref}}
	add := func(b dc.Branch) {
		b.Switch = len(net.Branches)
		net.Branches = append(net.Branches, b)
	}
	for _, b := range w.branches {
		add(b)
	}
	add(dc.Branch{Kind: dc.Source, A: w.floor, B: w.ref, Ohm: dc.MinOhm, Volt: w.depth()})
	for v := range dc.Node(len(w.s.Nodes)) {
		towards := dc.Branch{Kind: dc.Diode, A: v, B: w.floor, Ohm: 1}
		always := dc.Branch{Kind: dc.Source, A: v, B: w.floor, Ohm: 1, OneWay: true}
		if up {
			towards = dc.Branch{Kind: dc.Source, A: w.floor, B: v, Ohm: 1, OneWay: true}
			always = towards
		}
		for _, b := range [extras]dc.Branch{toLow: towards, toHigh: towards, push: always, supply: towards} {
			add(b)
		}
	}
	net.Switches = len(net.Branches)
	return net
}

// depth is how far the floor lies below the zero, in V.
func (w *boundNetwork) depth() float64 { return 2 * w.span }

// highest is the highest voltage that an element can have.
func (c *Circuit) highest(id model.ElementID) float64 {
	top := c.elems[id].Volts.Max
	for _, p := range c.params {
		if p.Element == id && p.Volts {
			top = max(top, p.Max)
		}
	}
	return top
}

// trial is one network to be solved on the workbench. What it takes room for is used
// again after done.
type trial struct {
	w         *boundNetwork
	up        bool
	ohm, volt []float64
	in        dc.Bits
	net       *dc.Trial
}

// trial starts with the zero and the elements that are present and of which no
// maybe element is a part: rails and the known components.
func (w *boundNetwork) trial(r *region, ohm, volt []float64, up bool) *trial {
	n := len(w.branches) + 1 + extras*len(w.s.Nodes)
	which := 0
	if up {
		which = 1
	}
	t, ok := w.trials[which].Get().(*trial)
	if !ok {
		slab := make([]float64, 2*n)
		t = &trial{w: w, up: up, ohm: slab[:n:n], volt: slab[n:], in: make(dc.Bits, (n+63)/64), net: w.nets[which].Trial()}
	}
	copy(t.ohm, ohm)
	copy(t.volt, volt)
	for i := len(ohm); i < n; i++ {
		t.ohm[i], t.volt[i] = 1, 0
	}
	clear(t.in)
	t.ohm[len(ohm)], t.volt[len(ohm)] = dc.MinOhm, w.depth()
	t.put(len(ohm))
	for i := range w.branches {
		if r.presence[i] == present && !r.inUnknown(w, i) {
			t.put(i)
		}
	}
	return t
}

// inUnknown reports whether an element is part of a component with maybe elements.
func (r *region) inUnknown(w *boundNetwork, i int) bool {
	b := &w.branches[i]
	for _, v := range [...]dc.Node{b.A, b.B} {
		if k := r.component[v]; k >= 0 {
			return r.components[k].unknown
		}
	}
	return false
}

func (t *trial) put(branch int) { t.in[branch>>6] |= 1 << (branch & 63) }

// extra sets what stands for the rest at a node: siemens towards a potential, or for
// a push so many ampere. Nothing is left out.
func (t *trial) extra(v dc.Node, what int, size, potential float64) {
	i := len(t.w.branches) + 1 + extras*int(v) + what
	t.in[i>>6] &^= 1 << (i & 63)
	if size <= 0 {
		return
	}
	t.put(i)
	if what == push {
		// From the node's potential, at most the span away from the zero, to the
		// floor and over the EMF: never less than the size.
		t.volt[i] = pushVolts + t.w.depth() + t.w.span
		t.ohm[i] = solvable(pushVolts / size)
		return
	}
	// The floor's own source lets it sag a little under what is drawn.
	sag := floorSag
	if !t.up {
		sag = -sag
	}
	t.volt[i] = max(potential+t.w.depth()+sag, 0)
	t.ohm[i] = solvable(1 / size)
}

// sources sets what supplies that may be there do at a node, with a guess of the outermost
// potentials of low and of high rails.
func (t *trial) sources(v dc.Node, r *region, all []source, lows, highs float64) {
	siemens, volts := 0.0, 0.0
	for _, s := range all {
		// Downwards a one-way source takes nothing at its plus, upwards it gives nothing at
		// its minus.
		if s.oneWay && (s.emf > 0) != t.up {
			continue
		}
		x := lows
		if r.side[s.other] == high {
			x = highs
		}
		x += s.emf
		if siemens == 0 || t.up && x > volts || !t.up && x < volts {
			volts = x
		}
		siemens += s.siemens
	}
	t.extra(v, supply, siemens, volts)
}

// done gives the room of a trial back. Its solution is good no more.
func (t *trial) done() {
	which := 0
	if t.up {
		which = 1
	}
	t.w.trials[which].Put(t)
}

// solve solves it. The solution is good until the next solve, or until it is done.
func (t *trial) solve(ctx context.Context) (*dc.Solution, error) {
	t.w.c.work.bounds.Add(1)
	s, err := t.net.Solve(ctx, t.in, t.ohm, t.volt)
	if errors.Is(err, dc.ErrValues) {
		err = fmt.Errorf("%w: %w", ErrDesign, err)
	}
	return s, err
}

// solved is what is kept of the solution of a trial: nodes and elements of the island.
type solved struct {
	volt  []float64 // per node, against the reference of its piece
	amps  []float64 // per element, from A to B; nil of the solution upwards
	piece []int32   // per node
}

func (w *boundNetwork) keep(s *dc.Solution, amps bool) *solved {
	n := len(w.s.Nodes)
	k := &solved{volt: make([]float64, n), piece: make([]int32, n)}
	for v := range n {
		k.volt[v], k.piece[v] = s.Potential(dc.Node(v)), int32(s.Piece(dc.Node(v)))
	}
	if amps {
		k.amps = make([]float64, len(w.branches))
		for i := range k.amps {
			k.amps[i] = s.Current(i)
		}
	}
	return k
}

// between returns the volts of a against b; false where they are in different pieces.
func (k *solved) between(a, b dc.Node) (float64, bool) {
	if k.piece[a] != k.piece[b] {
		return 0, false
	}
	return k.volt[a] - k.volt[b], true
}
