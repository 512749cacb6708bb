package elaborate

import (
	"pintle/lang/model"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// timerKey makes one timer of one text in one body, however often it is looked at.
type timerKey struct {
	c *syntax.Cond
	y *body
}

// lowerDuration makes a timer of `C for T` or `C in the last T`. What is behind it is
// lowered later: a timer is memory, so a ring through it is none.
func (b *builder) lowerDuration(s scene, c *syntax.Cond) *model.Cond {
	place := s.place(c.Span)
	key := timerKey{c, s.y}
	id, ok := b.timers[key]
	if !ok {
		lo, hi, known := b.duration(s.y, c.Dur)
		id = model.TimerID(len(b.d.Timers))
		b.timers[key] = id
		i := info(s.owner, "for")
		if c.Op == syntax.CondInLast {
			i.Kind = "in the last"
		}
		i.Place, i.NamePlace = place, place
		i.Broken = !known
		b.d.Timers = append(b.d.Timers, model.Timer{
			Info: i, Controller: s.y.controller, InLast: c.Op == syntax.CondInLast, Lowered: true, Run: model.Unknown,
			Cases: []model.TimerCase{{Min: lo, Max: hi, Place: place}},
		})
		if !s.acts {
			b.d.Timers[id].Controller = model.None
		}
		b.later = append(b.later, func() {
			run := b.lower(s, c.Kids[0])
			b.runTimer(id, run, nil)
		})
	}
	if b.d.Timers[id].Broken {
		return unknownAt(place)
	}
	in := []int{model.TimerDone}
	if c.Op == syntax.CondInLast {
		in = []int{model.TimerRunning, model.TimerDone}
	}
	return atom(place, model.Atom{Kind: model.AtomTimer, Index: int(id), In: in})
}

// runTimer says what a timer runs by. That of a controller stops without power.
func (b *builder) runTimer(id model.TimerID, run, stop *model.Cond) {
	t := &b.d.Timers[id]
	t.Run, t.Stop = run, stop
	if t.Controller == model.None {
		return
	}
	off := b.powered(t.Controller, t.Place, 0)
	if stop == nil {
		t.Stop = off
	} else {
		t.Stop = model.Or(stop, off)
	}
}

// duration is a length of time in seconds, from and to.
func (b *builder) duration(y *body, q *syntax.Quantity) (lo, hi float64, ok bool) {
	if q == nil {
		return 0, 0, false
	}
	v, ok := b.fillQuantity(y, q, lasting())
	if !ok || !b.sameDim(y, q, v.Value, unit.Time) {
		return 0, 0, false
	}
	lo, hi = v.Value.Float64(), v.Value.Float64()
	if v.Ranged {
		if !b.sameDim(y, q, v.Hi, unit.Time) {
			return 0, 0, false
		}
		hi = v.Hi.Float64()
	}
	return lo, hi, true
}

func (b *builder) lowerEdge(s scene, c *syntax.Cond) *model.Cond {
	of := b.lower(s, c.Kids[0])
	place := s.place(c.Span)
	if !of.Known() {
		return unknownAt(place)
	}
	kind := model.Stays
	switch c.Op {
	case syntax.CondBegins:
		kind = model.Begins
	case syntax.CondEnds:
		kind = model.Ends
	}
	id := len(b.d.Edges)
	b.d.Edges = append(b.d.Edges, model.Edge{Of: of, Place: place})
	return atom(place, model.Atom{Kind: model.AtomEdge, Index: id, Edge: kind})
}
