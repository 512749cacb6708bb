package scenario

import (
	"context"
	"math"
	"slices"

	"pintle/lang/model"
)

// Pass lets time pass up to a time, ns. Until then the inputs are anywhere within what is
// known of them meanwhile, and move to and fro in it; at the end they are within what is
// known of them then.
func (s *Possible) Pass(ctx context.Context, to int64, meanwhile, then Known) error {
	return s.pass(ctx, period{s.at, to}, meanwhile, then)
}

func (s *Possible) pass(ctx context.Context, span period, meanwhile, then Known) error {
	set := found{s: s, at: map[string]int{}}
	if err := set.add(s.states); err != nil {
		return err
	}
	for len(set.todo) > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		i := set.todo[len(set.todo)-1]
		set.todo, set.waits[i] = set.todo[:len(set.todo)-1], false
		if err := s.moves(ctx, set.all[i], span, meanwhile, set.add); err != nil {
			return err
		}
	}
	var out []possible
	for _, st := range set.all {
		if s.stands(&st, span.to, then) {
			out = append(out, st)
		}
	}
	s.at, s.states = span.to, out
	return nil
}

// found are the states that a stretch of time comes through.
type found struct {
	s     *Possible
	all   []possible
	at    map[string]int
	waits []bool
	todo  []int
}

// add adds states, or lets the clocks of one that is there end over a longer time.
func (f *found) add(states []possible) error {
	for _, st := range states {
		id := f.s.identity(&st)
		i, known := f.at[id]
		if !known {
			if i = len(f.all); i >= mostPossible {
				return ManyError{}
			}
			f.at[id] = i
			f.all, f.waits = append(f.all, st), append(f.waits, true)
			f.todo = append(f.todo, i)
			continue
		}
		was := &f.all[i]
		clocks, a := widened(was.clocks, st.clocks)
		beats, b := widened(was.beats, st.beats)
		if !a && !b {
			continue
		}
		was.clocks, was.beats = clocks, beats
		if !f.waits[i] {
			f.waits[i] = true
			f.todo = append(f.todo, i)
		}
	}
	return nil
}

// widened joins periods, one by one.
func widened(a, b []period) (out []period, changed bool) {
	out = a
	for i := range b {
		if b[i].from >= out[i].from && b[i].to <= out[i].to {
			continue
		}
		if !changed {
			out, changed = slices.Clone(a), true
		}
		out[i] = period{min(out[i].from, b[i].from), max(out[i].to, b[i].to)}
	}
	return out, changed
}

// stands reports whether a state may be that at the end of a stretch; a clock that runs then
// has yet to end.
func (s *Possible) stands(st *possible, at int64, then Known) bool {
	for i, c := range st.cells {
		if c < then.Cells[i][0] || c > then.Cells[i][1] {
			return false
		}
	}
	for i, p := range st.Settings {
		if !slices.Contains(then.Positions[i], p) {
			return false
		}
	}
	st.clocks, st.beats = slices.Clone(st.clocks), slices.Clone(st.beats)
	for i := range st.clocks {
		if !st.runs(i) {
			st.clocks[i] = period{}
			continue
		}
		if st.clocks[i].to < at {
			return false
		}
		st.clocks[i].from = max(st.clocks[i].from, at)
	}
	for i := range st.beats {
		if !st.Rhythms[i].Running {
			st.beats[i] = period{}
			continue
		}
		if st.beats[i].to < at {
			return false
		}
		st.beats[i].from = max(st.beats[i].from, at)
	}
	return true
}

// moves takes each move that may come next in a state within a stretch of time.
func (s *Possible) moves(ctx context.Context, st possible, span period, known Known, take func([]possible) error) error {
	come := func(next possible, when period, shifted *period, beat int) error {
		rest, err := s.moved(ctx, next)
		if err != nil {
			return err
		}
		return take(s.windows(s.carry(rest, &st, shifted, beat), when))
	}
	for i := range st.cells {
		for _, to := range [...]int{st.cells[i] - 1, st.cells[i] + 1} {
			// What stands outside of what is known comes back into it.
			back := to > st.cells[i] && to < known.Cells[i][0] || to < st.cells[i] && to > known.Cells[i][1]
			if !back && (to < known.Cells[i][0] || to > known.Cells[i][1]) {
				continue
			}
			if known.Loose[i] && !s.mayMove(ctx, &st, model.QuantityID(i), to > st.cells[i]) {
				continue
			}
			next := st
			next.cells = slices.Clone(st.cells)
			next.cells[i] = to
			if err := come(next, span, nil, -1); err != nil {
				return err
			}
		}
	}
	for i, at := range st.Settings {
		for _, to := range s.reachable(i, at, known.Positions[i]) {
			next := st
			next.Settings = slices.Clone(st.Settings)
			next.Settings[i] = to
			if err := come(next, span, nil, -1); err != nil {
				return err
			}
		}
	}
	for i := range s.d.Elements {
		if s.d.Elements[i].Sometimes {
			next := st.clone()
			if next.Free == nil {
				next.Free = map[model.ElementID]bool{}
			}
			next.Free[model.ElementID(i)] = !next.Free[model.ElementID(i)]
			if err := come(next, span, nil, -1); err != nil {
				return err
			}
		}
	}
	for i := range st.clocks {
		if w := st.clocks[i]; st.runs(i) && w.from <= span.to {
			next := st
			next.Clocks = slices.Clone(st.Clocks)
			next.Clocks[i] = Clock{Phase: model.TimerDone}
			if s.d.Timers[i].InLast {
				next.Clocks[i].Phase = model.TimerIdle
			}
			if err := come(next, period{max(span.from, w.from), max(span.from, min(span.to, w.to))}, nil, -1); err != nil {
				return err
			}
		}
	}
	for i := range st.beats {
		if w := st.beats[i]; st.Rhythms[i].Running && w.from <= span.to {
			when := period{max(span.from, w.from), max(span.from, min(span.to, w.to))}
			next := st
			next.Rhythms = slices.Clone(st.Rhythms)
			r := &next.Rhythms[i]
			lasts := s.d.Beats[i].On
			if r.Second = !r.Second; r.Second {
				lasts = s.d.Beats[i].Off
			}
			if err := come(next, when, &period{when.from + ns(lasts), when.to + ns(lasts)}, i); err != nil {
				return err
			}
		}
	}
	return nil
}

// reachable are the positions that a setting may go to next, of those in which it may stand:
// through neighbours if they are in order.
func (s *Possible) reachable(setting, at int, may []int) (out []int) {
	if len(may) == 0 {
		return nil
	}
	if !s.d.Settings[setting].InOrder {
		for _, to := range may {
			if to != at {
				out = append(out, to)
			}
		}
		return out
	}
	for _, to := range [...]int{at - 1, at + 1} {
		if to >= min(at, may[0]) && to <= max(at, may[len(may)-1]) {
			out = append(out, to)
		}
	}
	return out
}

// mayMove reports whether a quantity may rise, or fall, as far as the design assumes.
func (s *Possible) mayMove(ctx context.Context, st *possible, q model.QuantityID, rises bool) bool {
	form := model.AssumeFalls
	if rises {
		form = model.AssumeRises
	}
	for i := range s.d.Assumptions {
		a := &s.d.Assumptions[i]
		if a.Form == form && a.Quantity == q && !a.Broken && s.moment(ctx, st).eval(a.Cond) == False {
			return false
		}
	}
	return true
}

// carry gives states the times of the clocks of the state that they came from, with another
// time for one of its beats.
func (s *Possible) carry(states []possible, from *possible, shifted *period, beat int) []possible {
	out := slices.Clone(states)
	for i := range out {
		out[i].clocks, out[i].beats = from.clocks, from.beats
		if shifted != nil {
			out[i].beats = slices.Clone(from.beats)
			out[i].beats[beat] = *shifted
		}
	}
	return out
}

// windows gives the clocks and beats that have started the times at which they end, if they
// did so within a period.
func (s *Possible) windows(states []possible, when period) []possible {
	for i := range states {
		st := &states[i]
		var clocks, beats []period
		var states []Clock
		var rhythms []Rhythm
		for k := range st.Clocks {
			if !st.runs(k) || st.Clocks[k].Until != started {
				continue
			}
			if clocks == nil {
				clocks, states = slices.Clone(st.clocks), slices.Clone(st.Clocks)
			}
			c := s.d.Timers[k].Cases[st.Clocks[k].Case]
			clocks[k] = period{later(when.from, ns(c.Min)), later(when.to, ns(c.Max))}
			states[k].Until = carried
		}
		for k := range st.Rhythms {
			if !st.Rhythms[k].Running || st.Rhythms[k].Until != started {
				continue
			}
			if beats == nil {
				beats, rhythms = slices.Clone(st.beats), slices.Clone(st.Rhythms)
			}
			beats[k] = period{later(when.from, ns(s.d.Beats[k].On)), later(when.to, ns(s.d.Beats[k].On))}
			rhythms[k].Until = carried
		}
		if clocks != nil {
			st.clocks, st.Clocks = clocks, states
		}
		if beats != nil {
			st.beats, st.Rhythms = beats, rhythms
		}
	}
	return states
}

// later is a time, ns, some time behind another; the far past stays the far past.
func later(at, by int64) int64 {
	if at > math.MaxInt64-by {
		return math.MaxInt64
	}
	return at + by
}
