package fault

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// each lists the injected faults one by one.
func (w *Faulted) each() []*Faulted {
	if w.parts != nil {
		return w.parts
	}
	return []*Faulted{w}
}

// bothOf is the fault of two that come each at its time.
func bothOf(f, g *Fault) *Fault {
	return &Fault{
		Words: f.Words + " and " + g.Words, Event: f.Event + " and " + g.Event, Subject: f.Subject, Place: f.Place,
		Actions: append(slices.Clone(f.Actions), g.Actions...),
	}
}

// injectPair makes a design in which two faults come, each at any time, or, with always, have
// both been there from the start. Fuses are judged with both as they stand.
func injectPair(ctx context.Context, d *model.Design, p *protection, f, g *Fault, always bool) (*Faulted, error) {
	one, _, joins, err := bare(d, p, f, always, "")
	if err != nil {
		return nil, err
	}
	two, _, more, err := bare(one.Design, p, g, always, "2")
	if err != nil {
		return nil, err
	}
	base := *two.Design
	copied := base
	copied.Elements, copied.Memories = slices.Clone(base.Elements), slices.Clone(base.Memories)
	w := &Faulted{
		Fault: bothOf(f, g), Design: &copied, sound: d, protection: p, parts: []*Faulted{one, two},
		Failed: model.Or(one.Failed, two.Failed), trigger: model.None, latch: model.None,
		stuck:    append(slices.Clone(one.stuck), two.stuck...),
		rewrites: append(slices.Clone(one.rewrites), two.rewrites...),
		apart:    append(slices.Clone(one.apart), two.apart...),
	}
	var ids []model.ElementID
	for _, j := range append(joins, more...) {
		if !slices.Contains(ids, j.injected) {
			ids = append(ids, j.injected)
		}
	}
	err = w.protectBoth(ctx, &base, ids)
	w.hold()
	return w, err
}

// protectBoth lets fuses open in a design into which faults are injected as switches: what
// Faulted.protect does for one fault.
func (w *Faulted) protectBoth(ctx context.Context, base *model.Design, ids []model.ElementID) error {
	memory := map[int]model.MemoryID{}
	defer func() { w.blown(memory) }()
	d, p := w.Design, w.protection
	c, err := circuit.New(base, nil)
	if err != nil {
		return err
	}
	var joins []join
	for _, id := range ids {
		joins = append(joins, join{id, id})
	}
	heavy := p.heavy
	if len(c.Switches()) > fewSwitches {
		heavy = p.over
	}
	over, err := overloaded(ctx, base, c, heavy)
	if err != nil {
		return err
	}
	fuses := merged(merged(p.fuses, over), newShorts(base, c, joins, p.own).fuses())
	if len(fuses) == 0 && len(joins) == 0 {
		return nil
	}
	fused := *base
	fused.Elements, fused.Memories = slices.Clone(base.Elements), slices.Clone(base.Memories)
	for _, i := range fuses {
		f := &base.Fuses[i]
		memory[i] = model.MemoryID(len(fused.Memories))
		fused.Memories = append(fused.Memories, model.Memory{
			Info: w.info(f.Path, "fuse"), MemKind: model.MemFuse, States: []string{whole, "blown"}, Of: i,
		})
		e := &fused.Elements[f.Element]
		e.Closed = both(e.Closed, isWhole(memory[i]))
	}
	at, err := openings(ctx, &fused, nil, over, joins, p.own, p.memo)
	if err != nil {
		return err
	}
	if p.own {
		at.cut()
	} else {
		w.Unprotected = at.bare
	}
	d.Memories = fused.Memories
	for _, i := range fuses {
		e := &d.Elements[base.Fuses[i].Element]
		e.Closed = both(e.Closed, isWhole(memory[i]))
		w.apart = append(w.apart, model.Not(isWhole(memory[i])))
		d.Memories[memory[i]].Rules = rules(at.now[i], at.fuse[i])
	}
	w.burn(at.unsure)
	for k, id := range ids {
		if at.bites == nil || at.bites[k] == nil {
			continue
		}
		lets := model.Not(at.bites[k])
		if int(id) < len(w.sound.Elements) { // stuck: where it should conduct it does
			lets = model.Or(w.sound.Elements[id].Closed, lets)
		} else if w.Shorted != nil {
			lets = model.And(lets, model.Not(w.Shorted))
		}
		d.Elements[id].Closed = model.And(d.Elements[id].Closed, lets)
	}
	return nil
}

// excluding are ways of failing of one thing that can't be at once.
var excluding = [][]model.FaultMode{
	{model.FaultOpen, model.FaultShorted}, {model.FaultStuckMade, model.FaultStuckOpen}, {model.FaultStuckOn, model.FaultStuckOff},
	{model.FaultStuckOpen, model.FaultStuckShut}, {model.FaultSilent, model.FaultStuck}, {model.FaultOff, model.FaultSwapped},
}

// contradict reports whether two faults can't be at once: one thing can't be broken and
// shorted, nor fail twice alike.
func contradict(f, g *Fault) bool {
	for _, a := range f.Actions {
		for _, b := range g.Actions {
			if !touch(&a, &b) {
				continue
			}
			if a.Mode == b.Mode && a.Other == b.Other || slices.ContainsFunc(excluding, func(modes []model.FaultMode) bool {
				return a.Mode != b.Mode && slices.Contains(modes, a.Mode) && slices.Contains(modes, b.Mode)
			}) {
				return true
			}
		}
	}
	return false
}

// tangled reports whether two faults move the same plugs, which is not followed.
func tangled(f, g *Fault) bool {
	for _, a := range f.Actions {
		for _, b := range g.Actions {
			if touch(&a, &b) && (a.Mode == model.FaultSwapped || b.Mode == model.FaultSwapped) {
				return true
			}
		}
	}
	return false
}

// touch reports whether two actions are on one thing.
func touch(a, b *model.FaultAction) bool {
	same := func(x, y model.Thing) bool {
		return x.Kind != model.ThingNone && x.Kind == y.Kind && x.Index == y.Index
	}
	return same(a.Thing, b.Thing) || same(a.Thing, b.Other) || same(a.Other, b.Thing) || same(a.Other, b.Other)
}
