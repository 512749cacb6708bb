package scenario

import (
	"context"
	"math"
	"slices"

	"pintle/lang/model"
	"pintle/lang/unit"
)

// ramp is a quantity on its way.
type ramp struct {
	quantity   model.QuantityID
	start, end int64
	from, to   unit.Num
	stops      []stop
	stopped    int64 // when it came to the last stop
}

// stop is a level that a ramp comes to, and when.
type stop struct {
	at    int64
	level Level
}

// newRamp lays out the stops of a ramp that begins now.
func (r *runner) newRamp(a *model.Ramp) ramp {
	rp := ramp{quantity: a.Quantity, start: r.s.At, stopped: r.s.At, end: r.s.At + ns(a.Seconds),
		from: r.s.Quantities[a.Quantity].N, to: a.To.N}
	whole := rp.to.Sub(rp.from).Float64()
	for _, l := range r.between(a.Quantity, a.To.N) {
		at := rp.end
		if whole != 0 && !l.N.Equal(rp.to) {
			// Between neighbouring points the order is that of the list, whatever rounding
			// does to the times.
			at = rp.start + int64(math.Round(l.N.Sub(rp.from).Float64()/whole*float64(rp.end-rp.start)))
		}
		if n := len(rp.stops); n > 0 {
			at = max(at, rp.stops[n-1].at)
		}
		rp.stops = append(rp.stops, stop{at, l})
	}
	return rp
}

// between lists the levels at which a quantity must be looked at on its way from where
// it stands to n: each point that the design compares it with, the step past it, and
// the end.
func (r *runner) between(q model.QuantityID, n unit.Num) []Level {
	from := r.s.Quantities[q]
	dir := int8(1)
	if n.Less(from.N) {
		dir = -1
	}
	points := slices.Clone(r.points[q])
	if dir < 0 {
		slices.Reverse(points)
	}
	var out []Level
	for _, p := range points {
		past := p.Cmp(from.N) * int(dir) // how p lies to the start, along the way
		short := p.Cmp(n) * int(dir)     // how p lies to the end
		if past < 0 || short >= 0 {
			continue
		}
		if past > 0 {
			out = append(out, Level{N: p})
		}
		out = append(out, Level{N: p, Nudge: dir})
	}
	return append(out, Level{N: n})
}

// until lets time pass to end, with everything that happens on the way.
func (r *runner) until(ctx context.Context, end int64) error {
	for {
		at, happen := r.next(end)
		if happen == nil {
			break
		}
		r.s.At = at
		happen()
		m, err := r.moved(ctx)
		if err != nil {
			return err
		}
		if r.look(m); m.err != nil {
			return m.err
		}
	}
	r.s.At = end
	for _, rp := range r.ramps {
		r.note(Event{At: end, Kind: EventQuantity, Index: int(rp.quantity),
			Text: r.design.Quantities[rp.quantity].Path + " has come to " + r.show(rp.quantity)})
	}
	return nil
}

func (r *runner) show(q model.QuantityID) string {
	return unit.FromBase(r.s.Quantities[q].N, r.design.Quantities[q].Lo.Unit).String()
}

// next finds what happens next, up to and including end: a stop of a ramp, a timer that
// has run, a beat that turns; at one time in this order.
func (r *runner) next(end int64) (int64, func()) {
	at, what := int64(math.MaxInt64), func() {}
	take := func(t int64, f func()) {
		if t < at {
			at, what = t, f
		}
	}
	for i := range r.ramps {
		rp := &r.ramps[i]
		if len(rp.stops) > 0 {
			take(rp.stops[0].at, func() {
				r.s.Quantities[rp.quantity] = rp.stops[0].level
				rp.stops, rp.stopped = rp.stops[1:], rp.stops[0].at
			})
		}
	}
	for i := range r.s.Clocks {
		if c := &r.s.Clocks[i]; c.Phase == model.TimerRunning && c.Case >= 0 {
			take(c.Until, func() { r.elapse(i) })
		}
	}
	for i := range r.s.Rhythms {
		if b := &r.s.Rhythms[i]; b.Running {
			take(b.Until, func() { r.toggle(i) })
		}
	}
	if at > end {
		return 0, nil
	}
	return at, what
}

// elapse ends the time of a timer.
func (r *runner) elapse(i int) {
	t, c := &r.design.Timers[i], &r.s.Clocks[i]
	to := model.TimerDone
	if t.InLast {
		to = model.TimerIdle
	}
	e := Event{At: r.s.At, Kind: EventTimer, Index: i, From: c.Phase, To: to, Text: timerText(r.design, t, to)}
	c.Phase = to
	r.note(e)
}

// toggle turns a beat.
func (r *runner) toggle(i int) {
	b, s := &r.design.Beats[i], &r.s.Rhythms[i]
	s.Second = !s.Second
	lasts := b.On
	if s.Second {
		lasts = b.Off
	}
	s.Until = r.s.At + ns(lasts)
	r.note(Event{At: r.s.At, Kind: EventBeat, Index: i, To: b2i(!s.Second), Text: b.Path + " is " + onOff(!s.Second)})
}
