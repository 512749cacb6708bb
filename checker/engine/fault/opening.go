package fault

import (
	"context"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// opening tells where fuses open: conditions over the switches of a design, nil for never.
type opening struct {
	fuse   map[int]*model.Cond // by index, once all is at rest
	now    map[int]*model.Cond // by index, before anything else moves: a short that a fault makes
	unsure *model.Cond         // a fault shorts a supply and it is not sure that a fuse opens
	bites  []*model.Cond       // where each join closes a short that a fuse may open; nil where none does
	bare   *model.Cond         // a fault shorts a supply and no fuse opens
	bared  []*model.Cond       // where each join closes such a short; nil where none does
	on     []*model.Cond       // of the switches on which that turns
}

// cut counts the shorts that no fuse opens among those of which it is not sure.
func (o *opening) cut() {
	o.unsure = either(o.unsure, o.bare)
	if o.bites == nil {
		o.bites = o.bared
		return
	}
	for k := range o.bared {
		o.bites[k] = either(o.bites[k], o.bared[k])
	}
}

// opens reports whether a fuse opens at all.
func (o *opening) opens(i int) bool { return o.fuse[i] != nil || o.now[i] != nil }

// either is the disjunction of two conditions, nil for never.
func either(a, b *model.Cond) *model.Cond {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return model.Or(a, b)
}

// rules lets a fuse open: at once, and once all is at rest; nil for never.
func rules(now, atRest *model.Cond) (out []model.Rule) {
	if now != nil && now.Op != model.CondFalse {
		out = append(out, model.Rule{From: []int{0}, To: 1, When: now})
	}
	if atRest != nil && atRest.Op != model.CondFalse {
		out = append(out, model.Rule{From: []int{0}, To: 1, When: atRest, AtRest: true})
	}
	return out
}

// openings works out where fuses open in a design of which they are switches, with some
// faults: those in the way of a short, and those of which it is given that loads may make
// them open.
func openings(ctx context.Context, fused *model.Design, faults circuit.Overlay, over []int, joins []join, own bool, memo *circuit.Memo) (*opening, error) {
	c, err := circuit.New(fused, faults)
	if err != nil {
		return nil, err
	}
	c.Share(memo)
	s := newShorts(fused, c, joins, own)
	t, err := s.decide(ctx, c.Assume())
	if err != nil {
		return nil, err
	}
	out := &opening{fuse: map[int]*model.Cond{}, now: map[int]*model.Cond{}}
	if err := overloads(ctx, fused, c, over, s.rival, out); err != nil {
		return nil, err
	}
	short := s.where(t, func(l *shorting) bool { return l.bites != nil })
	for _, i := range over { // in a short it is the short that decides between rivals
		saved := s.where(t, func(l *shorting) bool {
			return slices.ContainsFunc(l.opens, func(j int) bool { return i == j || s.rival.are(i, j) })
		})
		if out.fuse[i] != nil && saved != nil {
			out.fuse[i] = model.And(out.fuse[i], model.Not(saved))
		}
	}
	for _, i := range s.fuses() {
		made := func(l *shorting) bool { return slices.Contains(l.bites, true) }
		out.fuse[i] = either(out.fuse[i], s.where(t, func(l *shorting) bool { return slices.Contains(l.opens, i) && !made(l) }))
		if now := s.where(t, func(l *shorting) bool { return slices.Contains(l.opens, i) && made(l) }); now != nil {
			out.now[i] = now
		}
	}
	if short != nil {
		out.on = s.switches(t, nil)
	}
	out.unsure = s.where(t, func(l *shorting) bool { return l.unsure && l.opens != nil && slices.Contains(l.bites, true) })
	out.bare = s.where(t, func(l *shorting) bool { return l.opens == nil && slices.Contains(l.bites, true) })
	add := func(to *[]*model.Cond, k int, c *model.Cond) {
		if c != nil && *to == nil {
			*to = make([]*model.Cond, len(joins))
		}
		if c != nil {
			(*to)[k] = c
		}
	}
	for k := range joins {
		add(&out.bites, k, s.where(t, func(l *shorting) bool { return l.bites != nil && l.bites[k] && l.opens != nil }))
		add(&out.bared, k, s.where(t, func(l *shorting) bool { return l.bites != nil && l.bites[k] && l.opens == nil }))
	}
	return out, nil
}

// finest is the step between the multiples of ratings that overloads tells apart, as a
// factor.
const finest = 1.1

// overloads adds where fuses open that no short makes open: what their loads draw does. One
// opens where no rival carries a multiple of its rating that is higher by more than
// circuit.FuseSelective, found to a step.
func overloads(ctx context.Context, d *model.Design, c *circuit.Circuit, fuses []int, rival *rivals, out *opening) error {
	levels := map[int][]*model.Cond{} // where each carries FuseOpens, and so many steps more; nil: nowhere
	for _, i := range fuses {
		for times := circuit.FuseOpens; times < 1e4; times *= finest {
			at, err := carries(ctx, d, c, i, times)
			if err != nil {
				return err
			}
			if at == nil {
				break
			}
			levels[i] = append(levels[i], at)
			if !slices.ContainsFunc(fuses, func(j int) bool { return j != i && rival.are(i, j) }) {
				break
			}
		}
	}
	ahead := int(math.Ceil(math.Log(circuit.FuseSelective)/math.Log(finest))) + 1
	for _, i := range fuses {
		var any []*model.Cond
		for k, at := range levels[i] {
			all := []*model.Cond{at}
			for _, j := range fuses {
				if j != i && k+ahead < len(levels[j]) && rival.are(i, j) {
					all = append(all, model.Not(levels[j][k+ahead]))
				}
			}
			any = append(any, model.And(all...))
			if len(all) == 1 {
				break // the higher ones say no more
			}
		}
		if any != nil {
			out.fuse[i] = model.Or(any...)
		}
	}
	return nil
}

// carries is where a fuse carries so many times its rating, at nominal values with warm
// filaments; nil for nowhere. Where that can't be found out it is taken to carry less, as it
// is where a rule on fuses says nothing.
func carries(ctx context.Context, d *model.Design, c *circuit.Circuit, fuse int, times float64) (*model.Cond, error) {
	f := &d.Fuses[fuse]
	q, ok := c.Register(model.Atom{
		Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(times * f.Rating),
		Measure: model.Measure{Kind: model.Amps, Element: f.Element, A: model.None, B: model.None, Load: model.None},
	})
	if !ok {
		return nil, nil
	}
	t, err := c.Decide(ctx, q, circuit.Nominal)
	if err != nil {
		return nil, err
	}
	some := false
	for _, l := range t.Leaves() {
		some = some || l.Nominal == circuit.Yes
	}
	if !some {
		return nil, nil
	}
	return c.Cond(t, func(l *circuit.Leaf) bool { return l.Nominal == circuit.Yes }), nil
}

// mostAmps bounds what the loads behind each fuse draw together, each at all the volts that
// there are, in A. It is infinite where another supply feeds what lies behind it.
func mostAmps(d *model.Design, c *circuit.Circuit) []float64 {
	volts := 0.0
	for i := range d.Supplies {
		if e := d.Supplies[i].Element; e >= 0 {
			volts += math.Abs(d.Elements[e].Volts.Nominal)
		}
	}
	at := make([][]model.ElementID, len(d.Nodes))
	for i := range c.Elements() {
		id := model.ElementID(i)
		e := c.Element(id)
		if _, switched, conducts := c.SwitchOf(id); (switched || conducts) && e.A >= 0 && e.B >= 0 && e.A != e.B {
			at[e.A] = append(at[e.A], id)
			at[e.B] = append(at[e.B], id)
		}
	}
	out := make([]float64, len(d.Fuses))
	for i := range d.Fuses {
		if f := &d.Fuses[i]; known(*f) {
			e := c.Element(f.Element)
			out[i] = min(behind(d, c, at, e.B, f.Element, volts), behind(d, c, at, e.A, f.Element, volts))
		}
	}
	return out
}

// behind bounds what the loads draw that anything but ground joins to one end of an element.
func behind(d *model.Design, c *circuit.Circuit, at [][]model.ElementID, from model.NodeID, but model.ElementID, volts float64) float64 {
	if from == d.Ground {
		return math.Inf(1)
	}
	in := map[model.NodeID]bool{from: true}
	counted := map[model.ElementID]bool{}
	sum := 0.0
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for _, id := range at[queue[0]] {
			if id == but || counted[id] {
				continue
			}
			counted[id] = true
			e := c.Element(id)
			switch {
			case e.Type == model.ElemSupply:
				return math.Inf(1)
			case e.Metal || e.Type == model.ElemDiode:
			case e.Ohm.Nominal > 0:
				sum += (volts + math.Abs(e.Volts.Nominal)) / e.Ohm.Nominal
			default:
				return math.Inf(1)
			}
			if next := e.A + e.B - queue[0]; next != d.Ground && !in[next] {
				in[next] = true
				queue = append(queue, next)
			}
		}
	}
	return sum
}
