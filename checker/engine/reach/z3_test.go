package reach

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/checktest/soak"
)

// moves that z3 looks ahead.
const ahead = 5

// z3Graph is what the reference reaches with time left out of account, numbered.
type z3Graph struct {
	r      *refSystem
	x      *refReach
	number map[string]int
	edges  []z3Edge
}

type z3Edge struct {
	from, to string
	move     Happening
}

func (r *refSystem) graph() *z3Graph {
	g := &z3Graph{r: r, x: r.reach(), number: map[string]int{}}
	for i, s := range g.x.order {
		g.number[s] = i
	}
	scratch := &refReach{first: map[string]bool{}, second: map[string]bool{}, atStep: map[string]bool{}}
	for _, s := range g.x.order {
		for _, t := range g.x.idle[s] {
			g.edges = append(g.edges, z3Edge{s, t, Happening{Kind: MoveIdle, Var: -1}})
		}
		for _, e := range r.begin(s) {
			for t := range r.respond(e.state, scratch) {
				g.edges = append(g.edges, z3Edge{s, t, e.move})
			}
		}
	}
	return g
}

// smt asks in real time, where every clock is a real number (Alur, Dill: A theory of timed
// automata, 1994), whether a state of some can be come to within so many moves. Step i leads
// from state s<i> at time t<i>; variable v has been timed since b<i>_<v>, or was entered then
// from the value d<i>_<v>.
func (g *z3Graph) smt(bad func(s string) bool) string {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	among := func(i int, states []string) string {
		out := "(or false"
		for _, s := range states {
			out += fmt.Sprintf(" (= s%d %d)", i, g.number[s])
		}
		return out + ")"
	}
	which := func(yes func(s string) bool) []string {
		return slices.DeleteFunc(slices.Clone(g.x.order), func(s string) bool { return !yes(s) })
	}
	say("(push)")
	for i := range ahead + 1 {
		say("(declare-const s%d Int) (declare-const t%d Real)", i, i)
		for v := range g.r.vars {
			say("(declare-const b%d_%d Real) (declare-const d%d_%d Int)", i, v, i, v)
		}
	}
	say("(assert %s) (assert (>= t0 0))", among(0, g.x.initial))
	for v := range g.r.vars {
		say("(assert (= b0_%d 0)) (assert (= d0_%d (- 1)))", v, v)
	}
	for i := range ahead {
		since := "0"
		if i > 0 {
			since = fmt.Sprintf("t%d", i-1)
		}
		say("(assert (>= t%d %s))", i, since)
		// Time stands still where something goes on at once, and passes no end.
		still := which(func(s string) bool { return len(g.x.idle[s]) > 0 || g.r.step(s) != s })
		say("(assert (=> %s (= t%d %s)))", among(i, still), i, since)
		for v := range g.r.vars {
			timed := which(func(s string) bool { return g.r.measures(v, s) })
			if timed != nil {
				say("(assert (=> %s (<= (- t%d b%d_%d) %d)))", among(i, timed), i, i, v, g.r.vars[v].span.Max)
			}
		}
		say("(assert (or (= s%d (- 1))", i+1) // a run may end
		for _, e := range g.edges {
			say("(and (= s%d %d) (= s%d %d)", i, g.number[e.from], i+1, g.number[e.to])
			for v, x := range g.r.vars {
				mine := e.move.Kind != MoveIdle && int(e.move.Var) == v
				switch {
				case mine && (e.move.Kind == MoveElapse || e.move.Kind == MoveToggle) && g.r.measures(v, e.from):
					say("(>= (- t%d b%d_%d) %d)", i, i, v, x.span.Min)
				case mine && e.move.Kind == MoveInput && x.slow():
					for _, m := range x.moves {
						if m.from == e.move.From && m.to == e.move.To && m.least > 0 {
							say("(or (= d%d_%d (- 1)) (= d%d_%d %d) (>= (- t%d b%d_%d) %d))", i, v, i, v, m.to, i, i, v, m.least)
						}
					}
				}
				kept := fmt.Sprintf("(= b%d_%d b%d_%d)", i+1, v, i, v)
				begins := fmt.Sprintf("(= b%d_%d t%d)", i+1, v, i)
				switch {
				case x.kind == Input && mine && x.slow():
					say("%s (= d%d_%d %d)", begins, i+1, v, e.move.From)
				case x.kind == Input:
					say("%s (= d%d_%d d%d_%d)", kept, i+1, v, i, v)
				case g.r.measures(v, e.to) && (mine || !g.r.measures(v, e.from)):
					say("%s", begins)
				default:
					say("%s", kept)
				}
			}
			say(")")
		}
		say("))")
	}
	say("(assert (or false")
	for i := range ahead + 1 {
		say("%s", among(i, which(bad)))
	}
	say("))\n(check-sat)\n(pop)")
	return b.String()
}

// What the engine rules out in time has no run of a few moves in real time, and of
// what it finds possible z3 finds such a run if the engine's is as short.
func TestTimeAgainstZ3(t *testing.T) {
	z3 := outside.Program(t, "z3", `^Z3 version 4`, "--version")
	ctx := context.Background()
	var text strings.Builder
	type question struct {
		r       *refSystem
		verdict Verdict
	}
	var asked []question
	for seed := soak.Seed(); len(asked) < soak.Times(32); seed++ {
		d := evenly{t, rand.New(rand.NewPCG(uint64(seed), 23))}
		r := genSystem(d, true)
		if !slices.ContainsFunc(r.vars, func(v refVar) bool { return v.kind == Timing || v.kind == Beating }) {
			continue
		}
		g := r.graph()
		if len(g.x.order) > 60 || len(g.edges) > 250 {
			continue
		}
		every := make([]int, len(r.vars))
		for i := range every {
			every[i] = i
		}
		bad := genCond(d, r.vars, every, 1)
		for i, v := range r.vars { // phases that may exclude one another in time
			if v.kind == Timing {
				bad = &cond{op: '&', kids: []*cond{bad, {op: 'v', v: i, set: map[int]bool{d.n(1, 2): true}}}}
			}
		}
		sys := r.system(t)
		e, err := New(sys, Options{Unsliced: true})
		require.NoError(t, err)
		v, err := e.Never(ctx, bad.expr(sys.Space))
		require.NoError(t, err)
		if v.Outcome == Undecided { // by what never settles: nothing to hold against z3
			require.True(t, v.Hunt != nil || v.Livelock != nil)
			continue
		}
		switch byTime := v.Outcome == Holds && v.Reason != ""; {
		case !byTime && len(asked) < soak.Times(16):
			continue // those that time rules out are rare: first half of them
		case v.Outcome == Holds && !byTime && d.n(0, 3) > 0:
			continue
		}
		text.WriteString(g.smt(bad.eval))
		asked = append(asked, question{r, v})
	}
	cmd := exec.Command(z3, "-in", "-smt2")
	cmd.Stdin = strings.NewReader(text.String())
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%.2000s", out)
	answers := strings.Fields(string(out))
	require.Len(t, answers, len(asked), "%.2000s", out)
	byTime, possible := 0, 0
	for i, q := range asked {
		switch {
		case q.verdict.Outcome == Holds:
			require.Equal(t, "unsat", answers[i], "%v", q.r)
			byTime += count(q.verdict.Reason != "")
		case len(q.verdict.Trace.Steps) <= ahead:
			require.Equal(t, "sat", answers[i], "%v\n%v", q.r, q.verdict.Trace)
			possible++
		}
	}
	t.Logf("%d ruled out by time, %d possible", byTime, possible)
	require.Positive(t, min(byTime, possible))
}
