package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/circuittest"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// worldOf is a state of the system as the interpreter sees it.
func worldOf(s *system.System, p logic.Point) *world {
	d := s.Design()
	w := &world{timers: make([]int, len(d.Timers)), beats: make([]int, len(d.Beats)), edges: make([]int, len(d.Edges))}
	value := func(r system.Role) int {
		v, ok := s.Var(r)
		if !ok {
			panic(fmt.Sprint("no variable for ", r))
		}
		return int(p[v])
	}
	for i := range d.Settings {
		w.settings = append(w.settings, value(system.Role{Kind: system.RoleSetting, Index: i}))
	}
	for i := range d.Quantities {
		at := s.Axis(model.QuantityID(i)).Value(value(system.Role{Kind: system.RoleQuantity, Index: i})).N
		place := 0
		for _, l := range levels {
			switch at.Cmp(unit.Int(l)) {
			case 0:
				place++
			case 1:
				place += 2
			}
		}
		w.quantities = append(w.quantities, place)
	}
	for i := range d.Memories {
		w.memories = append(w.memories, value(system.Role{Kind: system.RoleMemory, Index: i}))
	}
	for i := range d.Machines {
		w.modes = append(w.modes, s.ModeOf(p, model.MachineID(i)))
	}
	for i := range d.Timers {
		w.timers[i] = phase(s, p, i)
	}
	for i := range d.Beats {
		w.beats[i] = value(system.Role{Kind: system.RoleBeat, Index: i})
	}
	for i := range d.Edges {
		w.edges[i] = value(system.Role{Kind: system.RoleEdge, Index: i})
	}
	for i := range d.Elements {
		if d.Elements[i].Sometimes {
			w.free = append(w.free, value(system.Role{Kind: system.RoleFree, Index: i}))
		}
	}
	return w
}

// phase is the phase that a timer reads as.
func phase(s *system.System, p logic.Point, timer int) int {
	for x := range 3 {
		e, err := s.Expr(context.Background(), &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomTimer, Index: timer, In: []int{x}}})
		if err != nil {
			panic(err)
		}
		if e.Eval(p) {
			return x
		}
	}
	return -1
}

// states lists the reachable states of a system as the interpreter sees them; each with
// one point.
func states(t require.TestingT, s *system.System) map[string]logic.Point {
	ctx := context.Background()
	vars := make([]logic.Var, len(s.Reach().Vars))
	for i := range vars {
		vars[i] = logic.Var(i)
	}
	f, r, err := s.Engine().Reachable(ctx, vars...)
	require.NoError(t, err)
	out := map[string]logic.Point{}
	var points []logic.Point
	for {
		p, ok := f.Least(r)
		if !ok {
			break
		}
		points = append(points, p)
		r = f.Diff(r, f.Point(p))
	}
	require.NoError(t, f.Err())
	for _, p := range points {
		out[worldOf(s, p).key()] = p
	}
	return out
}

// The states that the system reaches are those that an interpreter of the flat model
// reaches one by one, in 1000 designs.
func TestAgainstInterpreter(t *testing.T) {
	for _, plain := range []bool{true, false} {
		for round := range 5 { // rapid draws 100 designs at a time
			t.Run(fmt.Sprintf("plain=%v/%d", plain, round), func(t *testing.T) {
				rapid.Check(t, func(t *rapid.T) {
					d := design(t, plain)
					b, err := newBrute(d)
					require.NoError(t, err)
					want := b.reachable(3000)
					if want == nil {
						return
					}
					s, err := system.Build(context.Background(), d, system.Options{Also: allLevels(d)})
					require.NoError(t, err)
					got := states(t, s)
					for k := range want {
						if _, ok := got[k]; !ok {
							t.Fatalf("%s is reached by the interpreter only\n%s", k, dump(d))
						}
					}
					for k := range got {
						if _, ok := want[k]; !ok {
							t.Fatalf("%s is reached by the system only\n%s", k, dump(d))
						}
					}
				})
			})
		}
	}
}

// allLevels compares each quantity with every level, so that the system tells the same
// places apart as the interpreter.
func allLevels(d *model.Design) []*model.Cond {
	var out []*model.Cond
	for q := range d.Quantities {
		for _, l := range levels {
			out = append(out, circuittest.Atom(model.Atom{Kind: model.AtomQuantity, Index: q, Cmp: model.Above, Value: at(l)}))
		}
	}
	return out
}

func dump(d *model.Design) string {
	var b strings.Builder
	_ = model.Dump(&b, d)
	return b.String()
}
