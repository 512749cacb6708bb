package circuit

import (
	"slices"

	"pintle/lang/model"
)

// Blocking returns the diodes that keep a current from ever running through an element,
// whatever the switches do: that stand against it on the way to its feed or to ground with
// the fewest of them, the nearest to the element first. It is empty where some way of a
// current has none, and where there is no way at all. Some supplies, by their elements, may be
// left aside, as those that are never present.
func (c *Circuit) Blocking(id model.ElementID, but ...model.ElementID) []model.ElementID {
	e := &c.elems[id]
	if c.design.Ground == model.None {
		return nil
	}
	// Where there is more than one source, a current may also go home into another one.
	sources, sinks := c.pluses(func(s model.ElementID) bool { return !slices.Contains(but, s) }), c.grounds()
	for i := range c.elems {
		if p := &c.elems[i]; p.Type == model.ElemPull && p.Volts != (model.Param{}) {
			sources = append(sources, p.B)
		}
	}
	bar := sources
	if len(sources) > 1 {
		sinks, bar = append(sinks, sources...), nil
	}
	var best []model.ElementID
	for i, ends := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
		if i == 1 && e.diode() {
			break
		}
		feed, ok := c.against(ends[0], sources, c.grounds(), false, id)
		earth, ok2 := c.against(ends[1], sinks, bar, true, id)
		if !ok || !ok2 {
			continue
		}
		diodes := append(feed, earth...)
		if len(diodes) == 0 {
			return nil
		}
		if best == nil || len(diodes) < len(best) {
			best = diodes
		}
	}
	return best
}

// against searches from a node, along currents or against them, for one of some nodes, by
// the way with the fewest diodes that look the wrong way, and lists these. No way goes on
// beyond a bar. ok is false where there is none.
func (c *Circuit) against(from model.NodeID, to, bar []model.NodeID, along bool, but model.ElementID) (diodes []model.ElementID, ok bool) {
	n := len(c.design.Nodes)
	via, cost := c.noVia(), make([]int, n)
	reached, done := make([]bool, n), make([]bool, n)
	reached[from] = true
	for near, far := []model.NodeID{from}, []model.NodeID(nil); len(near) > 0 || len(far) > 0; {
		if len(near) == 0 {
			near, far = far, nil // one diode more
		}
		x := near[0]
		near = near[1:]
		if done[x] {
			continue
		}
		done[x] = true
		if slices.Contains(to, x) {
			for x != from {
				e := &c.elems[via[x]]
				before := e.A + e.B - x
				if e.diode() && (before == e.A) != along {
					diodes = append(diodes, via[x])
				}
				x = before
			}
			slices.Reverse(diodes)
			return diodes, true
		}
		island, inside := c.IslandOf(x)
		if slices.Contains(bar, x) || !inside {
			continue
		}
		for _, id := range c.islands[island].Elements {
			e := &c.elems[id]
			if e.A != x && e.B != x || id == but || e.Type == model.ElemSupply && !e.shorted {
				continue
			}
			next, more := e.A+e.B-x, 0
			if e.diode() && (x == e.A) != along {
				more = 1
			}
			if done[next] || reached[next] && cost[next] <= cost[x]+more {
				continue
			}
			reached[next], cost[next], via[next] = true, cost[x]+more, id
			if more == 0 {
				near = append(near, next)
			} else {
				far = append(far, next)
			}
		}
	}
	return nil, false
}
