package dc_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"pintle/checker/engine/circuit/dc"
)

// wiring makes a network shaped like that of a vehicle: a battery, a tree of wires
// of milliohms, loads to ground, some diodes, some cross joins, switches in the feeds.
func wiring(nodes, switches int, seed uint64) dc.Network {
	r := rand.New(rand.NewPCG(seed, 1))
	n := dc.Network{Nodes: nodes, Switches: switches, References: []dc.Node{0}}
	add := func(b dc.Branch) { n.Branches = append(n.Branches, b) }
	add(dc.Branch{Kind: dc.Source, A: 0, B: 1, Ohm: 0.01, Volt: 12.6, Switch: -1})
	for v := 2; v < nodes; v++ {
		up := dc.Node(max(1, v-1-r.IntN(min(v-1, 12))))
		sw := -1
		if switches > 0 && v%max(1, nodes/(switches+1)) == 0 {
			sw = min(switches-1, v/max(1, nodes/(switches+1))-1)
		}
		b := dc.Branch{Kind: dc.Resistor, A: up, B: dc.Node(v), Ohm: 0.001 + 0.1*r.Float64(), Switch: sw}
		if v%15 == 7 {
			b.Kind, b.Volt = dc.Diode, 0.7
		}
		add(b)
		if v%3 == 0 {
			add(dc.Branch{Kind: dc.Resistor, A: dc.Node(v), B: 0, Ohm: 5 + 200*r.Float64(), Switch: -1})
		}
		if v%20 == 11 {
			add(dc.Branch{Kind: dc.Resistor, A: dc.Node(v), B: dc.Node(2 + r.IntN(v-2)), Ohm: 10, Switch: -1})
		}
	}
	return n
}

func allClosed(n int) (b dc.Bits) {
	for i := range n {
		b = b.With(i)
	}
	return b
}

func compile(tb testing.TB, n dc.Network) *dc.Compiled {
	tb.Helper()
	c, err := dc.Compile(n)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

var benchSizes = []int{20, 50, 100, 300}

func BenchmarkSolve(b *testing.B) {
	ctx := context.Background()
	for _, size := range benchSizes {
		n := wiring(size, 4, 1)
		c, closed := compile(b, n), allClosed(4)
		b.Run(fmt.Sprintf("compile/%d", size), func(b *testing.B) {
			for b.Loop() {
				compile(b, n)
			}
		})
		b.Run(fmt.Sprintf("cold/%d", size), func(b *testing.B) {
			before := c.Stats()
			for b.Loop() {
				if _, err := c.Solve(ctx, closed, dc.Fresh()); err != nil {
					b.Fatal(err)
				}
			}
			after := c.Stats()
			b.ReportMetric(float64(after.Pivots-before.Pivots)/float64(after.Solves-before.Solves), "pivots/op")
		})
		b.Run(fmt.Sprintf("hot/%d", size), func(b *testing.B) {
			for b.Loop() {
				if _, err := c.Solve(ctx, closed); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("linear/%d", size), func(b *testing.B) {
			c := compile(b, withoutDiodes(n))
			for b.Loop() {
				if _, err := c.Solve(ctx, closed, dc.Fresh()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("gonum-cholesky/%d", size), func(b *testing.B) {
			lin := withoutDiodes(n)
			a, rhs := denseNodal(lin, closed)
			sym := symmetric(a)
			var ch mat.Cholesky
			x := mat.NewVecDense(size-1, nil)
			for b.Loop() {
				if !ch.Factorize(sym) {
					b.Fatal("not positive definite")
				}
				if err := ch.SolveVecTo(x, rhs); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("gonum-lu/%d", size), func(b *testing.B) {
			a, rhs := denseNodal(withoutDiodes(n), closed)
			var lu mat.LU
			x := mat.NewVecDense(size-1, nil)
			for b.Loop() {
				lu.Factorize(a)
				if err := lu.SolveVecTo(x, false, rhs); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkStates solves all states of ten switches on sixty nodes.
func BenchmarkStates(b *testing.B) {
	ctx := context.Background()
	c := compile(b, wiring(60, 10, 3))
	for b.Loop() {
		c.Forget()
		for state := range uint64(1 << 10) {
			if _, err := c.Solve(ctx, dc.Bits{state}); err != nil {
				b.Fatal(err)
			}
		}
	}
	s := c.Stats()
	b.ReportMetric(float64(s.Pivots)/float64(s.Solves), "pivots/solve")
}

// withoutDiodes makes every diode a resistor.
func withoutDiodes(n dc.Network) dc.Network {
	out := n
	out.Branches = append([]dc.Branch(nil), n.Branches...)
	for i := range out.Branches {
		if b := &out.Branches[i]; b.Kind == dc.Diode {
			b.Kind, b.Volt = dc.Resistor, 0
		}
	}
	return out
}

// denseNodal is the textbook nodal matrix with node 0 at zero volts and Norton
// currents on the right, for networks without diodes.
func denseNodal(n dc.Network, closed dc.Bits) (*mat.Dense, *mat.VecDense) {
	a := mat.NewDense(n.Nodes-1, n.Nodes-1, nil)
	rhs := mat.NewVecDense(n.Nodes-1, nil)
	add := func(i, j dc.Node, g float64) {
		if i > 0 && j > 0 {
			a.Set(int(i)-1, int(j)-1, a.At(int(i)-1, int(j)-1)+g)
		}
	}
	for _, b := range n.Branches {
		if b.Switch >= 0 && !closed.Has(b.Switch) {
			continue
		}
		g := 1 / b.Ohm
		add(b.A, b.A, g)
		add(b.B, b.B, g)
		add(b.A, b.B, -g)
		add(b.B, b.A, -g)
		if b.A > 0 {
			rhs.SetVec(int(b.A)-1, rhs.AtVec(int(b.A)-1)-g*b.Volt)
		}
		if b.B > 0 {
			rhs.SetVec(int(b.B)-1, rhs.AtVec(int(b.B)-1)+g*b.Volt)
		}
	}
	return a, rhs
}
