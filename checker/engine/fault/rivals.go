package fault

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// rivals tells of which fuses the one that opens saves the other: those through which one current
// path can lead, from the plus of a supply to its minus, whatever is switched on. Of others each
// opens by itself, whatever happens in the circuit of the other.
type rivals struct {
	d     *model.Design
	c     *circuit.Circuit
	at    [][]model.ElementID // what can conduct, by node; nil until the first question
	known map[[2]int]bool
}

// join lists what can conduct, by node.
func (r *rivals) join() {
	r.at, r.known = make([][]model.ElementID, len(r.d.Nodes)), map[[2]int]bool{}
	for i := range r.c.Elements() {
		id := model.ElementID(i)
		e := r.c.Element(id)
		if _, switched, conducts := r.c.SwitchOf(id); (switched || conducts) && e.A >= 0 && e.B >= 0 && e.A != e.B {
			r.at[e.A] = append(r.at[e.A], id)
			r.at[e.B] = append(r.at[e.B], id)
		}
	}
}

// are reports whether two fuses, by index, are rivals.
func (r *rivals) are(i, j int) bool {
	if r.at == nil {
		r.join()
	}
	if i > j {
		i, j = j, i
	}
	key := [2]int{i, j}
	out, ok := r.known[key]
	if !ok {
		out = r.behind(i, j) || r.behind(j, i)
		r.known[key] = out
	}
	return out
}

// behind reports whether a current path can lead through one fuse and then through another. Its
// three parts, to the first fuse, from there to the second and on to the minus, may meet in nodes
// other than the ends of the fuses: that takes in some more fuses than there are.
func (r *rivals) behind(first, second int) bool {
	f, g := r.c.Element(r.d.Fuses[first].Element), r.c.Element(r.d.Fuses[second].Element)
	for i := range r.d.Supplies {
		s := &r.d.Supplies[i]
		if s.Broken || s.Plus < 0 || s.Minus < 0 || s.Plus == s.Minus {
			continue
		}
		for _, a := range [...][2]model.NodeID{{f.A, f.B}, {f.B, f.A}} {
			for _, b := range [...][2]model.NodeID{{g.A, g.B}, {g.B, g.A}} {
				if a[0] == b[0] || a[0] == b[1] || a[1] == b[1] {
					continue
				}
				ends := []model.NodeID{s.Plus, a[0], a[1], b[0], b[1], s.Minus}
				not := []model.ElementID{s.Element, r.d.Fuses[first].Element, r.d.Fuses[second].Element}
				if r.leads(ends[0], ends[1], ends, not) && r.leads(ends[2], ends[3], ends, not) && r.leads(ends[4], ends[5], ends, not) {
					return true
				}
			}
		}
	}
	return false
}

// leads reports whether a current could run from one node to another past some others, and not
// through some elements.
func (r *rivals) leads(from, to model.NodeID, past []model.NodeID, not []model.ElementID) bool {
	seen := map[model.NodeID]bool{}
	for _, n := range past {
		seen[n] = n != to
	}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == to {
			return true
		}
		for _, id := range r.at[n] {
			e := r.c.Element(id)
			if next := e.A + e.B - n; !seen[next] && !slices.Contains(not, id) {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}
