package reach

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/checktest/soak"
	"pintle/checker/engine/logic"
)

// asked is how many conditions are asked of each system; the last is asked of
// the states in which the machines step.
const asked = 4

// promela writes conditions and systems for spin (Holzmann), an engine that
// shares nothing with ours. In given, a variable is read as a number instead.
func (c *cond) promela(given map[int]int) string {
	switch c.op {
	case 'v':
		if x, ok := given[c.v]; ok {
			return fmt.Sprint(count(c.set[x]))
		}
		var parts []string
		for x := range 3 {
			if c.set[x] {
				parts = append(parts, fmt.Sprintf("x[%d]==%d", c.v, x))
			}
		}
		if parts == nil {
			return "0"
		}
		return "(" + strings.Join(parts, "||") + ")"
	case 'n':
		return "!(" + c.kids[0].promela(given) + ")"
	case '&', '|':
		op := map[byte]string{'&': "&&", '|': "||"}[c.op]
		var parts []string
		for _, k := range c.kids {
			parts = append(parts, k.promela(given))
		}
		return "(" + strings.Join(parts, op) + ")"
	}
	return "1"
}

// fires lists guarded commands, each made exclusive of those before it.
func fires(v int, rules []refRule, self bool) (guards []string, to []int) {
	var before []string
	for _, ru := range rules {
		if self && len(ru.from) == 1 && ru.from[ru.to] {
			continue // never excited
		}
		from := &cond{op: 'v', v: v, set: map[int]bool{}}
		for x := range ru.from {
			if !self || x != ru.to {
				from.set[x] = true
			}
		}
		here := from.promela(nil) + "&&" + ru.when.promela(nil)
		guard := here
		for _, b := range before {
			guard += "&&!(" + b + ")"
		}
		guards, to, before = append(guards, guard), append(to, ru.to), append(before, here)
	}
	return guards, to
}

// promela writes r as the k-th system of a model.
func (r *refSystem) promela(k int, bad [asked]*cond) string {
	var b strings.Builder
	settle := func() {
		b.WriteString("do\n")
		for i, v := range r.vars {
			rules := v.rules
			switch v.kind {
			case Hardware:
			case Timing:
				not := &cond{op: 'n', kids: []*cond{v.cond}}
				rules = []refRule{{map[int]bool{0: true}, 1, v.cond}, {map[int]bool{1: true, 2: true}, 0, not}}
				if v.off {
					rules = []refRule{{map[int]bool{0: true, 1: true}, 2, v.cond}, {map[int]bool{2: true}, 1, not}}
				}
			case Beating:
				rules = []refRule{{map[int]bool{1: true}, 0, &cond{op: 'n', kids: []*cond{v.cond}}}}
			default:
				continue
			}
			guards, to := fires(i, rules, true)
			for j, g := range guards {
				fmt.Fprintf(&b, ":: %s -> x[%d]=%d\n", g, i, to[j])
			}
		}
		b.WriteString(":: else -> break\nod;\n")
	}
	allowed := func(given map[int]int) string {
		out := "1"
		for _, inv := range r.invariants {
			out += "&&" + inv.promela(given)
		}
		return out
	}
	// What is settled in one way only is done in one statement of C.
	inC := func(c *cond) string { return strings.ReplaceAll(c.promela(nil), "x[", "now.x[") }
	hit := func(from, to int) {
		for j := from; j < to; j++ {
			fmt.Fprintf(&b, "if (%s) hit(%d);\n", inC(bad[j]), k*asked+j)
		}
	}
	for i, v := range r.vars {
		values := v.initial
		if v.kind == Edge {
			values = []int{0}
		}
		b.WriteString("if ")
		for _, x := range values {
			fmt.Fprintf(&b, ":: x[%d]=%d ", i, x)
		}
		b.WriteString("fi;\n")
	}
	fmt.Fprintf(&b, "if :: %s :: else -> goto done fi;\nsettle%d:\n", allowed(nil), k)
	settle()
	fmt.Fprintf(&b, "if\n:: phase==1 ->\nc_code {\n")
	hit(asked-1, asked)
	b.WriteString("unsigned char n[6];\n")
	for i, v := range r.vars {
		fmt.Fprintf(&b, "n[%d]=now.x[%d];\n", i, i)
		if v.kind == Machine {
			guards, to := fires(i, v.rules, false)
			for j, g := range guards {
				fmt.Fprintf(&b, "if (%s) n[%d]=%d;\n", strings.ReplaceAll(g, "x[", "now.x["), i, to[j])
			}
		}
	}
	for i := range r.vars {
		fmt.Fprintf(&b, "now.x[%d]=n[%d];\n", i, i)
	}
	fmt.Fprintf(&b, "now.phase=2;\n};\ngoto settle%d\n:: else\nfi;\nc_code {\n", k)
	for i, v := range r.vars {
		if v.kind == Edge {
			fmt.Fprintf(&b, "now.x[%d] = %s;\n", i, inC(v.cond))
		}
	}
	b.WriteString("now.phase=1;\n")
	hit(0, asked-1)
	b.WriteString("};\nif\n:: skip\n")
	for i, v := range r.vars {
		switch v.kind {
		case Input:
			for _, m := range v.moves {
				fmt.Fprintf(&b, ":: x[%d]==%d && %s && %s -> x[%d]=%d\n", i, m.from, m.guard.promela(nil), allowed(map[int]int{i: m.to}), i, m.to)
			}
		case Timing:
			to := 2
			if v.off {
				to = 0
			}
			fmt.Fprintf(&b, ":: x[%d]==1 -> x[%d]=%d\n", i, i, to)
		case Beating:
			fmt.Fprintf(&b, ":: %s -> x[%d]=1-x[%d]\n", v.cond.promela(nil), i, i)
		}
	}
	fmt.Fprintf(&b, "fi;\ngoto settle%d;\n", k)
	return b.String()
}

// runSpin explores the model completely and returns the numbers that were hit.
func runSpin(t *testing.T, spin outside.Spin, model string) map[int]bool {
	hits := map[int]bool{}
	for _, hit := range spin.Hits(t, model, 1_000_000) {
		n, err := strconv.Atoi(hit)
		require.NoError(t, err)
		hits[n] = true
	}
	return hits
}

// TestAgainstSpin compares what is possible in 600 random systems with what
// spin finds, without slices and with them.
func TestAgainstSpin(t *testing.T) {
	spin := outside.FindSpin(t)
	const each = 40
	batches := soak.Times(15)
	possible, impossible := 0, 0
	for batch := range batches {
		var b strings.Builder
		b.WriteString("c_decl { static char seen[100000]; static void hit(int n) { if (!seen[n]) { seen[n] = 1; printf(\"HIT %d\\n\", n); } } }\n")
		b.WriteString("byte x[6]; byte phase;\nactive proctype all() {\nif\n")
		for k := range each {
			fmt.Fprintf(&b, ":: goto begin%d\n", k)
		}
		b.WriteString("fi;\n")
		systems := make([]*refSystem, each)
		bad := make([][asked]*cond, each)
		for k := range each {
			d := evenly{t, rand.New(rand.NewPCG(uint64(soak.Seed()+batch*each+k), 7))}
			r := genSystem(d, false)
			all := make([]int, len(r.vars))
			for i := range all {
				all[i] = i
			}
			for j := range bad[k] {
				c := genCond(d, r.vars, all, 2)
				bad[k][j] = &cond{op: '&', kids: []*cond{c, genCond(d, r.vars, all, 1), genCond(d, r.vars, all, 0)}}
			}
			systems[k] = r
			fmt.Fprintf(&b, "begin%d:\n%s", k, r.promela(k, bad[k]))
		}
		b.WriteString("done: skip\n}\n")
		hits := runSpin(t, spin, b.String())
		for k, r := range systems {
			hunts, _ := r.settling(r.reach())
			for _, unsliced := range []bool{true, false} {
				if !unsliced && (hunts || len(r.raw()) == 0) {
					continue // where a slice may differ, see Slice
				}
				e, err := New(r.system(t), Options{Unsliced: unsliced})
				require.NoError(t, err)
				for j, c := range bad[k] {
					x := c.expr(e.System().Space)
					got := e.untimed(t, x, j == asked-1)
					require.Equal(t, hits[k*asked+j], got, "batch %d system %d question %d unsliced %v\n%v\n%v", batch, k, j, unsliced, r, c)
					possible, impossible = possible+count(got), impossible+count(!got)
				}
			}
		}
	}
	t.Logf("%d possible, %d impossible", possible, impossible)
	require.Positive(t, min(possible, impossible))
}

// untimed reports whether x can hold, time left out of account.
func (e *Engine) untimed(t *testing.T, x *logic.Expr, atStep bool) bool {
	m, err := e.model(context.Background(), slices.Clone(x.Vars())...)
	require.NoError(t, err)
	d, err := m.pass()
	require.NoError(t, err)
	in := m.reached.all
	if atStep {
		in = d.atStep
	}
	return m.f.And(in, m.f.Of(x)) != logic.Never
}
