package fluid

import "pintle/lang/model"

// WayAgainst is the way from an origin to a port that is against the fewest passages that
// pass in one direction only, whatever is open, and lists these. Where there is none, the
// way lists all that is joined to the port.
func (f *Fluid) WayAgainst(to model.PortID) (way, against []model.PassageID) {
	type step struct {
		via  model.PassageID
		cost int
	}
	passes := map[[2]model.PortID]bool{}
	for _, e := range f.edges {
		passes[[2]model.PortID{e.From, e.To}] = true
	}
	best := map[model.PortID]step{to: {via: model.None}}
	var order []model.PassageID
	for changed := true; changed; { // costs are few and small
		changed = false
		for _, e := range f.edges {
			for _, ends := range [...][2]model.PortID{{e.From, e.To}, {e.To, e.From}} {
				far, near := ends[0], ends[1]
				from, ok := best[near]
				cost := from.cost
				if !passes[ends] {
					cost++
				}
				old, seen := best[far]
				if !ok || seen && old.cost <= cost {
					continue
				}
				if !seen {
					order = append(order, e.Passage)
				}
				best[far], changed = step{e.Passage, cost}, true
			}
		}
	}
	at := model.PortID(model.None)
	for _, s := range f.sources {
		if b, ok := best[s.Port]; ok && (at == model.None || b.cost < best[at].cost) {
			at = s.Port
		}
	}
	if at == model.None {
		return order, nil
	}
	for best[at].via != model.None {
		k := &f.design.Passages[best[at].via]
		next := k.A + k.B - at
		way = append(way, best[at].via)
		if !passes[[2]model.PortID{at, next}] {
			against = append(against, best[at].via)
		}
		at = next
	}
	return way, against
}
