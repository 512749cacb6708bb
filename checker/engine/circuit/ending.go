package circuit

import (
	"slices"

	"pintle/lang/model"
)

// Ending is where the metal that is joined to a node comes to an end.
type Ending struct {
	Dead     []model.NodeID    // at which nothing else ends, in the order of their distance
	Open     []model.ElementID // switches that stand open between it and other metal
	Blocking []model.ElementID // diodes driven backwards between it and a feed or ground
}

// Ending tells where the metal ends that is joined to a node in this state, leaving one
// element out (model.None: no element), which is the one whose feed or earth is looked for.
func (s *Solution) Ending(n model.NodeID, but model.ElementID) (out Ending) {
	seen := map[model.NodeID]bool{n: true}
	at := make(map[model.NodeID][]model.ElementID)
	for i := range s.c.elems {
		e := &s.c.elems[i]
		if e.removed || e.A == e.B || !s.c.known(e.A) || !s.c.known(e.B) {
			continue
		}
		at[e.A] = append(at[e.A], model.ElementID(i))
		at[e.B] = append(at[e.B], model.ElementID(i))
	}
	for queue := []model.NodeID{n}; len(queue) > 0; queue = queue[1:] {
		k := queue[0]
		others := 0
		for _, id := range at[k] {
			e := &s.c.elems[id]
			to := e.A + e.B - k
			if id == but {
				continue
			}
			others++
			_, switched, _ := s.c.SwitchOf(id)
			switch {
			case e.diode():
				if s.Blocks(id) && (s.Live(to) || s.Grounded(to)) {
					out.Blocking = append(out.Blocking, id)
				}
			case !e.Metal && !e.shorted:
			case !s.Conducts(id):
				if switched && e.Type != model.ElemSupply && !slices.Contains(out.Open, id) {
					out.Open = append(out.Open, id)
				}
			case !seen[to]:
				seen[to] = true
				queue = append(queue, to)
			}
		}
		if others == 0 || others == 1 && k != n {
			out.Dead = append(out.Dead, k)
		}
	}
	// A switch with both its ends on this metal leads nowhere else.
	out.Open = slices.DeleteFunc(out.Open, func(id model.ElementID) bool {
		e := &s.c.elems[id]
		return seen[e.A] && seen[e.B]
	})
	return out
}
