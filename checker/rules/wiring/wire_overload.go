package wiring

import (
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func wireOverload() rule.Rule {
	return rule.Rule{
		Name:     "wire-overload",
		Severity: diag.Error,
		Summary:  "a wire that carries more current than it is rated for",
		Why:      "the wire gets hot enough to age its insulation and that of its neighbours",
		Doc:      pages.Of("wire-overload"),
		Source:   "rated currents of thin-wall cable: common practice, no source",
		Needs:    rule.States,
		Run:      findWireOverloads,
	}
}

func findWireOverloads(p *rule.Pass) {
	v := look(p)
	guarded := v.guarded()
	k := v.highest()
	told := map[model.ElementID]bool{}
	springs := len(v.springs()) > 0
	for i := range v.d.Wires {
		w := &v.d.Wires[i]
		if w.Broken || w.Element == model.None || told[w.Element] {
			continue
		}
		r, ok := v.rated(w)
		if !ok || guarded[w.Element] > 0 && guarded[w.Element] <= r.Amps || bounds.Of(p).most(w.Element) <= r.Amps {
			continue
		}
		held, times := "", 1.0
		got := v.unguarded(w, r.Amps, 1, k, v.settled(v.ends(w.Element)...))
		if sprung := p.Limits.SprungWire / 100; got == nil && springs && bounds.Of(p).most(w.Element) > sprung*r.Amps {
			times = sprung
			sound := v.sound(v.ends(w.Element)...)
			if got = v.unguarded(w, r.Amps, times, k, sound); got != nil {
				held = v.heldFor(got, &w.Info, sound)
			}
		}
		if got == nil {
			continue
		}
		f := diag.Finding{
			Place:   evidence.Site(v.d, &w.Info),
			Subject: w.Path,
			Message: fmt.Sprintf("%s may carry %s and carries %s%s%s", w.Path, r, got.most(), v.with(k), held),
			Numbers: evidence.Numbers(got.most()),
			Help:    "take a thicker wire, and a fuse that suits it",
		}
		over := []ratedWire{{w, r}}
		// Other wires that the same current is too much for.
		steps, _ := got.PathThrough(w.Element)
		for _, st := range steps {
			e := &v.d.Elements[st.Element]
			if e.Type != model.ElemWire || st.Element == w.Element || st.Amps < same*got.value {
				continue
			}
			if also, ok := v.rated(&v.d.Wires[e.Of]); ok && times*also.Amps < st.Amps && v.heldBy(got, st.Element, also.Amps) == nil {
				told[st.Element] = true
				over = append(over, ratedWire{&v.d.Wires[e.Of], also})
			}
		}
		for _, a := range byLine(over)[1:] {
			f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &a[0].Info), Note: fmt.Sprintf("%s may carry %s too", a.name(), a[0].may)})
		}
		f.Evidence = append([]diag.Evidence{
			ratings(over), way("current path", got.Solved, w.Element),
		}, evidence.Moves("how it comes about", got.trace)...)
		p.Report(f)
	}
}

// same is how much of a current has to run through another wire for it to be the same
// one, but for what branches off.
const same = 0.95

// unguarded looks for the state in which most runs through a wire that is good for so many
// ampere, and for more than that without overloading a fuse that is small enough for it:
// where it does, that fuse is to be told of. It is more by a multiple, in states in which a
// condition holds. It is nil if there is none.
func (v *view) unguarded(w *model.Wire, amps, times float64, k circuit.Corner, also system.Condition) *peak {
	for {
		got, ok := v.worst(v.at(k), &w.Info, ask.Current(w.Element), times*amps, also)
		if ok != ask.Yes {
			return nil
		}
		f := v.heldBy(got, w.Element, amps)
		if f == nil {
			return got
		}
		also = system.All(also, system.Not(ask.Above(ask.Current(f.Element), f.Rating)))
	}
}

// heldBy is a fuse of at most so many ampere that carries more than it is rated for, the
// whole current of an element among it: on the feed side or, as for the way back of what it
// feeds, on the other.
func (v *view) heldBy(at *peak, e model.ElementID, amps float64) *model.Fuse {
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None || f.Rating > amps || math.Abs(at.Amps(f.Element)) <= f.Rating {
			continue
		}
		if at.OnlyThrough(e, f.Element, (1-same)*math.Abs(at.Amps(e))) {
			return f
		}
	}
	return nil
}

// guarded tells of wires the smallest rating of a fuse that they lie behind, in A.
func (v *view) guarded() map[model.ElementID]float64 {
	behind := fusings.Of(v.p)
	out := map[model.ElementID]float64{}
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		for _, id := range behind.beyond[f.Element] {
			if old, ok := out[id]; !slices.Contains(behind.bare, id) && (!ok || f.Rating < old) {
				out[id] = f.Rating
			}
		}
	}
	return out
}
