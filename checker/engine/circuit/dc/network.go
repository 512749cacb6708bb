package dc

import (
	"errors"
	"fmt"
	"slices"
)

// Node numbers a point of the network, 0 to Nodes-1.
type Node int32

// Kind says what a branch is.
type Kind uint8

// The kinds of branch.
const (
	Resistor Kind = iota // Ohm
	Source               // Volt behind Ohm, plus terminal at B
	Diode                // Volt forward drop, then Ohm, anode at A
)

func (k Kind) String() string {
	switch k {
	case Resistor:
		return "resistor"
	case Source:
		return "source"
	case Diode:
		return "diode"
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// What a network may hold. The bounds on resistance keep a real connection, however
// poor, far away from the leak that stands for a blocking diode (see eliminate.go).
const (
	MinOhm  = 1e-9
	MaxOhm  = 1e12
	MaxVolt = 1e9

	// leastVolt is below what no EMF counts: products of it with conductances, and their
	// rounding, would be below the smallest normal double, where relative precision ends.
	leastVolt = 1e-200
)

// Branch is a two-terminal element from A to B. Its current is counted positive
// from A to B inside the branch. With u = V(A) - V(B) the laws are
//
//	Resistor  i = u / Ohm
//	Source    i = (u + Volt) / Ohm       A is minus, B is plus: i > 0 discharges it
//	Diode     i = max(0, u - Volt) / Ohm  A is the anode
//
// and a OneWay source follows max(0, u + Volt) / Ohm: it cannot be charged.
type Branch struct {
	Kind Kind
	A, B Node
	Ohm  float64 // resistance, inside resistance or on-resistance, MinOhm to MaxOhm
	Volt float64 // EMF or forward drop, 0 to MaxVolt; 0 for a resistor

	OneWay bool // source only: current may only leave the plus terminal
	Switch int  // -1: always in; else present while that switch is closed
}

// valve reports whether the branch passes current in one direction only.
func (b Branch) valve() bool { return b.Kind == Diode || b.OneWay }

// emf is the voltage that drives current from A to B, in volts.
func (b *Branch) emf(volt float64) float64 {
	if b.Kind == Diode {
		return -volt
	}
	return volt
}

// Network is a set of branches between numbered nodes.
type Network struct {
	Nodes    int
	Branches []Branch
	Switches int

	// References lists the nodes that are wanted as the zero of the piece that they
	// lie in, the most wanted first.
	References []Node
}

// Errors that can be told apart with errors.Is.
var (
	ErrNetwork   = errors.New("dc: not a network")
	ErrValues    = errors.New("dc: values do not fit the network")
	ErrSwitch    = errors.New("dc: no such switch")
	ErrTooMeshed = errors.New("dc: network too densely meshed")
	ErrUnsettled = errors.New("dc: diode states did not settle")
)

const maxNodes = 1 << 20

func (n Network) validate() error {
	if n.Nodes < 0 || n.Nodes > maxNodes {
		return fmt.Errorf("%w: %d nodes, want 0 to %d", ErrNetwork, n.Nodes, maxNodes)
	}
	if n.Switches < 0 {
		return fmt.Errorf("%w: %d switches", ErrNetwork, n.Switches)
	}
	known := func(v Node) bool { return v >= 0 && int(v) < n.Nodes }
	for i, b := range n.Branches {
		var why string
		switch {
		case b.Kind > Diode:
			why = "unknown kind"
		case !known(b.A) || !known(b.B):
			why = fmt.Sprintf("ends %d and %d, nodes are 0 to %d", b.A, b.B, n.Nodes-1)
		case b.Switch < -1 || b.Switch >= n.Switches:
			why = fmt.Sprintf("switch %d, switches are 0 to %d", b.Switch, n.Switches-1)
		case b.OneWay && b.Kind != Source:
			why = "only a source can be one-way"
		default:
			why = checkValues(b.Kind, b.Ohm, b.Volt)
		}
		if why != "" {
			return fmt.Errorf("%w: branch %d (%v): %s", ErrNetwork, i, b.Kind, why)
		}
	}
	for _, r := range n.References {
		if !known(r) {
			return fmt.Errorf("%w: reference %d, nodes are 0 to %d", ErrNetwork, r, n.Nodes-1)
		}
	}
	return nil
}

// checkValues says what is wrong with the values of a branch, or nothing. The
// comparisons are written so that NaN fails them.
func checkValues(k Kind, ohm, volt float64) string {
	switch {
	case !(ohm >= MinOhm && ohm <= MaxOhm):
		return fmt.Sprintf("%g ohm, want %g to %g", ohm, MinOhm, MaxOhm)
	case k == Resistor && volt != 0:
		return fmt.Sprintf("%g V on a resistor", volt)
	case !(volt >= 0 && volt <= MaxVolt):
		return fmt.Sprintf("%g V, want 0 to %g", volt, MaxVolt)
	}
	return ""
}

// Values are the resistances and voltages of all branches for one solve: supply at
// its lowest, filaments cold, copper hot. They belong to the Compiled that made them.
type Values struct {
	owner *Compiled
	id    uint32
	g, e  []float64 // per branch: conductance in siemens, driving EMF A to B in volts
	maxE  float64   // largest EMF or drop
	maxG  float64   // largest conductance
}

// Values makes a set of values that replaces the network's own: ohm and volt per
// branch, in branch order; either may be nil for the network's own.
func (c *Compiled) Values(ohm, volt []float64) (*Values, error) {
	n := len(c.net.Branches)
	if (ohm != nil && len(ohm) != n) || (volt != nil && len(volt) != n) {
		return nil, fmt.Errorf("%w: %d ohm and %d volt for %d branches", ErrValues, len(ohm), len(volt), n)
	}
	v := &Values{owner: c, g: make([]float64, n), e: make([]float64, n)}
	if err := v.set(ohm, volt, nil); err != nil {
		return nil, err
	}
	v.id = c.valueSets.Add(1)
	return v, nil
}

// set fills in the numbers, unless closed is nil only those of the branches that are
// present then.
func (v *Values) set(ohm, volt []float64, closed Bits) error {
	v.maxE, v.maxG = 0, 0
	for i := range v.owner.net.Branches {
		b := &v.owner.net.Branches[i]
		if s := b.Switch; closed != nil && s >= 0 && !closed.Has(s) {
			continue
		}
		r, u := b.Ohm, b.Volt
		if ohm != nil {
			r = ohm[i]
		}
		if volt != nil {
			u = volt[i]
		}
		if why := checkValues(b.Kind, r, u); why != "" {
			return fmt.Errorf("%w: branch %d (%v): %s", ErrValues, i, b.Kind, why)
		}
		if u < leastVolt {
			u = 0
		}
		v.g[i], v.e[i] = 1/r, b.emf(u)
		v.maxE, v.maxG = max(v.maxE, u), max(v.maxG, v.g[i])
	}
	return nil
}

// Network returns a copy of what was compiled.
func (c *Compiled) Network() Network {
	n := c.net
	n.Branches = slices.Clone(n.Branches)
	n.References = slices.Clone(n.References)
	return n
}
