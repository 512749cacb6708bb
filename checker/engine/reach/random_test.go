package reach

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/logic"
)

func TestMain(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		_ = flag.Set("rapid.checks", "1000")
	}
	os.Exit(m.Run())
}

// drawer draws numbers: rapid, which shrinks what fails but likes small
// systems, or a seeded generator, which draws evenly.
type drawer interface {
	require.TestingT
	n(lo, hi int) int
}

type rapidly struct{ *rapid.T }

func (d rapidly) n(lo, hi int) int { return rapid.IntRange(lo, hi).Draw(d.T, "n") }

type evenly struct {
	*testing.T
	*rand.Rand
}

func (d evenly) n(lo, hi int) int { return lo + d.IntN(hi-lo+1) }

func pick[T any](t drawer, from []T) T { return from[t.n(0, len(from)-1)] }

// eachSystem runs a property on systems drawn both ways.
func eachSystem(t *testing.T, even int, property func(t drawer)) {
	rapid.Check(t, func(t *rapid.T) { property(rapidly{t}) })
	for seed := range even {
		done := false
		defer func() {
			if !done {
				t.Logf("seed %d", seed)
			}
		}()
		property(evenly{t, rand.New(rand.NewPCG(uint64(seed), 1))})
		done = true
	}
}

// genCond draws a condition over the variables that may be read.
func genCond(t drawer, vars []refVar, readable []int, depth int) *cond {
	if len(readable) == 0 {
		return &cond{op: '1'}
	}
	op := byte('v')
	if depth > 0 {
		op = pick(t, []byte{'v', 'v', '&', '|', 'n'})
	}
	switch op {
	case 'v':
		v := pick(t, readable)
		set := map[int]bool{t.n(0, vars[v].size-1): true}
		if vars[v].size > 2 && t.n(0, 3) == 0 {
			set[t.n(0, vars[v].size-1)] = true
		}
		return &cond{op: 'v', v: v, set: set}
	case 'n':
		return &cond{op: 'n', kids: []*cond{genCond(t, vars, readable, depth-1)}}
	}
	return &cond{op: op, kids: []*cond{genCond(t, vars, readable, depth-1), genCond(t, vars, readable, depth-1)}}
}

func genSome(t drawer, size int) map[int]bool {
	out := map[int]bool{t.n(0, size-1): true}
	for x := range size {
		if t.n(0, 1) == 1 {
			out[x] = true
		}
	}
	return out
}

// genSystem draws a system of up to six variables, every kind among them.
func genSystem(t drawer, timed bool) *refSystem {
	r := &refSystem{}
	kinds := []VarKind{Input, Input, Hardware, Hardware, Hardware, Machine, Machine, Timing, Beating, Edge, Fixed}
	most := 6
	if timed { // each clock multiplies the ticks of the reference
		most = 5
	}
	n := max(t.n(2, most), t.n(2, most))
	for i := range n {
		k := Input
		if i > 0 {
			k = pick(t, kinds)
			if timed && i < 4 && t.n(0, 3) > 0 {
				k = Timing
			}
		}
		v := refVar{kind: k, size: t.n(2, 3)}
		switch k {
		case Timing:
			v.size = 3
		case Beating, Edge:
			v.size = 2
		}
		if v.initial = []int{0}; t.n(0, 3) == 0 {
			v.initial = nil
			some := genSome(t, v.size)
			for x := range v.size {
				if some[x] {
					v.initial = append(v.initial, x)
				}
			}
		}
		r.vars = append(r.vars, v)
	}
	var plain, all, outside []int
	for i, v := range r.vars {
		all = append(all, i)
		if v.kind != Edge {
			plain = append(plain, i)
		}
		if v.kind == Input || v.kind == Fixed {
			outside = append(outside, i)
		}
	}
	span := func() Span {
		lo := int64(t.n(0, 3))
		return Span{lo, lo + int64(t.n(0, 2))}
	}
	for i := range r.vars {
		v := &r.vars[i]
		switch v.kind {
		case Input:
			for a := range v.size {
				for b := range v.size {
					if a == b || t.n(0, 3) == 0 {
						continue
					}
					m := refMove{from: a, to: b, guard: &cond{op: '1'}}
					if t.n(0, 2) == 0 {
						m.guard = genCond(t, r.vars, all, 1)
					}
					if timed && v.size == 3 && a == 1 && i == 0 {
						m.least = int64(t.n(0, 3))
					}
					v.moves = append(v.moves, m)
				}
			}
		case Hardware, Machine:
			readable := plain
			if v.kind == Machine {
				readable = all
			}
			for range t.n(1, 3) {
				v.rules = append(v.rules, refRule{from: genSome(t, v.size), to: t.n(0, v.size-1), when: genCond(t, r.vars, readable, 2)})
			}
		case Timing, Beating, Edge:
			v.cond = genCond(t, r.vars, plain, 2)
			v.off = v.kind == Timing && t.n(0, 1) == 1
			if timed {
				v.span = span()
			}
		}
	}
	if t.n(0, 2) == 0 {
		r.invariants = append(r.invariants, genCond(t, r.vars, outside, 1))
	}
	return r
}

// system builds the System that r describes.
func (r *refSystem) system(t require.TestingT) *System {
	sp := logic.NewSpace()
	sys := &System{Space: sp}
	for i, v := range r.vars {
		_, err := sp.Add(logic.Domain{Name: fmt.Sprintf("%v%d", v.kind, i), Size: v.size})
		require.NoError(t, err)
		sys.Vars = append(sys.Vars, Var{Kind: v.kind, Initial: logic.SetOf(v.initial...)})
	}
	keys := func(m map[int]bool) (s logic.Set) {
		for x := range m {
			s = s.Union(logic.SetOf(x))
		}
		return s
	}
	for i, v := range r.vars {
		x := logic.Var(i)
		switch v.kind {
		case Input:
			in := InputMoves{Var: x}
			for j, m := range v.moves {
				mv := Move{From: m.from, To: m.to, Least: m.least}
				if m.guard.op != '1' {
					mv.Guards = []Guard{{When: m.guard.expr(sp), Assumption: fmt.Sprintf("g%d.%d", i, j)}}
				}
				in.Moves = append(in.Moves, mv)
			}
			sys.Inputs = append(sys.Inputs, in)
		case Hardware:
			el := Element{Var: x}
			for _, ru := range v.rules {
				el.Rules = append(el.Rules, Rule{From: keys(ru.from), To: ru.to, When: ru.when.expr(sp)})
			}
			sys.Elements = append(sys.Elements, el)
		case Machine:
			k := ModeMachine{Var: x}
			for _, ru := range v.rules {
				k.Transitions = append(k.Transitions, Transition{From: keys(ru.from), To: ru.to, When: ru.when.expr(sp)})
			}
			sys.Machines = append(sys.Machines, k)
		case Timing:
			c := Clock{Var: x, Run: v.cond.expr(sp), Lasts: []Timed{{Span: v.span}}}
			if v.off {
				c.Kind = OffDelay
			}
			sys.Clocks = append(sys.Clocks, c)
		case Beating:
			sys.Beats = append(sys.Beats, Beat{Var: x, Enable: v.cond.expr(sp), Half: v.span})
		case Edge:
			sys.Edges = append(sys.Edges, EdgeMemory{Var: x, Of: v.cond.expr(sp)})
		}
	}
	for i, c := range r.invariants {
		sys.Invariants = append(sys.Invariants, Invariant{Assumption: fmt.Sprintf("a%d", i), Holds: c.expr(sp)})
	}
	return sys
}

// String writes the system down for a failing test's log.
func (r *refSystem) String() string {
	out := ""
	for i, v := range r.vars {
		out += fmt.Sprintf("%d %v size %d initial %v off %v span %v when %v\n", i, v.kind, v.size, v.initial, v.off, v.span, v.cond)
		for _, m := range v.moves {
			out += fmt.Sprintf("    %d to %d if %v least %d\n", m.from, m.to, m.guard, m.least)
		}
		for _, u := range v.rules {
			out += fmt.Sprintf("    %v to %d if %v\n", u.from, u.to, u.when)
		}
	}
	return out + fmt.Sprintf("invariants %v\n", r.invariants)
}

func (c *cond) String() string {
	if c == nil {
		return "-"
	}
	if c.op == 'v' {
		return fmt.Sprintf("x%d in %v", c.v, c.set)
	}
	return fmt.Sprintf("%c%v", c.op, c.kids)
}
