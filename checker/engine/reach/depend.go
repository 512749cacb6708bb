package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// dependencies lists for each variable the variables that decide how it moves,
// itself excluded, in rising order. An invariant ties the variables that it
// mentions together.
func dependencies(sys *System) [][]logic.Var {
	deps := make([][]logic.Var, len(sys.Vars))
	add := func(v logic.Var, e *logic.Expr) { deps[v] = append(deps[v], e.Vars()...) }
	for _, in := range sys.Inputs {
		for _, m := range in.Moves {
			for _, g := range m.Guards {
				add(in.Var, g.When)
			}
		}
	}
	for _, inv := range sys.Invariants {
		for _, v := range inv.Holds.Vars() {
			add(v, inv.Holds)
		}
	}
	for _, el := range sys.Elements {
		for _, r := range el.Rules {
			add(el.Var, r.When)
		}
	}
	for _, m := range sys.Machines {
		for _, t := range m.Transitions {
			add(m.Var, t.When)
		}
	}
	for _, c := range sys.Clocks {
		add(c.Var, c.Run)
		if c.steady != nil {
			add(c.Var, c.steady)
		}
		for _, l := range c.Lasts {
			add(c.Var, l.When)
		}
	}
	for _, b := range sys.Beats {
		add(b.Var, b.Enable)
	}
	for _, e := range sys.Edges {
		add(e.Var, e.Of)
	}
	for v := range deps {
		slices.Sort(deps[v])
		deps[v] = slices.Compact(deps[v])
		deps[v] = slices.DeleteFunc(deps[v], func(w logic.Var) bool { return w == logic.Var(v) })
	}
	return deps
}

// cone closes vars under deps: everything that can affect them.
func cone(deps [][]logic.Var, vars []logic.Var) []logic.Var {
	in := make([]bool, len(deps))
	var stack []logic.Var
	push := func(vs []logic.Var) {
		for _, v := range vs {
			if !in[v] {
				in[v] = true
				stack = append(stack, v)
			}
		}
	}
	push(vars)
	for len(stack) > 0 {
		v := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		push(deps[v])
	}
	var out []logic.Var
	for v, is := range in {
		if is {
			out = append(out, logic.Var(v))
		}
	}
	return out
}

// components are the strongly connected components of deps among the variables
// that keep accepts (Tarjan 1972), each rising, dependencies first.
func components(deps [][]logic.Var, keep func(logic.Var) bool) [][]logic.Var {
	n := len(deps)
	index, low := make([]int, n), make([]int, n)
	on := make([]bool, n)
	var stack []logic.Var
	var out [][]logic.Var
	next := 1
	type frame struct {
		v logic.Var
		i int
	}
	for root := range n {
		if index[root] != 0 || !keep(logic.Var(root)) {
			continue
		}
		calls := []frame{{v: logic.Var(root)}}
		for len(calls) > 0 {
			c := &calls[len(calls)-1]
			v := c.v
			if index[v] == 0 {
				index[v], low[v] = next, next
				next++
				stack = append(stack, v)
				on[v] = true
			}
			deeper := false
			for ; c.i < len(deps[v]); c.i++ {
				w := deps[v][c.i]
				if !keep(w) {
					continue
				}
				if index[w] == 0 {
					calls = append(calls, frame{v: w})
					deeper = true
					break
				}
				if on[w] {
					low[v] = min(low[v], low[w])
				}
			}
			if deeper {
				continue
			}
			if low[v] == index[v] {
				var comp []logic.Var
				for {
					w := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					on[w] = false
					comp = append(comp, w)
					if w == v {
						break
					}
				}
				slices.Sort(comp)
				out = append(out, comp)
			}
			calls = calls[:len(calls)-1]
			if len(calls) > 0 {
				p := calls[len(calls)-1].v
				low[p] = min(low[p], low[v])
			}
		}
	}
	return out
}
