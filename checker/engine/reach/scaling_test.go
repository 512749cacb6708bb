package reach

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
)

// plant builds systems of many two-state memories over quantities, wired in one
// of several ways. Each memory compares its quantity with two points of its
// own, so a quantity has two regions for each of them and one more: points and
// the stretches between.
func plant(t testing.TB, wiring string, memories, quantities int) *System {
	each := (memories + quantities - 1) / quantities
	points := 2 * each
	regions := 2*points + 1
	sp := logic.NewSpace()
	sys := &System{Space: sp}
	add := func(name string, size int, kind VarKind) logic.Var {
		v, err := sp.Add(logic.Domain{Name: name, Size: size})
		require.NoError(t, err)
		sys.Vars = append(sys.Vars, Var{Kind: kind})
		return v
	}
	key := add("key", 4, Input)
	in := InputMoves{Var: key}
	for a := range 4 {
		for b := range 4 {
			if a != b {
				in.Moves = append(in.Moves, Move{From: a, To: b})
			}
		}
	}
	sys.Inputs = append(sys.Inputs, in)
	var q []logic.Var
	for i := range quantities {
		v := add(fmt.Sprintf("q%d", i), regions, Input)
		q = append(q, v)
		in := InputMoves{Var: v}
		for r := range regions - 1 {
			in.Moves = append(in.Moves, Move{From: r, To: r + 1}, Move{From: r + 1, To: r})
		}
		sys.Inputs = append(sys.Inputs, in)
	}
	var m []logic.Var
	for i := range memories {
		m = append(m, add(fmt.Sprintf("m%d", i), 2, Hardware))
	}
	run := sp.In(key, logic.SetOf(1, 2))
	for i, v := range m {
		x, k := q[i/each], i%each
		if wiring == "wound" { // neighbours are on different quantities
			x, k = q[i%quantities], i/quantities
		}
		// The points nest: the first to set is the first to clear.
		high := sp.In(x, logic.Range(2*(each+k)+1, regions))
		below := sp.In(x, logic.Range(0, 2*k))
		prev := sp.Is(m[(i+memories-1)%memories], 1)
		next := sp.Is(m[(i+1)%memories], 1)
		set, clear := high, below
		switch wiring {
		case "thresholds":
		case "chain": // each relay is fed through the one before it
			set = sp.And(high, run)
			clear = sp.Or(below, sp.Not(run))
			if i > 0 {
				set, clear = sp.And(set, prev), sp.Or(clear, sp.Not(prev))
			}
		case "ring", "wound": // each relay holds in while a neighbour does
			set = sp.And(run, high)
			clear = sp.Or(sp.Not(run), sp.And(below, sp.Not(prev), sp.Not(next)))
		case "far": // each depends on one half the row away
			other := sp.Is(m[(i+memories/2)%memories], 1)
			set = sp.And(high, sp.Or(run, other))
			clear = sp.And(below, sp.Or(sp.Not(other), sp.Not(run)))
		}
		sys.Elements = append(sys.Elements, Element{Var: v, Rules: []Rule{
			{From: logic.SetOf(0), To: 1, When: set},
			{From: logic.SetOf(1), To: 0, When: clear},
		}})
	}
	return sys
}

// benchmark asks one plant after another. Where the answer is Undecided, that
// is reported: it is where the engine ends.
func benchmark(b *testing.B, o Options) {
	ctx := context.Background()
	for _, wiring := range []string{"thresholds", "chain", "ring", "far", "wound"} {
		for _, n := range []int{10, 20, 40, 60, 80} {
			b.Run(fmt.Sprintf("%s/%d", wiring, n), func(b *testing.B) {
				sys := plant(b, wiring, n, 12)
				last := logic.Var(len(sys.Vars) - 1)
				for b.Loop() {
					e, err := New(sys, o)
					require.NoError(b, err)
					v, err := e.Possible(ctx, sys.Space.Is(last, 1))
					require.NoError(b, err)
					require.NotEqual(b, Fails, v.Outcome)
					b.ReportMetric(float64(count(v.Outcome == Undecided)), "undecided")
					b.ReportMetric(float64(v.Work.Peak), "nodes")
					b.ReportMetric(float64(v.Work.Images), "images")
					if v.Trace != nil {
						b.ReportMetric(float64(len(v.Trace.Steps)), "moves")
						b.ReportMetric(float64(count(v.Trace.Detour)), "detour")
					}
				}
			})
		}
	}
}

// BenchmarkWhole decides about whole plants at once: the exact reachable set
// and a shortest trace to one memory, without slicing.
func BenchmarkWhole(b *testing.B) { benchmark(b, Options{Unsliced: true}) }

// BenchmarkSliced asks the same question as the checker does.
func BenchmarkSliced(b *testing.B) { benchmark(b, Options{}) }
