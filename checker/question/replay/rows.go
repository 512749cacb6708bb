package replay

import (
	"context"
	"fmt"
	"math"
	"time"

	"pintle/checker/question/replay/recording"
)

// oddities counts what is odd about a recording, with the first line of each.
type oddities struct {
	back, same, gaps, short seldom
	longest                 int64
	origin, last            int64 // of the clock, ns
}

type seldom struct {
	count int64
	line  int
}

func (s *seldom) at(line int) {
	if s.count++; s.count == 1 {
		s.line = line
	}
}

func (o *oddities) notes() (out []string) {
	say := func(s seldom, one, many string) {
		switch {
		case s.count == 1:
			out = append(out, fmt.Sprintf(one, s.line))
		case s.count > 1:
			out = append(out, fmt.Sprintf(many, s.count, s.line))
		}
	}
	say(o.back, "the clock runs back in line %d; from there on it counts as a new recording", "the clock runs back %d times, first in line %d; each time it counts as a new recording")
	say(o.same, "line %d has the time of the row before", "%d rows have the time of the row before, first in line %d")
	longest := clock(o.longest)
	say(o.gaps, "the recording is interrupted before line %d, for "+longest+"; what happened meanwhile is taken as unknown", "the recording is interrupted %d times, first before line %d, for at most "+longest+"; what happened meanwhile is taken as unknown")
	say(o.short, "line %d has fewer fields than the header; those are missing", "%d lines have fewer fields than the header, first line %d; those are missing")
	return out
}

func clock(ns int64) string { return time.Duration(ns).Round(time.Millisecond).String() }

// get is a row to be filled.
func (r *Replay) get() *row {
	if n := len(r.spare); n > 0 {
		out := r.spare[n-1]
		r.spare = r.spare[:n-1]
		return out
	}
	return &row{in: make([]value, len(r.inputs)), set: make([]value, len(r.settings)), out: make([]value, len(r.outputs))}
}

// read reads a row, and its time on a clock that never runs back.
func (r *Replay) read(fields [][]byte) (*row, error) {
	line := r.in.Line
	if len(fields) > len(r.in.Header) {
		for _, f := range fields[len(r.in.Header):] {
			if len(f) > 0 {
				return nil, &recording.LineError{Line: line, What: fmt.Sprintf("%d fields, but the header has %d; a decimal comma needs another separator", len(fields), len(r.in.Header))}
			}
		}
	}
	if len(fields) < len(r.in.Header) {
		r.odd.short.at(line)
	}
	field := func(c *column) []byte {
		if c.field < len(fields) {
			return fields[c.field]
		}
		return nil
	}
	f := field(r.time)
	at, ok := r.clock.Read(f)
	switch {
	case !ok && r.out.Rows == 0 && r.isUnits(fields):
		return nil, nil
	case !ok:
		return nil, &recording.LineError{Line: line, What: fmt.Sprintf("column %q: %q is no time", r.time.name, f)}
	}
	w := r.get()
	w.line, w.broken, w.want = line, false, 0
	switch {
	case r.out.Rows == 0:
		r.out.From = at
		r.odd.origin, r.odd.last = at, at
	case at < r.odd.last:
		r.odd.back.at(line)
		r.odd.origin -= r.odd.last - at
		w.broken = true
	case at == r.odd.last:
		r.odd.same.at(line)
	case at-r.odd.last > r.gap:
		r.odd.gaps.at(line)
		r.odd.longest = max(r.odd.longest, at-r.odd.last)
		w.broken = true
	}
	r.odd.last, r.out.To = at, at
	w.at = at - r.odd.origin
	r.out.Rows++
	for _, part := range [...]struct {
		cols []*column
		of   []value
	}{{r.inputs, w.in}, {r.settings, w.set}, {r.outputs, w.out}} {
		for i, c := range part.cols {
			v, ok := c.read(field(c), r.comma)
			if !ok {
				return nil, &recording.LineError{Line: line, What: c.why(field(c))}
			}
			if part.of[i] = v; v.missing {
				c.missing++
			}
		}
	}
	return w, nil
}

// isUnits reports whether a line below the header holds the units of its columns.
func (r *Replay) isUnits(fields [][]byte) bool {
	for _, f := range fields {
		if _, _, number := recording.Number(f, r.comma); number {
			return false
		}
	}
	return r.in.Line == r.out.HeaderLine+1
}

// mostWaiting is how many rows wait for the next value of a column. What comes later is taken
// as unknown.
const mostWaiting = 4096

// enqueue takes a row. Where an input is missing it waits until it is known between which
// values that lies.
func (r *Replay) enqueue(ctx context.Context, w *row) error {
	if w == nil {
		return nil
	}
	if len(r.queue) == 0 {
		for i := range w.in {
			w.want += b2i(w.in[i].missing)
		}
		for i := range w.set {
			w.want += b2i(w.set[i].missing)
		}
		if w.want == 0 {
			return r.take(ctx, w)
		}
		r.queue = append(r.queue, w)
		return nil
	}
	r.queue = append(r.queue, w)
	return r.flush(ctx, len(r.queue) > mostWaiting || w.broken)
}

// flush makes up for what is missing in the rows that wait, and takes those that lack nothing
// any more; with all, all of them.
func (r *Replay) flush(ctx context.Context, all bool) error {
	for len(r.queue) > 0 {
		w := r.queue[0]
		if !r.madeUp(w) && !all {
			return nil
		}
		r.queue = r.queue[1:]
		if err := r.take(ctx, w); err != nil {
			return err
		}
	}
	r.queue = nil
	return nil
}

// madeUp gives what is missing in the first row that waits the values between which it lies;
// false where the next one has yet to come.
func (r *Replay) madeUp(w *row) bool {
	done := true
	fill := func(v *value, last value, of func(*row) *value) {
		if !v.missing {
			return
		}
		*v = value{missing: true, made: true, lo: math.Inf(-1), hi: math.Inf(1), pos: anyPosition, other: anyPosition}
		for _, later := range r.queue[1:] {
			if later.broken {
				return
			}
			next := of(later)
			if next.missing {
				continue
			}
			if !w.broken && !last.missing {
				*v = value{made: true, lo: min(last.lo, next.lo), hi: max(last.hi, next.hi), pos: last.pos, other: next.pos}
			}
			v.missing = false
			return
		}
		done = false
	}
	for i := range w.in {
		fill(&w.in[i], r.lastIn[i], func(w *row) *value { return &w.in[i] })
	}
	for i := range w.set {
		fill(&w.set[i], r.lastSet[i], func(w *row) *value { return &w.set[i] })
	}
	return done
}

// anyPosition is where a setting stands of which nothing is known.
const anyPosition = -1
