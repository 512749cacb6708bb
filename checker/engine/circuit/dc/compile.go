package dc

import (
	"sync"
	"sync/atomic"
)

// Compiled is a network with its order of elimination. It is safe for concurrent
// use and remembers the solutions that it found, see Forget.
type Compiled struct {
	net      Network
	plan     *plan
	wire     []stamp // per branch
	valves   int     // branches that are valves
	nominal  *Values
	refs     []int32 // places of the wanted references, most wanted first
	patience int     // steps that may change all valves without a new low, 0: none may

	valueSets atomic.Uint32
	scratch   sync.Pool
	table     table
	work      work
}

// stamp says where a branch goes.
type stamp struct {
	a, b  int32   // places of A and B
	cell  int32   // -1 where both ends are one node
	sign  float64 // +1 where the EMF from A to B points to the earlier place
	sw    int32   // switch or -1
	valve bool
}

// Compile checks a network and plans its elimination. Errors are ErrNetwork and,
// for a mesh so dense that the plan would take more than 128 MiB, ErrTooMeshed.
func Compile(n Network) (*Compiled, error) {
	if err := n.validate(); err != nil {
		return nil, err
	}
	c := &Compiled{net: n, patience: usualPatience}
	c.net = c.Network() // the caller keeps its slices
	var err error
	if c.plan, err = plans.of(n.Nodes, c.net.Branches); err != nil {
		return nil, err
	}
	for _, r := range c.net.References {
		c.refs = append(c.refs, c.plan.pos[r])
	}
	c.wire = make([]stamp, len(c.net.Branches))
	for i, b := range c.net.Branches {
		s := stamp{a: c.plan.pos[b.A], b: c.plan.pos[b.B], cell: -1, sw: int32(b.Switch), valve: b.valve()}
		switch {
		case s.a < s.b:
			s.cell, s.sign = c.plan.cell(s.a, s.b), -1
		case s.a > s.b:
			s.cell, s.sign = c.plan.cell(s.b, s.a), 1
		}
		if s.valve {
			c.valves++
		}
		c.wire[i] = s
	}
	if c.nominal, err = c.Values(nil, nil); err != nil {
		return nil, err
	}
	c.scratch.New = func() any { return c.newWorkspace() }
	return c, nil
}

// workspace is what one solve needs beside its solution.
type workspace struct {
	cells   []cell
	inv     []float64 // by place
	v, fine []float64 // by place, potential as the sum of both
	y, low  []float64 // by place
	through []float64 // by place
	root    []int32   // by place
	i       []float64 // per branch
	on      []bool    // per branch: present and, for a valve, conducting
	present []int32   // branches that are in
	valves  []int32   // those of them that are valves
	wrong   []int32   // valves whose state contradicts their law
	near    float64   // amperes that may be rounding
	pivots  int
}

func (c *Compiled) newWorkspace() *workspace {
	n, b := c.net.Nodes, len(c.net.Branches)
	slab := make([]float64, 6*n+b)
	return &workspace{
		cells: make([]cell, len(c.plan.row)),
		inv:   slab[:n], v: slab[n : 2*n], y: slab[2*n : 3*n], fine: slab[5*n : 6*n], low: slab[4*n : 5*n], through: slab[3*n : 4*n],
		i:       slab[6*n:],
		root:    make([]int32, n),
		on:      make([]bool, b),
		present: make([]int32, 0, b),
		valves:  make([]int32, 0, c.valves),
		wrong:   make([]int32, 0, c.valves),
	}
}
