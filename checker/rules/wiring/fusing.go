package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// fusing is what each fuse protects, and what none does: by ways of which all switches
// are closed at once in some state that can be reached. Two throws of one changeover, or
// two rows of a chart that exclude one another, are no way.
type fusing struct {
	bare []model.ElementID
	// unfused is what batteries reach without a fuse. A supply that only gives, an alternator or a
	// converter, gives no more than it can: behind it a fuse towards the battery still protects.
	unfused []model.ElementID
	beyond  map[model.ElementID][]model.ElementID // by the fuse's element
}

var fusings = rule.Share(func(p *rule.Pass) *fusing {
	w := &ways{v: look(p), can: map[string]bool{}}
	out := &fusing{beyond: map[model.ElementID][]model.ElementID{}}
	var pluses, stores []model.NodeID
	for i := range p.Design.Supplies {
		if s := &p.Design.Supplies[i]; !s.Broken {
			pluses = append(pluses, s.Plus)
			if !p.Design.Elements[s.Element].OneWay {
				stores = append(stores, s.Plus)
			}
		}
	}
	out.bare, out.unfused = w.from(pluses, model.None), w.from(stores, model.None)
	for i := range p.Design.Fuses {
		if f := &p.Design.Fuses[i]; !f.Broken && f.Element != model.None {
			out.beyond[f.Element] = w.from(w.v.c.FarEnds(f.Element), f.Element)
		}
	}
	return out
})

// ways looks for ways through metal that can be there at one time.
type ways struct {
	v   *view
	can map[string]bool // by the switches of a way: whether they are closed together at some time
}

// mostWays bounds how many ways to one point are distinguished, by the switches on them.
const mostWays = 8

// from follows metal from some nodes up to fuses, loads and ground, in the order in
// which it is reached.
func (w *ways) from(start []model.NodeID, fuse model.ElementID) (out []model.ElementID) {
	type place struct {
		n    model.NodeID
		over []circuit.Switch // ascending: what has to be closed to come here
	}
	v := w.v
	known := map[model.NodeID][][]circuit.Switch{}
	var queue []place
	enter := func(n model.NodeID, over []circuit.Switch) {
		if n == v.d.Ground || len(known[n]) >= mostWays || slices.ContainsFunc(known[n], func(k []circuit.Switch) bool { return subset(k, over) }) {
			return
		}
		known[n] = append(known[n], over)
		queue = append(queue, place{n, over})
	}
	for _, n := range start {
		enter(n, nil)
	}
	taken := map[model.ElementID]bool{}
	for ; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, id := range bounds.Of(v.p).at[at.n] {
			e := &v.d.Elements[id]
			if id == fuse || e.Type == model.ElemFuse || !passes(e) || e.Type == model.ElemDiode && at.n != e.A {
				continue
			}
			over := at.over
			if s, switched, _ := v.c.SwitchOf(id); switched && !slices.Contains(over, s) {
				over = slices.Sorted(slices.Values(append(slices.Clone(over), s)))
				if !w.together(over) {
					continue
				}
			}
			if !taken[id] {
				taken[id] = true
				out = append(out, id)
			}
			enter(e.A+e.B-at.n, over)
		}
	}
	return out
}

func subset(a, b []circuit.Switch) bool {
	return !slices.ContainsFunc(a, func(s circuit.Switch) bool { return !slices.Contains(b, s) })
}

// together reports whether switches are closed at once in some state that can be reached.
// A single one is taken to be; where it can't be told, they are not.
func (w *ways) together(over []circuit.Switch) bool {
	if len(over) < 2 {
		return true
	}
	key := fmt.Sprint(over)
	if known, ok := w.can[key]; ok {
		return known
	}
	infos := w.v.c.Switches()
	all := make([]system.Condition, len(over))
	for i, s := range over {
		all[i] = system.On(infos[s].Cond)
	}
	got, err := w.v.at(circuit.Nominal).PossibleHere(w.v.p.Ctx, system.All(all...))
	w.v.p.StopOn(err)
	w.can[key] = got.Outcome == system.Holds || got.Outcome == system.HoldsNominally
	return w.can[key]
}
