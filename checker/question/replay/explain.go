package replay

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/lang/model"
)

// Around the first departure of a kind this many rows in which something happens are looked at,
// before and behind its beginning, but none before the end of the departure before it or from the
// beginning of the next one on; of so many kinds.
const (
	rowsBefore  = 60
	rowsBehind  = 60
	mostWatched = 5
)

// entry is a row in which something happened, with the row before it.
type entry struct {
	row, was row
	began    bool // the description begins with it
	before   scenario.Snapshot
}

// window is the stretch around the first departure of a kind.
type window struct {
	column  int
	from    int64
	story   int
	cone    *fault.Cone
	entries []entry
	behind  int
	over    bool // the departure is
}

// record keeps a row for the windows.
func (r *Replay) record(e entry) {
	if !r.o.Faults {
		return
	}
	departing := slices.Contains(r.departing(), true)
	for _, w := range r.watched {
		if departing && w.over {
			w.behind = rowsBehind
		}
		w.over = w.over || !departing
		if w.behind < rowsBehind && !(e.began && w.behind > 0) && (len(w.entries) == 0 || w.entries[len(w.entries)-1].row.line < e.row.line) {
			w.entries = append(w.entries, e)
			w.behind++
		}
		if e.began && w.behind > 0 {
			w.behind = rowsBehind
		}
	}
	if e.began || departing {
		r.ring = r.ring[:0] // the next window begins behind it
	}
	if departing {
		return
	}
	if len(r.ring) == 2*rowsBefore {
		r.ring = append(r.ring[:0], r.ring[rowsBefore:]...)
	}
	r.ring = append(r.ring, e)
}

// watch begins a window with a departure of a new kind.
func (r *Replay) watch(i int, w *row) {
	j := &r.judges[i]
	if !r.o.Faults || len(r.watched) >= mostWatched || j.at.From != w.at {
		return
	}
	if _, known := r.stories[storyKey{i, j.at.Expected, j.at.Recorded}]; known {
		return
	}
	if slices.ContainsFunc(r.watched, func(x *window) bool { return x.column == i && x.from == w.at }) {
		return
	}
	from := max(0, len(r.ring)-rowsBefore)
	r.watched = append(r.watched, &window{column: i, from: w.at, entries: slices.Clone(r.ring[from:])})
}

// unwatch gives up the window of a departure that was too short to count.
func (r *Replay) unwatch(i int, from int64) {
	r.watched = slices.DeleteFunc(r.watched, func(x *window) bool { return x.column == i && x.from == from })
}

// explain looks for the single faults that would explain the first departures of each kind.
func (r *Replay) explain(ctx context.Context) error {
	var windows []*window
	for _, w := range r.watched {
		w.story = slices.IndexFunc(r.out.Stories, func(s Story) bool { return s.First.From == w.from && s.Column == r.outputs[w.column].name })
		if w.story >= 0 && len(w.entries) > 0 {
			w.cone = r.cone(w.column)
			windows = append(windows, w)
		}
	}
	if len(windows) == 0 {
		return nil
	}
	faults := fault.Generate(r.o.Sound)
	for _, w := range windows {
		r.out.Stories[w.story].Explained = &Explained{Of: len(faults), From: w.entries[0].row.at, To: w.entries[len(w.entries)-1].row.at}
	}
	for _, g := range fault.Groups(r.o.Sound, faults) {
		f := &faults[g[0]]
		t, bad := r.trial(f)
		for _, w := range windows {
			out, err := r.out.Stories[w.story].Explained, bad
			explains := false
			if err == nil && w.cone.Holds(t.fault) { // else it changes nothing of what departs
				explains, err = t.explains(ctx, w)
			}
			switch {
			case ctx.Err() != nil:
				return ctx.Err()
			case err != nil:
				out.Open = append(out.Open, fmt.Sprintf("%s: %v", f.Words, err))
				continue
			}
			out.Tried += len(g)
			if explains {
				var words []string
				for _, i := range g {
					words = append(words, faults[i].Words)
				}
				out.Groups = append(out.Groups, words)
			}
		}
	}
	return nil
}

// cone is what has a say in a column that is judged.
func (r *Replay) cone(output int) *fault.Cone {
	c := r.outputs[output]
	if c.kind == measure {
		at := &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMeasure, Cmp: model.Above, Measure: c.measure}}
		return fault.ConeOf(r.o.Sound, []*model.Cond{at})
	}
	return fault.ConeOf(r.o.Sound, c.conds)
}

// trial is the design with one fault, which comes at any moment.
type trial struct {
	*Replay
	fault *fault.Faulted
	p     *scenario.Possible
	base  scenario.Known
	conds [][]*model.Cond // of each output
}

func (r *Replay) trial(f *fault.Fault) (*trial, error) {
	injected, err := fault.Inject(r.o.Sound, f, false)
	if err != nil {
		return nil, err
	}
	p, err := scenario.NewPossible(injected.Design)
	if err != nil {
		return nil, err
	}
	t := &trial{Replay: r, fault: injected, p: p, base: p.Anything(), conds: make([][]*model.Cond, len(r.outputs))}
	copy(t.base.Loose, r.base.Loose)
	for i, cells := range r.base.Cells {
		if !r.base.Loose[i] {
			t.base.Cells[i] = cells
		}
	}
	copy(t.base.Positions, r.base.Positions)
	for i, c := range r.outputs {
		for _, cond := range c.conds {
			t.conds[i] = append(t.conds[i], injected.Of(cond))
		}
	}
	return t, nil
}

// explains reports whether nothing departs in a window if the fault comes at some moment in it.
func (t *trial) explains(ctx context.Context, w *window) (bool, error) {
	r, p, base, conds := t.Replay, t.p, t.base, t.conds
	since := make([]int64, len(r.outputs)) // when each began to depart, +1
	agree := func(w *row) (bool, error) {
		for i, c := range r.outputs {
			if w.out[i].missing {
				continue
			}
			var j judge
			fits, _, err := fit(ctx, p, c, conds[i], w.out[i], &j)
			if err != nil {
				return false, err
			}
			if !slices.Contains(fits, true) {
				if since[i] == 0 {
					since[i] = w.at + 1
				}
				if r.within == 0 || w.at+1-since[i] > r.within {
					return false, nil
				}
				continue
			}
			since[i] = 0
			p.Keep(func(k int) bool { return fits[k] })
		}
		return true, nil
	}
	for i := range w.entries {
		e := &w.entries[i]
		now := r.knownOf(p, base, &e.row)
		var err error
		if i == 0 {
			if err := p.Restore(e.before); err != nil {
				return false, err
			}
		}
		switch {
		case e.began: // in that moment the fault may have come already
			err = p.Pass(ctx, e.row.at, now, now)
		default:
			was := r.knownOf(p, base, &e.was)
			if e.was.at > p.At() { // rows in which nothing happened
				if err = p.Pass(ctx, e.was.at, was, was); err != nil {
					return false, err
				}
				if ok, err := agree(&e.was); !ok || err != nil {
					return false, err
				}
			}
			err = p.Pass(ctx, e.row.at, r.between(was, now), now)
		}
		if err != nil {
			return false, err
		}
		if p.Len() == 0 {
			return false, nil
		}
		if ok, err := agree(&e.row); !ok || err != nil {
			return false, err
		}
	}
	return true, nil
}
