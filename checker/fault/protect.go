package fault

import (
	"fmt"
	"slices"

	"pintle/lang/model"
)

// whole is the state of a fuse that has not blown.
const whole = "whole"

// mostWays bounds the ways of one short that are told apart.
const mostWays = 64

// ErrWays says that a short may come about in more ways than are told apart.
var ErrWays = fmt.Errorf("it may short a supply in more than %d ways", mostWays)

// short is one way round in which an element that the fault adds may join the ends of a
// supply: by one of the ways to it and one of the ways on from it.
type short struct {
	element     model.ElementID
	supply      *model.Supply
	feed, earth []way
}

// protect lets fuses open where the fault would join a supply's ends with no load between,
// and keeps the short from biting while one is whole or where there is none: what the
// collapsing volts do in that moment is left out.
func (w *Woven) protect(joins []model.ElementID) error {
	d := w.Design
	var shorts []short
	for _, x := range joins {
		ends := [...]model.NodeID{d.Elements[x].A, d.Elements[x].B}
		for i := range d.Supplies {
			s := &d.Supplies[i]
			if s.Broken || s.Plus == s.Minus || s.Plus < 0 || s.Minus < 0 {
				continue
			}
			for k := range ends {
				feed, err := w.ways(s.Plus, ends[k], s.Minus, x)
				if err != nil {
					return err
				}
				earth, err := w.ways(ends[1-k], s.Minus, s.Plus, x)
				if err != nil {
					return err
				}
				if feed != nil && earth != nil {
					shorts = append(shorts, short{x, s, feed, earth})
				}
			}
		}
	}
	if shorts == nil {
		return nil
	}
	w.fuses(shorts)
	var burns []*model.Cond
	bites := map[model.ElementID][]*model.Cond{}
	for _, s := range shorts {
		c := allOf(w.Failed, s.supply.While, w.joined(s.feed), w.joined(s.earth))
		bites[s.element] = append(bites[s.element], c)
		if feed, earth := w.unfused(s.feed), w.unfused(s.earth); feed != nil && earth != nil {
			burns = append(burns, allOf(w.Failed, s.supply.While, w.joined(feed), w.joined(earth)))
		}
	}
	w.burn(burns)
	closed := make([]*model.Cond, len(joins)) // all before any is changed
	for k, x := range joins {
		closed[k] = d.Elements[x].Closed
		cs := bites[x]
		if cs == nil {
			continue
		}
		lets := model.Not(model.Or(cs...))
		if int(x) < len(w.sound.Elements) { // stuck: where it should conduct it does
			lets = model.Or(w.sound.Elements[x].Closed, lets)
		}
		closed[k] = model.And(closed[k], lets)
	}
	for k, x := range joins {
		d.Elements[x].Closed = closed[k]
	}
	return nil
}

// burn notes that a supply is, or was, shorted with no fuse in the way.
func (w *Woven) burn(when []*model.Cond) {
	if when == nil {
		return
	}
	d := w.Design
	id := model.MemoryID(len(d.Memories))
	d.Memories = append(d.Memories, model.Memory{
		Info: w.info(burnName, "fault"), MemKind: model.MemBand, States: []string{whole, "burnt"}, Of: model.None,
		Rules: []model.Rule{{From: []int{0}, To: 1, When: model.Or(when...)}},
	})
	w.Shorted = &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(id), In: []int{1}}}
}

// unfused lists the ways without a fuse.
func (w *Woven) unfused(ways []way) []way {
	var out []way
	for _, y := range ways {
		if !slices.ContainsFunc(y, func(e model.ElementID) bool { return w.Design.Elements[e].Type == model.ElemFuse }) {
			out = append(out, y)
		}
	}
	return out
}

func allOf(cs ...*model.Cond) *model.Cond {
	cs = slices.DeleteFunc(cs, func(c *model.Cond) bool { return c == nil })
	return model.And(cs...)
}

// fuses adds a memory for each fuse that lies on a way of a short: it blows where such a
// way is closed, and the rest of the short too.
func (w *Woven) fuses(shorts []short) {
	d := w.Design
	memory := make([]model.MemoryID, len(d.Fuses))
	for i := range d.Fuses {
		f := &d.Fuses[i]
		memory[i] = model.None
		on := func(y way) bool { return slices.Contains(y, f.Element) }
		if f.Broken || f.Element == model.None ||
			!slices.ContainsFunc(shorts, func(s short) bool { return slices.ContainsFunc(s.feed, on) || slices.ContainsFunc(s.earth, on) }) {
			continue
		}
		memory[i] = model.MemoryID(len(d.Memories))
		d.Memories = append(d.Memories, model.Memory{
			Info: w.info(f.Path, "fuse"), MemKind: model.MemBand, States: []string{whole, "blown"}, Of: model.None,
		})
		e := &d.Elements[f.Element]
		e.Closed = allOf(e.Closed, &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(memory[i]), In: []int{0}}})
	}
	for i := range d.Fuses {
		if memory[i] == model.None {
			continue
		}
		m := &d.Memories[memory[i]]
		blows := func(s short, through, rest []way) {
			through = slices.DeleteFunc(slices.Clone(through), func(y way) bool { return !slices.Contains(y, d.Fuses[i].Element) })
			if len(through) > 0 {
				when := allOf(w.Failed, s.supply.While, w.joined(through), w.joined(rest))
				m.Rules = append(m.Rules, model.Rule{From: []int{0}, To: 1, When: when})
			}
		}
		for _, s := range shorts {
			blows(s, s.feed, s.earth)
			blows(s, s.earth, s.feed)
		}
	}
}

// way is a way of a current through metal and diodes, element by element.
type way []model.ElementID

// joined is where one of some ways is closed.
func (w *Woven) joined(ways []way) *model.Cond {
	var any []*model.Cond
	for _, y := range ways {
		var conds []*model.Cond
		for _, e := range y {
			if c := w.Design.Elements[e].Closed; c != nil {
				conds = append(conds, c)
			}
		}
		any = append(any, model.And(conds...))
	}
	return model.Or(any...)
}

// ways lists the ways by which a current can run through metal and diodes from one node to
// another, without passing a third one or an element. A node is joined to itself by an
// empty way. Nil where there is none. Error: ErrWays.
func (w *Woven) ways(from, to, not model.NodeID, but model.ElementID) ([]way, error) {
	d := w.Design
	if from == to {
		return []way{{}}, nil
	}
	if from == not || to == not {
		return nil, nil
	}
	var out []way
	passed := make([]bool, len(d.Nodes))
	var at way
	var walk func(n model.NodeID)
	walk = func(n model.NodeID) {
		if n == to {
			out = append(out, slices.Clone(at))
			return
		}
		passed[n] = true
		for _, id := range w.metalAt()[n] {
			e := &d.Elements[id]
			next := e.B
			if e.B == n {
				next = e.A
				if e.Type == model.ElemDiode {
					continue
				}
			}
			if id == but || next == not || passed[next] || len(out) > mostWays {
				continue
			}
			at = append(at, id)
			walk(next)
			at = at[:len(at)-1]
		}
		passed[n] = false
	}
	walk(from)
	if len(out) > mostWays {
		return nil, ErrWays
	}
	return out, nil
}

// metalAt lists the metal and the diodes at each node that conduct in some state.
func (w *Woven) metalAt() [][]model.ElementID {
	d := w.Design
	if len(w.at) == len(d.Nodes) {
		return w.at
	}
	w.at = make([][]model.ElementID, len(d.Nodes))
	for i := range d.Elements {
		e := &d.Elements[i]
		if !e.Metal && e.Type != model.ElemDiode || e.A < 0 || e.B < 0 || e.A == e.B || e.Closed != nil && e.Closed.Op == model.CondFalse {
			continue
		}
		w.at[e.A] = append(w.at[e.A], model.ElementID(i))
		w.at[e.B] = append(w.at[e.B], model.ElementID(i))
	}
	return w.at
}
