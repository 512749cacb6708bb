package logic

import (
	"math/big"
	"slices"
)

// Count is the number of points of g as far as the given variables tell them
// apart; without variables, all of the manager's.
func (f *Manager) Count(g Ref, vars ...Var) *big.Int {
	g = f.And(g, f.valid)
	if len(vars) == 0 {
		vars = f.order
	}
	var hide []Var
	counted := make([]bool, f.total)
	for _, v := range f.order {
		if !slices.Contains(vars, v) {
			hide = append(hide, v)
			continue
		}
		for _, l := range f.levels[v] {
			counted[l] = true
		}
	}
	g = f.Exists(g, f.Bits(hide...))
	// before[l]: how many counted levels lie above level l
	before := make([]uint, f.total+1)
	for l := range f.total {
		before[l+1] = before[l]
		if counted[l] {
			before[l+1]++
		}
	}
	at := func(r Ref) uint {
		if l := f.level(r); l != terminal {
			return before[l]
		}
		return before[f.total]
	}
	memo := map[Ref]*big.Int{}
	// below counts the codes of the counted levels from r's level down.
	var below func(Ref) *big.Int
	below = func(r Ref) *big.Int {
		if r <= Always {
			return big.NewInt(int64(r))
		}
		if n, ok := memo[r]; ok {
			return n
		}
		lo, hi := f.branch(r, f.level(r))
		a := new(big.Int).Lsh(below(lo), at(lo)-at(r)-1)
		b := new(big.Int).Lsh(below(hi), at(hi)-at(r)-1)
		n := a.Add(a, b)
		memo[r] = n
		return n
	}
	return new(big.Int).Lsh(below(g), at(g))
}
