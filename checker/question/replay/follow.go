package replay

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/lang/model"
)

// take holds a row against the description.
func (r *Replay) take(ctx context.Context, w *row) error {
	for i, v := range w.in {
		if v.made {
			continue
		}
		r.pasts[i].add(w.at, v)
		r.lastIn[i] = v
	}
	for i, v := range w.set {
		if !v.made {
			r.lastSet[i] = v
		}
	}
	if r.o.Trace != nil {
		r.traceNumbers(w)
	}
	if r.idle(w) {
		r.p.Rest(w.at)
		r.was.at, r.was.line = w.at, w.line
		r.spare = append(r.spare, w)
		return nil
	}
	if r.out.Lost == "" {
		if err := r.step(ctx, w); err != nil {
			if !errors.As(err, new(scenario.ManyError)) {
				return err
			}
			r.out.Lost = fmt.Sprintf("from line %d on the design was not followed: %v", w.line, err)
			for i := range r.judges {
				r.agrees(i, w.at)
			}
		}
	}
	r.remember(w)
	r.spare = append(r.spare, w)
	return nil
}

// remember makes a row the last one.
func (r *Replay) remember(w *row) {
	r.was.at, r.was.line, r.was.broken = w.at, w.line, w.broken
	copy(r.was.in, w.in)
	copy(r.was.set, w.set)
	copy(r.was.out, w.out)
}

// idle reports whether nothing can have happened since the row before: no input has come
// to a point or may have touched one, what is recorded is what was, and no clock may have ended.
func (r *Replay) idle(w *row) bool {
	if !r.stable || w.broken || w.at >= r.next {
		return false
	}
	for i := range w.in {
		if v, of := &w.in[i], &r.windows[i]; !(v.lo > of.lo[0] && v.lo < of.lo[1] && v.hi > of.hi[0] && v.hi < of.hi[1]) {
			return false
		}
	}
	for i := range w.set {
		if v := &w.set[i]; v.made || v.pos != r.was.set[i].pos {
			return false
		}
	}
	for i := range w.out {
		v, was := &w.out[i], &r.was.out[i]
		if v.missing != was.missing || v.pos != was.pos {
			return false
		}
		if j := &r.judges[i]; r.outputs[i].kind == measure && !v.missing && !(v.lo <= j.within[1] && v.hi >= j.within[0]) {
			return false
		}
	}
	return true
}

// knownOf is what a row says of the inputs.
func (r *Replay) knownOf(p *scenario.Possible, base scenario.Known, w *row) scenario.Known {
	k := base.Clone()
	for i, c := range r.inputs {
		v := w.in[i]
		if math.IsInf(v.lo, -1) {
			continue // anything in its range
		}
		k.Cells[c.index][0], k.Cells[c.index][1] = p.Cells(model.QuantityID(c.index), v.lo, v.hi)
	}
	for i, c := range r.settings {
		switch v := w.set[i]; {
		case v.pos == anyPosition:
		case !v.made || v.pos == v.other:
			k.Positions[c.index] = []int{v.pos}
		default:
			k.Positions[c.index] = []int{min(v.pos, v.other), max(v.pos, v.other)}
		}
	}
	return k
}

// between is what is known between two rows.
func (r *Replay) between(a, b scenario.Known) scenario.Known {
	k := a.Clone()
	for i := range k.Cells {
		k.Cells[i] = [2]int{min(a.Cells[i][0], b.Cells[i][0]), max(a.Cells[i][1], b.Cells[i][1])}
	}
	for i := range k.Positions {
		if slices.Equal(a.Positions[i], b.Positions[i]) {
			continue
		}
		k.Positions[i] = slices.Concat(a.Positions[i], b.Positions[i])
		slices.Sort(k.Positions[i])
		k.Positions[i] = slices.Compact(k.Positions[i])
	}
	return k
}

// begin starts to follow the description with a row, whatever was before. Where that leaves too
// much open it starts at rest, and says so.
func begin(ctx context.Context, p *scenario.Possible, at int64, now scenario.Known) (atRest bool, err error) {
	err = p.Begin(ctx, at, now)
	if errors.As(err, new(scenario.ManyError)) {
		return true, p.AtRest(ctx, at, now)
	}
	return false, err
}

// step lets the description go on to a row and judges what is recorded of it.
func (r *Replay) step(ctx context.Context, w *row) error {
	now := r.knownOf(r.p, r.base, w)
	single, still, before := true, false, r.p.Len()
	e := entry{began: !r.began || w.broken}
	if r.o.Faults {
		e.row, e.was = w.clone(), r.was.clone()
	}
	if e.began {
		for i := range r.judges {
			r.agrees(i, w.at)
		}
		atRest, err := begin(ctx, r.p, w.at, now)
		if err != nil {
			return err
		}
		if atRest {
			r.note(fmt.Sprintf("line %d: what may have been before leaves too many states open; it is taken that everything was at rest", w.line))
		}
		single = false
		e.before = r.p.Snapshot()
	} else {
		if at := r.was.at; r.p.At() < at {
			r.p.Rest(at)
		}
		e.before = r.p.Snapshot()
		meanwhile := r.between(r.known, now)
		if err := r.p.Pass(ctx, w.at, meanwhile, now); err != nil {
			return err
		}
		still = slices.Equal(meanwhile.Cells, now.Cells)
		for i := range meanwhile.Cells {
			single = single && (r.base.Loose[i] || meanwhile.Cells[i][0] == meanwhile.Cells[i][1])
		}
		for i := range meanwhile.Positions {
			single = single && slices.Equal(meanwhile.Positions[i], now.Positions[i])
			still = still && slices.Equal(meanwhile.Positions[i], now.Positions[i])
		}
	}
	if r.p.Len() == 0 { // only what is held can be at odds with what is recorded
		return fmt.Errorf("line %d: no state of the design has the inputs as they are recorded and held", w.line)
	}
	first := !r.began
	r.began, r.known = true, now
	departing := r.departing()
	for i := range r.outputs {
		if err := r.judge(ctx, i, w); err != nil {
			return err
		}
	}
	if !e.began && !first {
		for i := range r.outputs {
			if err := r.change(ctx, i, w, single || !r.settingsMoved(w)); err != nil {
				return err
			}
		}
	}
	r.record(e)
	r.next = r.p.Next()
	// Where the same came twice and left the same states it would do so again; but clocks that
	// may start anew run on.
	calm := r.next == math.MaxInt64
	r.stable = still && (calm || single && !r.free) && r.p.Len() == before && r.same(w) && slices.Equal(departing, r.departing())
	for i, c := range r.inputs {
		id, cells := model.QuantityID(c.index), now.Cells[c.index]
		of := &r.windows[i]
		of.lo[0], of.lo[1] = r.p.Window(id, cells[0])
		of.hi[0], of.hi[1] = r.p.Window(id, cells[1])
	}
	return nil
}

// same reports whether a row records the states and positions of the row before.
func (r *Replay) same(w *row) bool {
	for i := range w.out {
		if w.out[i].missing != r.was.out[i].missing || w.out[i].pos != r.was.out[i].pos {
			return false
		}
	}
	return !r.settingsMoved(w)
}

// departing reports which columns depart.
func (r *Replay) departing() []bool {
	out := make([]bool, len(r.judges))
	for i := range r.judges {
		out[i] = r.judges[i].open
	}
	return out
}

func (r *Replay) settingsMoved(w *row) bool {
	for i := range w.set {
		if w.set[i].made || w.set[i].pos != r.was.set[i].pos {
			return true
		}
	}
	return false
}

// change takes a change of a recorded state as a pass over a switching point, if no setting
// moved meanwhile.
func (r *Replay) change(ctx context.Context, i int, w *row, alone bool) error {
	v := w.out[i]
	if r.outputs[i].conds == nil || v.missing {
		return nil
	}
	j := &r.judges[i]
	from, known := j.state, j.known
	j.state, j.known = v.pos, true
	if !known || from == v.pos || !alone {
		return nil
	}
	return r.changed(ctx, i, from, v.pos, &r.was, w)
}

// note says something of the recording, once.
func (r *Replay) note(text string) {
	if len(r.out.Notes) < 20 && !slices.Contains(r.out.Notes, text) {
		r.out.Notes = append(r.out.Notes, text)
	}
}

func (w *row) clone() row {
	c := *w
	c.in, c.set, c.out = slices.Clone(w.in), slices.Clone(w.set), slices.Clone(w.out)
	return c
}

// traceNumbers shows the numbers of a row.
func (r *Replay) traceNumbers(w *row) {
	at := r.seconds(w.at)
	k := 0
	in, out := 0, 0
	for _, c := range r.cols {
		switch c.kind {
		case timeColumn:
			continue
		case quantity:
			if v := w.in[in]; !v.made {
				r.o.Trace.Number(k, at, c.shown(v.mid), w.broken)
			}
			in++
		case setting:
		default:
			if v := w.out[out]; c.kind == measure && !v.missing {
				r.o.Trace.Number(k, at, c.shown(v.mid), w.broken)
			}
			out++
		}
		k++
	}
}

// seconds is a time of a row in s from the first row.
func (r *Replay) seconds(at int64) float64 { return float64(at) / 1e9 }
