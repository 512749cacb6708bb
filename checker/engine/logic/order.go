package logic

import (
	"cmp"
	"slices"
)

// Order arranges variables so that those used together stand near each other,
// which keeps decision diagrams small. Each group lists variables that one
// expression, rule or transition mentions. Vars that are in no group come
// last. The result is the best of a fixed number of passes of the force
// heuristic (Aloul, Markov, Sakallah: FORCE, a fast and easy-to-implement
// variable-ordering heuristic, 2003), started from the order given: each
// variable moves to the mean of the centres of its groups. The measure is the
// sum of the spans of the groups.
func Order(vars []Var, groups [][]Var) []Var {
	place := make(map[Var]int, len(vars))
	for i, v := range vars {
		place[v] = i
	}
	var nets [][]int // indices into vars
	member := make([][]int, len(vars))
	for _, g := range groups {
		var net []int
		for _, v := range g {
			if i, ok := place[v]; ok && !slices.Contains(net, i) {
				net = append(net, i)
			}
		}
		if len(net) < 2 {
			continue
		}
		for _, i := range net {
			member[i] = append(member[i], len(nets))
		}
		nets = append(nets, net)
	}
	at := make([]int, len(vars)) // position of each index
	seq := make([]int, len(vars))
	for i := range seq {
		seq[i], at[i] = i, i
	}
	best, bestSpan := slices.Clone(seq), span(nets, at)
	goal := make([]float64, len(vars))
	centre := make([]float64, len(nets))
	for range 40 {
		for n, net := range nets {
			sum := 0
			for _, i := range net {
				sum += at[i]
			}
			centre[n] = float64(sum) / float64(len(net))
		}
		for i := range goal {
			if len(member[i]) == 0 {
				goal[i] = float64(len(vars) + i)
				continue
			}
			sum := 0.0
			for _, n := range member[i] {
				sum += centre[n]
			}
			goal[i] = sum / float64(len(member[i]))
		}
		slices.SortStableFunc(seq, func(a, b int) int { return cmp.Compare(goal[a], goal[b]) })
		for p, i := range seq {
			at[i] = p
		}
		if s := span(nets, at); s < bestSpan {
			best, bestSpan = slices.Clone(seq), s
		}
	}
	out := make([]Var, len(vars))
	for p, i := range best {
		out[p] = vars[i]
	}
	return out
}

func span(nets [][]int, at []int) int {
	sum := 0
	for _, net := range nets {
		lo, hi := at[net[0]], at[net[0]]
		for _, i := range net {
			lo, hi = min(lo, at[i]), max(hi, at[i])
		}
		sum += hi - lo
	}
	return sum
}
