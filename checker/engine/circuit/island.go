package circuit

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// IslandID numbers an island.
type IslandID int

// Island is a part of the circuit that nothing electrical joins to the rest, apart
// from ground. Cutting at ground is exact: ground is the zero of both sides, whatever
// runs through it.
type Island struct {
	Nodes    []model.NodeID // ascending, with ground where it touches it
	Elements []model.ElementID
	Switches []Switch // ascending
}

// Islands returns the islands in the order of their lowest nodes. Elements that
// faults removed, or that never conduct, join nothing.
func (c *Circuit) Islands() []Island {
	out := make([]Island, len(c.islands))
	for i, s := range c.islands {
		out[i] = s.Island
	}
	return out
}

// IslandOf returns the island of a node. Ground has none of its own (it is in all
// that touch it), nor has a node that no element ends at: ok is false.
func (c *Circuit) IslandOf(n model.NodeID) (id IslandID, ok bool) {
	if !c.known(n) || c.at[n].island < 0 {
		return 0, false
	}
	return IslandID(c.at[n].island), true
}

// place is where a node is: its island (-1: none) and its number there.
type place struct {
	island int
	local  dc.Node
}

type island struct {
	Island
	id     IslandID
	ground dc.Node // -1: none
	offset int     // of its pieces among all pieces, see Solution.Piece
	net    *dc.Compiled
	local  map[Switch]int // switch -> number in net

	mu     sync.Mutex
	values map[Corner]*dc.Values
	bench  *boundNetwork
	meters map[[2]dc.Node]*dc.Compiled

	printed map[string]*printed // by what is known of its switches
}

// branch returns the number of an element in the island's network.
func (i *island) branch(id model.ElementID) (int, bool) { return slices.BinarySearch(i.Elements, id) }

// minOhm stands for "no resistance worth speaking of", in ohm.
const minOhm = 1e-6

func (c *Circuit) addIslands() error {
	d := c.design
	parent := make([]int, len(d.Nodes))
	used := make([]bool, len(d.Nodes))
	for i := range parent {
		parent[i] = i
	}
	root := func(n model.NodeID) int {
		i := int(n)
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for i := range c.elems {
		e := &c.elems[i]
		if c.switchOf[i] == never {
			continue
		}
		used[e.A], used[e.B] = true, true
		if e.A != d.Ground && e.B != d.Ground {
			a, b := root(e.A), root(e.B)
			parent[max(a, b)] = min(a, b)
		}
	}
	c.at = make([]place, len(d.Nodes))
	byRoot := map[int]int{}
	for n := range d.Nodes {
		c.at[n] = place{island: -1}
		if !used[n] || model.NodeID(n) == d.Ground {
			continue
		}
		r := root(model.NodeID(n))
		i, ok := byRoot[r]
		if !ok {
			i = len(c.islands)
			byRoot[r] = i
			c.islands = append(c.islands, &island{id: IslandID(i), ground: -1, local: map[Switch]int{}})
		}
		s := c.islands[i]
		c.at[n] = place{i, dc.Node(len(s.Nodes))}
		s.Nodes = append(s.Nodes, model.NodeID(n))
	}
	for i := range c.elems {
		e := &c.elems[i]
		if c.switchOf[i] == never || e.A == e.B {
			continue
		}
		n := e.A
		if n == d.Ground {
			n = e.B
		}
		s := c.islands[c.at[n].island]
		s.Elements = append(s.Elements, model.ElementID(i))
		if w := c.switchOf[i]; w >= 0 {
			s.Switches = append(s.Switches, w)
		}
		if s.ground < 0 && (e.A == d.Ground || e.B == d.Ground) {
			// Local numbers stay as given out; ground comes last.
			s.ground = dc.Node(len(s.Nodes))
			s.Nodes = append(s.Nodes, d.Ground)
		}
	}
	offset := 1
	for _, s := range c.islands {
		s.offset = offset
		offset += len(s.Nodes)
		if err := c.compile(s); err != nil {
			return err
		}
	}
	return nil
}

func (c *Circuit) compile(s *island) error {
	slices.Sort(s.Switches)
	s.Switches = slices.Compact(s.Switches)
	for i, w := range s.Switches {
		s.local[w] = i
	}
	net := dc.Network{Nodes: len(s.Nodes), Switches: len(s.Switches), References: c.references(s)}
	for _, id := range s.Elements {
		b := c.branch(s, id)
		b.Switch = -1
		if w := c.switchOf[id]; w >= 0 {
			b.Switch = s.local[w]
		}
		net.Branches = append(net.Branches, b)
	}
	var err error
	if s.net, err = dc.Compile(net); err != nil {
		return fmt.Errorf("%w: %w", ErrDesign, err)
	}
	s.values = map[Corner]*dc.Values{}
	return nil
}

// references lists the zeros that the pieces of an island should have: ground, else
// the minus of a supply.
func (c *Circuit) references(s *island) []dc.Node {
	var refs []dc.Node
	if s.ground >= 0 {
		refs = append(refs, s.ground)
	}
	for _, id := range s.Elements {
		if e := &c.elems[id]; e.Type == model.ElemSupply && !e.shorted {
			if n := c.localIn(s, e.A); n != s.ground {
				refs = append(refs, n)
			}
		}
	}
	return refs
}

// localIn returns the number of a node in an island that holds it.
func (c *Circuit) localIn(s *island, n model.NodeID) dc.Node {
	if n == c.design.Ground {
		return s.ground
	}
	return c.at[n].local
}

// branch is an element as a branch of its island's network, without its switch.
func (c *Circuit) branch(s *island, id model.ElementID) dc.Branch {
	e := &c.elems[id]
	return dc.Branch{
		Kind: e.kind(), A: c.localIn(s, e.A), B: c.localIn(s, e.B),
		Ohm: solvable(e.Ohm.Nominal), Volt: e.Volts.Nominal,
		OneWay: e.OneWay && e.kind() == dc.Source,
	}
}

func (e *element) kind() dc.Kind {
	switch {
	case e.shorted:
		return dc.Resistor
	case e.Type == model.ElemDiode:
		return dc.Diode
	case e.Type == model.ElemSupply || e.Volts.Max != 0:
		return dc.Source
	}
	return dc.Resistor
}

// supplyOf returns the supply that an element is, nil where it is none.
func (e *element) supplyOf(d *model.Design) *model.Supply {
	if e.Type != model.ElemSupply || e.Of < 0 || e.Of >= len(d.Supplies) {
		return nil
	}
	return &d.Supplies[e.Of]
}

// solvable keeps a resistance within what the network can hold.
func solvable(ohm float64) float64 { return min(max(ohm, minOhm), dc.MaxOhm) }

// check refuses numbers that no element has.
func (e *element) check() error {
	for _, p := range [...]struct {
		what string
		model.Param
		most float64
	}{
		{"resistance", e.Ohm, math.MaxFloat64},
		{"cold resistance", e.ColdOhm, math.MaxFloat64},
		{"voltage", e.Volts, dc.MaxVolt},
	} {
		for _, x := range [...]float64{p.Nominal, p.Min, p.Max} {
			if !(x >= 0 && x <= p.most) {
				return fmt.Errorf("%w: %s has a %s of %g", ErrDesign, e.Path, p.what, x)
			}
		}
		if p.Min > p.Nominal || p.Nominal > p.Max {
			return fmt.Errorf("%w: %s has a %s of %g that lies outside %g to %g", ErrDesign, e.Path, p.what, p.Nominal, p.Min, p.Max)
		}
	}
	return nil
}
