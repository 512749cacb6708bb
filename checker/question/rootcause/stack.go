package rootcause

import "pintle/lang/model"

// stacked lists for each supply that stands in series with others the paths of them all,
// itself included: batteries of which the minus of one is the plus of the next.
func stacked(d *model.Design) map[string][]string {
	out := map[string][]string{}
	for i := range d.Supplies {
		for j := range d.Supplies {
			a, b := &d.Supplies[i], &d.Supplies[j]
			if i == j || a.Broken || b.Broken || a.Plus < 0 || a.Plus != b.Minus || a.Plus == d.Ground {
				continue
			}
			for _, k := range [...]*model.Supply{a, b} {
				if out[k.Path] == nil {
					out[k.Path] = []string{k.Path}
				}
			}
			both := append(out[a.Path], out[b.Path]...)
			for _, path := range both {
				out[path] = both
			}
		}
	}
	return out
}

// starvedBy is the finding among those before that shorts one of the batteries in series that
// feed what gets too little, or len(before).
func (f *folding) starvedBy(i int, before []int) int {
	if f.rank(i) != starved || len(f.stacks) == 0 {
		return len(before)
	}
	feeds := f.g.slice(f.found[i].Subject, false, false).has
	for n, j := range before {
		if f.found[j].Rule != "supply-to-ground-short" {
			continue
		}
		for path := range f.g.slice(f.found[j].Subject, false, false).has {
			for _, other := range f.stacks[path] {
				if feeds[other] {
					return n
				}
			}
		}
	}
	return len(before)
}
