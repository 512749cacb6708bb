package replay

import (
	"cmp"
	"context"
	"math"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// history is how many recorded values of a quantity are kept, to tell which way it goes.
const history = 64

// past is what was recorded of one quantity last.
type past struct {
	column *column
	at     [history]int64
	of     [history]value
	n      int // how many were, in all
}

func (p *past) add(at int64, v value) {
	p.at[p.n%history], p.of[p.n%history] = at, v
	p.n++
}

// back is the value some rows ago; 0 is the last one.
func (p *past) back(k int) (int64, value) {
	i := (p.n - 1 - k) % history
	return p.at[i], p.of[i]
}

// crossing is a place at which the described state of a column changes when a quantity moves
// alone.
type crossing struct {
	from, to int
	rising   bool
	point    float64
	by       string
	slack    float64
}

// pointKey tells switching points apart.
type pointKey struct {
	column, from, to int
	quantity         int
	rising           bool
	point            float64
}

// passes collects the passes over switching points.
type passes struct {
	of           map[pointKey][]bracket
	count        map[pointKey]int
	by           map[pointKey]crossing
	sweeps       map[string][]crossing
	unattributed int64
}

// changed looks for the switching point behind a change of a recorded state, between the row
// before and this one; nothing else may have moved.
func (r *Replay) changed(ctx context.Context, c int, from, to int, was, now *row) error {
	col := r.outputs[c]
	type candidate struct {
		q     int
		cross crossing
	}
	var found []candidate
	for q, p := range r.pasts {
		if p.n < 2 {
			continue
		}
		cross, err := r.crossings(ctx, c, q)
		if err != nil {
			return err
		}
		cross = slices.DeleteFunc(slices.Clone(cross), func(x crossing) bool { return x.from != from || x.to != to })
		// Which way a quantity goes is a guess where values scatter, and made only where it matters.
		if slices.ContainsFunc(cross, func(x crossing) bool { return x.rising != cross[0].rising }) {
			rising := p.trend() > 0
			cross = slices.DeleteFunc(cross, func(x crossing) bool { return x.rising != rising })
		}
		if len(cross) == 0 {
			continue
		}
		_, v := p.back(0)
		found = append(found, candidate{q, slices.MinFunc(cross, func(a, b crossing) int {
			return cmp.Compare(math.Abs(a.point-v.mid), math.Abs(b.point-v.mid))
		})})
	}
	if len(found) > 1 { // the one that goes the right way
		found = slices.DeleteFunc(found, func(f candidate) bool { return (r.pasts[f.q].trend() > 0) != f.cross.rising })
	}
	if len(found) != 1 {
		if len(found) > 1 || len(col.conds) > 0 {
			r.passes.unattributed++
		}
		return nil
	}
	f := found[0]
	p := r.pasts[f.q]
	_, after := p.back(0)
	// A state that is recorded late has changed since the last row that is older than that.
	before := after
	for k := 1; k < min(p.n, history); k++ {
		at, v := p.back(k)
		if before = v; now.at-at > r.within {
			break
		}
	}
	key := pointKey{c, from, to, f.q, f.cross.rising, f.cross.point}
	b := bracket{before.mid - before.step, after.mid + after.step}
	if !f.cross.rising {
		b = bracket{after.mid - after.step, before.mid + before.step}
	}
	if r.passes.count[key]++; len(r.passes.of[key]) < mostPasses {
		r.passes.of[key] = append(r.passes.of[key], b)
	}
	r.passes.by[key] = f.cross
	return nil
}

// trend is which way a quantity goes: how the mean of the later half of what is kept lies to
// that of the earlier one.
func (p *past) trend() float64 {
	n := min(p.n, history)
	sum := [2]float64{}
	for k := range n / 2 * 2 {
		_, v := p.back(k)
		sum[k/(n/2)] += v.mid
	}
	return sum[0] - sum[1]
}

// crossings are where the described state of an output changes when a quantity sweeps its
// range, with everything else as it is now.
func (r *Replay) crossings(ctx context.Context, c, q int) ([]crossing, error) {
	if r.p.Len() == 0 {
		return nil, nil
	}
	id := model.QuantityID(r.pasts[q].column.index)
	key := string(rune(c)) + string(rune(q)) + r.p.Place(0, id)
	if out, known := r.passes.sweeps[key]; known {
		return out, nil
	}
	swept, err := r.p.Sweep(ctx, 0, id, r.outputs[c].conds)
	if err != nil {
		return nil, err
	}
	var out []crossing
	is := func(s *scenario.Swept) int { return slices.Index(s.Of, scenario.True) }
	for i := 1; i < len(swept); i++ {
		a, b := is(&swept[i-1]), is(&swept[i])
		if a == b || a < 0 || b < 0 {
			continue
		}
		x := crossing{from: a, to: b, rising: swept[i].Rising, point: swept[i].Point.Float64()}
		x.by, x.slack = r.cause(swept[i].Events)
		out = append(out, x)
	}
	if len(r.passes.sweeps) > 1<<12 {
		clear(r.passes.sweeps)
	}
	r.passes.sweeps[key] = out
	return out, nil
}

// cause is what changed first of what follows a quantity, and how far off the sender may be
// that it reads.
func (r *Replay) cause(events []scenario.Event) (by string, slack float64) {
	for _, e := range events {
		if e.Kind != scenario.EventMemory {
			continue
		}
		if by == "" {
			by = e.Text
		}
		m := &r.d.Memories[e.Index]
		if m.MemKind != model.MemThreshold {
			continue
		}
		if t := &r.d.Thresholds[m.Of]; t.Reading != model.None {
			for _, s := range r.d.Readings[t.Reading].Senders {
				if k := &r.d.Senders[s]; k.HasAccuracy {
					slack = max(slack, k.Accuracy.Float64())
				}
			}
		}
		return e.Text, slack
	}
	return by, slack
}

// points are the switching points that were passed, in the order of the columns.
func (r *Replay) points() (out []Point) {
	keys := make([]pointKey, 0, len(r.passes.of))
	for k := range r.passes.of {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b pointKey) int {
		for _, by := range [...]float64{
			float64(a.column - b.column), float64(a.quantity - b.quantity), a.point - b.point, float64(b2i(b.rising) - b2i(a.rising)),
			float64(a.from - b.from), float64(a.to - b.to),
		} {
			if by != 0 {
				return int(math.Copysign(1, by))
			}
		}
		return 0
	})
	for _, k := range keys {
		col, q := r.outputs[k.column], r.pasts[k.quantity].column
		all := r.passes.of[k]
		p := Point{
			Column: col.name, Thing: col.path, From: col.names[k.from], To: col.names[k.to], Quantity: q.path, Rising: k.rising,
			By: r.passes.by[k].by, Described: k.point, Slack: r.passes.by[k].slack + q.accuracy, Unit: q.unit, Passes: r.passes.count[k],
			Middle: middle(all),
		}
		p.Low, p.High, p.Confidence = order(all)
		switch {
		case len(all) < FewestPasses:
			p.Verdict = TooFew
		case p.Described >= p.Low-p.Slack && p.Described <= p.High+p.Slack:
			p.Verdict = Covered
		default:
			p.Verdict = Shifted
		}
		out = append(out, p)
	}
	return out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// ByHowMuch is how far a point lies from the described one, as a range in the base unit of its
// quantity, accuracies included.
func (p *Point) ByHowMuch() (low, high float64) {
	return p.Low - p.Described - p.Slack, p.High - p.Described + p.Slack
}

// Value writes a value of the point's quantity, rounded to what the interval can show.
func (p *Point) Value(v float64) string {
	return decimal(p.In(v), (p.High-p.Low)*p.Scale()) + " " + p.Unit.Symbol
}

// Difference writes a difference between two values of the point's quantity.
func (p *Point) Difference(v float64) string {
	return decimal(v*p.Scale(), (p.High-p.Low)*p.Scale()) + " " + p.Unit.Symbol
}

// Scale is the number of a difference in the unit of the point by that in the base unit.
func (p *Point) Scale() float64 {
	return 1 / (unit.New(unit.Int(1), p.Unit).Float64() - unit.New(unit.Int(0), p.Unit).Float64())
}

// In is a value of the base unit in the unit of the point.
func (p *Point) In(v float64) float64 {
	return (v - unit.New(unit.Int(0), p.Unit).Float64()) * p.Scale()
}
