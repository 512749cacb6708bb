package dc_test

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/checktest/soak"
	"pintle/checker/engine/circuit/dc"
)

// ngspiceNetworks is how many networks are compared; sizes are spread evenly from 3 to
// 150 nodes.
const ngspiceNetworks = 300

// TestAgainstNgspice solves generated networks with ngspice too and compares every
// potential, every current, and which valves conduct.
func TestAgainstNgspice(t *testing.T) {
	program := outside.Program(t, "ngspice", `ngspice-\d`, "--version")
	dir := t.TempDir()
	control := "* every network by itself\n.control\nset filetype=ascii\n"
	var nets []dc.Network
	var states []dc.Bits
	networks := soak.Times(ngspiceNetworks)
	for k := range networks {
		r := rand.New(rand.NewPCG(uint64(soak.Seed()+k), 7))
		nodes := 3 + k*(150-3)/(networks-1)
		n := generate(fromRand(r), shape{
			nodes: nodes, branches: nodes + nodes/2, switches: 6, diodes: true,
			lowest: -2, decades: 7,
		})
		closed := dc.Bits{r.Uint64N(1 << 6)}
		n = grounded(t, n, closed)
		nets, states = append(nets, n), append(states, closed)
		name := fmt.Sprintf("n%d", k)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".cir"), []byte(deck(n, closed, solve(t, n, closed))), 0o600))
		control += fmt.Sprintf("source %s.cir\nop\nwrite %s.raw\nremcirc\ndestroy all\n", name, name)
	}
	control += "quit\n.endc\n.end\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "all.sp"), []byte(control), 0o600))
	cmd := exec.CommandContext(t.Context(), program, "-b", "all.sp")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out[max(0, len(out)-2000):]))

	var sum tally
	for k, n := range nets {
		f, err := os.Open(filepath.Join(dir, fmt.Sprintf("n%d.raw", k)))
		if err != nil {
			continue // ngspice found no operating point
		}
		got := readRaw(t, f)
		require.NoError(t, f.Close())
		sum.solved++
		sum.compare(t, k, n, states[k], solve(t, n, states[k]), got)
	}
	t.Logf("%+v", sum)
	require.GreaterOrEqual(t, sum.solved, networks*5/6, "networks that ngspice solved")
	require.Greater(t, sum.sixDigits, sum.currents*9/10, "currents that ngspice knows to six digits")
	require.Greater(t, sum.conducting, sum.valves/10, "the networks must exercise both states")
	require.Less(t, sum.conducting, sum.valves*9/10, "the networks must exercise both states")
}

// grounded ties every piece that is connected to valves alone to node 0 by 100 kilohm, since
// ngspice wants one zero for all in every state that its iteration tries. The ties are
// part of the network from then on.
func grounded(t *testing.T, n dc.Network, closed dc.Bits) dc.Network {
	linear := n
	linear.Branches = slices.DeleteFunc(slices.Clone(n.Branches), isValve)
	s := solve(t, linear, closed)
	for p := range s.Pieces() {
		if ref := s.Reference(p); s.Floating(ref) {
			n.Branches = append(n.Branches, dc.Branch{A: ref, B: 0, Ohm: 1e5, Switch: -1})
		}
	}
	return n
}

// deck writes a network for ngspice. Valves are current sources with the same
// piecewise linear law; nothing else of a junction is modelled.
func deck(n dc.Network, closed dc.Bits, start *dc.Solution) string {
	var w strings.Builder
	w.WriteString("* generated\n")
	for i, b := range n.Branches {
		if !present(b, closed) {
			continue
		}
		switch {
		case isValve(b):
			drive := fmt.Sprintf("(v(n%d)-v(n%d)+(%.17g))", b.A, b.B, emf(b))
			fmt.Fprintf(&w, "B%d n%d n%d I = %s > 0 ? %s/%.17g : 0\n", i, b.A, b.B, drive, drive, b.Ohm)
		case b.Kind == dc.Source:
			fmt.Fprintf(&w, "R%d n%d m%d %.17g\nV%d n%d m%d %.17g\n", i, b.A, i, b.Ohm, i, b.B, i, b.Volt)
		case b.A != b.B:
			fmt.Fprintf(&w, "R%d n%d n%d %.17g\n", i, b.A, b.B, b.Ohm)
		}
	}
	w.WriteString("Vzero n0 0 0\n.options gmin=1e-18 abstol=1e-9 vntol=1e-10 reltol=1e-9 itl1=200\n.end\n")
	return w.String()
}

// readRaw reads the values of an operating point, by name.
func readRaw(t *testing.T, f io.Reader) map[string]float64 {
	var names []string
	values := map[string]float64{}
	in := bufio.NewScanner(f)
	in.Buffer(nil, 1<<20)
	for part := ""; in.Scan(); {
		fields := strings.Fields(in.Text())
		switch {
		case len(fields) == 0:
		case fields[0] == "Variables:" || fields[0] == "Values:":
			part = fields[0]
		case part == "Variables:":
			names = append(names, fields[1])
		case part == "Values:":
			x, err := strconv.ParseFloat(fields[len(fields)-1], 64)
			require.NoError(t, err)
			values[names[len(values)]] = x
		}
	}
	require.NoError(t, in.Err())
	require.NotEmpty(t, names)
	require.Len(t, values, len(names))
	return values
}

// tally counts what was compared.
type tally struct{ solved, currents, sixDigits, valves, conducting int }

// compare demands six digits, beside what ngspice itself loses: it knows currents only
// as differences of potentials, whose rounding in the best conductor is a current that
// then goes elsewhere. (Its own sums of currents at a node show it. This is why these
// networks span seven decades of resistance; TestAgainstRationals spans eleven.)
func (sum *tally) compare(t *testing.T, k int, n dc.Network, closed dc.Bits, s *dc.Solution, got map[string]float64) {
	volts, siemens := 0.0, 0.0
	for v := range n.Nodes {
		volts = max(volts, math.Abs(s.Potential(dc.Node(v))))
	}
	for i, b := range n.Branches {
		if s.Conducting(i) && b.A != b.B {
			siemens = max(siemens, 1/b.Ohm)
		}
	}
	at := func(v dc.Node) float64 { return got[fmt.Sprintf("v(n%d)", v)] }
	for v := range n.Nodes {
		want := s.Potential(dc.Node(v))
		require.InDelta(t, want, at(dc.Node(v)), 1e-6*math.Abs(want)+1e-8*volts+1e-10, "network %d, node %d", k, v)
	}
	for i, b := range n.Branches {
		if !present(b, closed) || b.A == b.B {
			continue
		}
		want := s.Current(i)
		drive := at(b.A) - at(b.B) + emf(b)
		amps := drive / b.Ohm
		if isValve(b) {
			amps = max(amps, 0)
			sum.valves++
			if s.Conducting(i) {
				sum.conducting++
			}
			if math.Abs(drive) > 1e-7*volts {
				require.Equal(t, drive > 0, s.Conducting(i), "network %d, valve %d", k, i)
			}
		} else if b.Kind == dc.Source {
			amps = -got[fmt.Sprintf("i(v%d)", i)]
		}
		lost := 4e-16*volts*siemens + 1e-13*volts/b.Ohm
		require.InDelta(t, want, amps, 1e-6*math.Abs(want)+lost, "network %d, branch %d", k, i)
		if s.Carries(i) {
			sum.currents++
			if lost < 1e-6*math.Abs(want) {
				sum.sixDigits++
			}
		}
	}
}
