package dc_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit/dc"
)

// FuzzSolve reads any bytes as a network, values included: it must be refused or
// solved, with finite results.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{4, 2, 1, 1, 0, 1, 40, 60, 0, 0, 0, 1, 2, 50, 0, 0, 0, 2, 0, 3, 30, 20, 1, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		n, closed := decode(data)
		c, err := dc.Compile(n)
		if err != nil {
			require.ErrorIs(t, err, dc.ErrNetwork)
			return
		}
		s, err := c.Solve(t.Context(), closed)
		if err != nil {
			require.ErrorIs(t, err, dc.ErrSwitch)
			return
		}
		for v := range n.Nodes {
			x := s.Potential(dc.Node(v))
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "node %d: %g V", v, x)
		}
		for b := range n.Branches {
			x := s.Current(b)
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "branch %d: %g A", b, x)
			if _, err := s.Path(b); err != nil {
				require.ErrorIs(t, err, dc.ErrNoCurrent)
			}
			_, _ = c.Joined(closed, n.Branches[b].A, n.Branches[b].B, s.Conducting)
		}
	})
}

// decode spends seven bytes a branch: kind and flags, ends, logarithms of ohm and volt,
// switch. Ends and switches may be out of range; 255 stands for odd values.
func decode(data []byte) (dc.Network, dc.Bits) {
	next := func() byte {
		if len(data) == 0 {
			return 0
		}
		x := data[0]
		data = data[1:]
		return x
	}
	value := func() float64 {
		switch x := next(); x {
		case 0:
			return 0
		case 255:
			return math.Float64frombits(binary.LittleEndian.Uint64([]byte{next(), 0, 0, 0, 0, 0, next(), next()}))
		default:
			return math.Pow(10, float64(x)/12-9)
		}
	}
	n := dc.Network{Nodes: int(next() % 32), Switches: int(next() % 80), References: []dc.Node{0}}
	closed := dc.Bits{uint64(next())}
	for len(data) > 0 && len(n.Branches) < 64 {
		kind := next()
		n.Branches = append(n.Branches, dc.Branch{
			Kind: dc.Kind(kind % 4), OneWay: kind&8 != 0,
			A: dc.Node(next()), B: dc.Node(next()), Ohm: value(), Volt: value(),
			Switch: int(next()) - 1,
		})
	}
	return n, closed
}
