package fault

import (
	"context"
	"errors"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// whole is the state of a fuse that has not blown.
const whole = "whole"

// Protect makes a design in which fuses open where the design itself draws so much through
// them; the design itself where none can. The error is that of the context or of the solver.
func Protect(ctx context.Context, d *model.Design) (*model.Design, error) {
	p, err := protectionOf(ctx, d, nil)
	if err != nil || len(p.fuses) == 0 {
		return d, err
	}
	copied := *d
	copied.Elements, copied.Memories = slices.Clone(d.Elements), slices.Clone(d.Memories)
	w := &Faulted{Fault: &Fault{}, Design: &copied, sound: d, Failed: model.False, protection: p}
	if err := w.protect(ctx, nil, nil); err != nil {
		return nil, err
	}
	return w.Design, nil
}

// mostOwn bounds the cases of shorts of a sound design that are followed.
const mostOwn = 1024

// fewSwitches is up to how many switches of a design it is looked at for each fault whether
// loads draw too much through a fuse because of it; beyond that only shorts open fuses that
// hold as built.
const fewSwitches = 14

// protection is what is known of the fuses of a sound design.
type protection struct {
	// fuses that may open with nothing failed, by index: those in the way of a short, and
	// those through which loads may draw so much.
	fuses, over []int
	// heavy are the fuses behind which there are loads enough to open them, if all draw at
	// once.
	heavy []int
	own   bool                     // the design may have shorts of its own
	block map[model.ElementID]bool // what lies on their paths
	memo  *circuit.Memo            // of what circuits were asked
}

// protectionOf looks which fuses of a sound design may open.
func protectionOf(ctx context.Context, d *model.Design, memo *circuit.Memo) (*protection, error) {
	p := &protection{memo: memo}
	if !slices.ContainsFunc(d.Fuses, known) {
		return p, nil
	}
	c, err := circuit.New(d, nil)
	if err != nil {
		return nil, err
	}
	c.Share(memo)
	for i, most := range mostAmps(d, c) {
		if known(d.Fuses[i]) && most >= circuit.FuseOpens*d.Fuses[i].Rating {
			p.heavy = append(p.heavy, i)
		}
	}
	if p.over, err = overloaded(ctx, d, c, p.heavy); err != nil {
		return nil, err
	}
	p.fuses = p.over
	s := newShorts(d, c, nil, true)
	t, err := s.decide(ctx, c.Assume())
	if err != nil && !errors.Is(err, ErrWays) {
		return nil, err
	}
	// In a large design what only its switches would allow is mostly kept apart by what moves them:
	// there a short of its own is left to the rule on shorts.
	if p.own = err == nil && s.cases <= mostOwn && (t.open != nil || t.bites != nil); p.own {
		p.fuses = merged(s.fuses(), p.over)
		p.block = map[model.ElementID]bool{}
		for i := range d.Supplies {
			s.paths(c.Assume(), &d.Supplies[i], p.block)
		}
	}
	return p, nil
}

// overloaded lists those of some fuses through which so much may be drawn that they open.
func overloaded(ctx context.Context, d *model.Design, c *circuit.Circuit, fuses []int) ([]int, error) {
	var out []int
	for _, i := range fuses {
		t, err := carries(ctx, d, c, i, circuit.FuseOpens)
		if err != nil {
			return nil, err
		}
		if t != nil {
			out = append(out, i)
		}
	}
	return out, nil
}

// merged lists what is in one of two lists, ascending.
func merged(a, b []int) []int {
	out := append(slices.Clone(a), b...)
	slices.Sort(out)
	return slices.Compact(out)
}

// known reports whether it is known of a fuse when it opens.
func known(f model.Fuse) bool { return !f.Broken && f.Element != model.None && f.Rating > 0 }

// protect lets fuses open, and keeps a short that the fault makes from biting while one is
// whole or where there is none: what the collapsing volts do in that moment is left out.
func (w *Faulted) protect(ctx context.Context, faulty *circuit.Circuit, joins []join) error {
	memory := map[int]model.MemoryID{}
	defer func() { w.blown(memory) }()
	d, p := w.Design, w.protection
	// A fault that leaves alone what a short of the design's own runs through leaves that short
	// as it is.
	own := p.own && w.changes(p.block)
	fuses, over := p.fuses, p.over
	if len(joins) > 0 {
		heavy := p.heavy
		if len(faulty.Switches()) > fewSwitches { // there only what draws too much as built is looked at again
			heavy = p.over
		}
		var err error
		if over, err = overloaded(ctx, w.sound, faulty, heavy); err != nil {
			return err
		}
		fuses = merged(merged(fuses, over), newShorts(w.sound, faulty, joins, own).fuses())
	}
	if len(fuses) == 0 && len(joins) == 0 {
		return nil
	}
	memories, before, after, err := w.opening(ctx, fuses, over, faulty, joins, own, memory)
	if err != nil {
		return err
	}
	w.flows(after)
	// A fuse that no short and no load makes open is no more than a piece of the wire: the others
	// are looked at once more without it.
	opening := slices.DeleteFunc(slices.Clone(fuses), func(i int) bool { return !before.opens(i) && !after.opens(i) })
	if len(opening) == 0 && after.unsure == nil && after.bites == nil {
		clear(memory)
		return nil
	}
	if len(opening) < len(fuses) {
		clear(memory)
		if fuses = opening; len(fuses)+len(joins) > 0 {
			if memories, before, after, err = w.opening(ctx, fuses, over, faulty, joins, own, memory); err != nil {
				return err
			}
			w.flows(after)
		}
	}
	d.Memories = memories
	for _, i := range fuses {
		e := &d.Elements[w.sound.Fuses[i].Element]
		if !before.opens(i) { // it can't have blown before
			e.Closed = both(e.Closed, model.Or(model.Not(w.Failed), isWhole(memory[i])))
		} else {
			e.Closed = both(e.Closed, isWhole(memory[i]))
		}
		w.apart = append(w.apart, model.Not(isWhole(memory[i])))
		sound := where(before.fuse[i], model.Not(w.Failed))
		if !own && p.own {
			sound = before.fuse[i]
		}
		d.Memories[memory[i]].Rules = rules(where(after.now[i], w.Failed), either(sound, where(after.fuse[i], w.Failed)))
	}
	w.burn(where(after.unsure, w.Failed))
	for k, j := range joins {
		if after.bites == nil || after.bites[k] == nil {
			continue
		}
		e := &d.Elements[j.injected]
		lets := model.Not(model.And(w.Failed, after.bites[k]))
		if int(j.injected) < len(w.sound.Elements) { // stuck: where it should conduct it does
			lets = model.Or(w.sound.Elements[j.injected].Closed, lets)
		} else if w.Shorted != nil { // something is burnt: no more of that fault, so that all can settle
			lets = model.And(lets, model.Not(w.Shorted))
		}
		e.Closed = model.And(e.Closed, lets)
		w.apart = append(w.apart, after.on...)
	}
	return nil
}

// opening works out where some fuses open, before the fault comes and after it. It gives each a
// memory, and returns these behind those of the design.
func (w *Faulted) opening(ctx context.Context, fuses, over []int, faulty *circuit.Circuit, joins []join, own bool, memory map[int]model.MemoryID) (memories []model.Memory, before, after *opening, err error) {
	p := w.protection
	fused := *w.sound // the design in which these fuses are switches
	fused.Elements = slices.Clone(w.sound.Elements)
	fused.Memories = slices.Clone(w.Design.Memories)
	for _, i := range fuses {
		f := &w.sound.Fuses[i]
		memory[i] = model.MemoryID(len(fused.Memories))
		fused.Memories = append(fused.Memories, model.Memory{
			Info: w.info(f.Path, "fuse"), MemKind: model.MemFuse, States: []string{whole, "blown"}, Of: i,
		})
		e := &fused.Elements[f.Element]
		e.Closed = both(e.Closed, isWhole(memory[i]))
	}
	before = &opening{}
	if len(p.fuses) > 0 {
		if before, err = openings(ctx, &fused, nil, p.over, nil, p.own, p.memo); err != nil {
			return nil, nil, nil, err
		}
	}
	after = before
	if faulty != nil && (len(joins) > 0 || len(p.fuses) > 0) {
		if after, err = openings(ctx, &fused, w.Fault.Actions, over, joins, own, p.memo); err != nil {
			return nil, nil, nil, err
		}
	}
	return fused.Memories, before, after, nil
}

// flows lets the current of a short that no fuse opens flow on, unless that is to be left out.
func (w *Faulted) flows(after *opening) {
	if w.cut || w.protection.own { // beside a short of the design's own it is not followed which fuse opens then
		after.cut()
		return
	}
	w.Unprotected = where(after.bare, w.Failed)
}

// changes reports whether the fault changes one of some elements.
func (w *Faulted) changes(block map[model.ElementID]bool) bool {
	for id := range block {
		if w.Design.Elements[id].Closed != w.sound.Elements[id].Closed {
			return true
		}
	}
	return false
}

// where is a condition as far as another one holds; nil stands for never.
func where(c, holds *model.Cond) *model.Cond {
	if c == nil {
		return nil
	}
	return model.And(holds, c)
}

// isWhole is where a fuse has not blown.
func isWhole(id model.MemoryID) *model.Cond {
	return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(id), In: []int{0}}}
}

// burn notes that a supply is, or was, shorted with no fuse in the way that surely opens.
func (w *Faulted) burn(when *model.Cond) {
	if when == nil {
		return
	}
	d := w.Design
	id := model.MemoryID(len(d.Memories))
	d.Memories = append(d.Memories, model.Memory{
		Info: w.info(burnName, "fault"), MemKind: model.MemBand, States: []string{whole, "burnt"}, Of: model.None,
		Rules: []model.Rule{{From: []int{0}, To: 1, When: when}},
	})
	defer func() { w.apart = append(w.apart, w.Shorted) }()
	w.Shorted = &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(id), In: []int{1}}}
}

// blown puts what is asked of fuses as it stands with the fault: those that may open have a
// memory, and one that is the fault has blown when that has come.
func (w *Faulted) blown(memory map[int]model.MemoryID) {
	asked := false
	w.sound.EachStateCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) { asked = asked || c.Atom.Kind == model.AtomBlown })
	})
	if !asked {
		return
	}
	failed := map[model.ElementID]*model.Cond{}
	for _, part := range w.each() {
		for _, a := range part.Fault.Actions.Standing() {
			if a.Thing.Kind == model.ThingElement && a.Mode == model.FaultBlown {
				failed[model.ElementID(a.Thing.Index)] = part.Failed
			}
		}
	}
	w.rewrite(&rewriter{known: map[*model.Cond]*model.Cond{}, atom: func(c *model.Cond) *model.Cond {
		if c.Atom.Kind != model.AtomBlown {
			return nil
		}
		out := c
		if id, ok := memory[c.Atom.Index]; ok {
			out = &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(id), In: []int{1}}, Place: c.Place}
		}
		if is := failed[w.sound.Fuses[c.Atom.Index].Element]; is != nil {
			out = model.Or(is, out)
		}
		return out
	}})
}
