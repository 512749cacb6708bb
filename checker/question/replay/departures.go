package replay

import (
	"context"
	"math"

	"pintle/checker/engine/scenario"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// judge is what is known of one column that is judged.
type judge struct {
	open   bool
	at     Departure
	state  int // that was recorded last
	known  bool
	within [2]float64 // of numbers: what every state allows
}

// storyKey tells kinds of departures apart.
type storyKey struct {
	column             int
	expected, recorded string
}

// mostDepartures is how many departures are listed, and mostStories how many kinds.
const (
	mostDepartures = 10000
	mostStories    = 500
)

// judge holds what a row records in a column against the states that are left, and keeps those
// in which it is so, if there are any.
func (r *Replay) judge(ctx context.Context, i int, w *row) error {
	fits, expected, err := fit(ctx, r.p, r.outputs[i], r.outputs[i].conds, w.out[i], &r.judges[i])
	if err != nil {
		return err
	}
	v := w.out[i]
	ok := v.missing
	for _, f := range fits {
		ok = ok || f
	}
	if !v.missing {
		if ok {
			r.p.Keep(func(k int) bool { return fits[k] })
			r.agrees(i, w.at)
		} else {
			r.departs(i, w, expected)
		}
	}
	if r.o.Trace != nil && r.outputs[i].conds != nil {
		recorded := ""
		if !v.missing {
			recorded = r.outputs[i].names[v.pos]
		}
		r.o.Trace.States(r.traceColumn(i), r.seconds(w.at), recorded, expected, !ok)
	}
	return nil
}

// traceColumn is the place of an output among the columns of a Result.
func (r *Replay) traceColumn(output int) int {
	k := 0
	for _, c := range r.cols {
		if c == r.outputs[output] {
			return k
		}
		if c.kind != timeColumn {
			k++
		}
	}
	return k
}

// fit tells in which of the states what is recorded in a column is so, and what would be: in
// words.
func fit(ctx context.Context, p *scenario.Possible, c *column, conds []*model.Cond, v value, j *judge) (fits []bool, expected string, err error) {
	fits = make([]bool, p.Len())
	if c.kind == measure {
		return fitNumber(ctx, p, c, v, j, fits)
	}
	may := make([]bool, len(c.names))
	for k := range fits {
		for n, cond := range conds {
			is, err := p.Is(ctx, k, cond)
			if err != nil {
				return nil, "", err
			}
			if is != scenario.False {
				may[n] = true
				fits[k] = fits[k] || n == v.pos
			}
		}
	}
	var words []string
	for n, m := range may {
		if m {
			words = append(words, c.names[n])
		}
	}
	if len(words) == 0 {
		words = append(words, "none of its states")
	}
	return fits, either(words), nil
}

// fitNumber is fit for a number.
func fitNumber(ctx context.Context, p *scenario.Possible, c *column, v value, j *judge, fits []bool) ([]bool, string, error) {
	lo, hi := math.Inf(1), math.Inf(-1)
	j.within = [2]float64{math.Inf(-1), math.Inf(1)}
	for k := range fits {
		a, b, known, err := p.Volts(ctx, k, c.measure)
		if err != nil {
			return nil, "", err
		}
		if !known {
			a, b = math.Inf(-1), math.Inf(1)
		}
		// The numbers of a solution are exact to a few parts in a million.
		room := 1e-6 * max(1, math.Abs(a), math.Abs(b))
		if math.IsInf(a, -1) {
			room = 0
		}
		a, b = a-room, b+room
		fits[k] = v.hi >= a && v.lo <= b
		lo, hi = min(lo, a), max(hi, b)
		j.within = [2]float64{max(j.within[0], a), min(j.within[1], b)}
	}
	if math.IsInf(lo, -1) || math.IsInf(hi, 1) {
		return fits, "anything", nil
	}
	text := unit.Format(lo, c.dim)
	if other := unit.Format(hi, c.dim); other != text {
		text += " to " + other
	}
	return fits, text, nil
}

// departs goes on with a departure, or begins one.
func (r *Replay) departs(i int, w *row, expected string) {
	c, j := r.outputs[i], &r.judges[i]
	recorded := ""
	if c.kind == measure {
		recorded = unit.Format(w.out[i].mid, c.dim)
	} else {
		recorded = c.names[w.out[i].pos]
	}
	if j.open && (j.at.Expected != expected || c.kind != measure && j.at.Recorded != recorded) {
		r.agrees(i, w.at)
	}
	if !j.open {
		j.open = true
		j.at = Departure{Column: c.name, Thing: c.path, Line: w.line, From: w.at, Expected: expected, Recorded: recorded}
	}
	r.watch(i, w)
	j.at.Last = w.at
}

// agrees ends a departure of a column, if there is one.
func (r *Replay) agrees(i int, at int64) {
	j := &r.judges[i]
	if !j.open {
		return
	}
	j.open = false
	d := j.at
	d.To = max(at, d.Last)
	if r.was.at > d.Last { // rows that have passed unseen depart as well
		d.Last = r.was.at
	}
	if r.within > 0 && d.Last-d.From <= r.within {
		r.out.Short++
		r.unwatch(i, d.From)
		return
	}
	if r.out.All++; len(r.out.Departures) < mostDepartures {
		r.out.Departures = append(r.out.Departures, d)
	}
	key := storyKey{i, d.Expected, d.Recorded}
	if r.outputs[i].kind == measure {
		key.recorded = ""
	}
	k, known := r.stories[key]
	if !known {
		if len(r.out.Stories) >= mostStories {
			return
		}
		k = len(r.out.Stories)
		r.stories[key] = k
		r.out.Stories = append(r.out.Stories, Story{Column: d.Column, Thing: d.Thing, Expected: d.Expected, Recorded: d.Recorded, First: d})
	}
	s := &r.out.Stories[k]
	s.Count++
	s.Total += d.To - d.From
	if d.To-d.From > s.Longest.To-s.Longest.From {
		s.Longest = d
	}
}
