package fault

import (
	"context"
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/lang/model"
)

// opening tells where fuses open: conditions over the switches of a design, nil for never.
type opening struct {
	fuse   map[int]*model.Cond // by index
	unsure *model.Cond         // a fault shorts a supply and it is not sure that a fuse opens
	bites  []*model.Cond       // where each join closes a short; nil where none does
}

// openings works out where some fuses open in a design of which they are switches, with some
// faults.
func openings(ctx context.Context, fused *model.Design, faults circuit.Overlay, fuses []int, joins []join) (*opening, error) {
	c, err := circuit.New(fused, faults)
	if err != nil {
		return nil, err
	}
	s := newShorts(fused, c, joins)
	t, err := s.decide(ctx, c.Assume())
	if err != nil {
		return nil, err
	}
	out := &opening{fuse: map[int]*model.Cond{}}
	inWay := s.fuses()
	var rest []int
	for _, i := range fuses {
		if slices.Contains(inWay, i) {
			out.fuse[i] = s.where(t, func(l *shorting) bool { return slices.Contains(l.opens, i) })
		} else if known(fused.Fuses[i]) {
			rest = append(rest, i)
		}
	}
	out.unsure = s.where(t, func(l *shorting) bool { return l.unsure && slices.Contains(l.bites, true) })
	for k := range joins {
		b := s.where(t, func(l *shorting) bool { return l.bites != nil && l.bites[k] })
		if b != nil && out.bites == nil {
			out.bites = make([]*model.Cond, len(joins))
		}
		if b != nil {
			out.bites[k] = b
		}
	}
	return out, overloads(ctx, fused, c, rest, out)
}

// finest is the step between the multiples of ratings that overloads tells apart, as a
// factor.
const finest = 1.1

// overloads adds where fuses open that no short makes open: what their loads draw does. One
// opens where no other carries a multiple of its rating that is higher by more than
// circuit.FuseSelective, found to a step.
func overloads(ctx context.Context, d *model.Design, c *circuit.Circuit, fuses []int, out *opening) error {
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
			if len(fuses) == 1 {
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
				if j != i && k+ahead < len(levels[j]) {
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

// mostAmps bounds what each fuse may carry in any state, in A: what all loads behind it draw
// together, each at all the volts that there are. It is infinite where metal or a diode may
// lead past every load.
func mostAmps(d *model.Design, c *circuit.Circuit) []float64 {
	volts := 0.0
	for i := range d.Supplies {
		volts += math.Abs(d.Elements[max(d.Supplies[i].Element, 0)].Volts.Nominal)
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
			out[i] = min(beyond(d, c, at, e.B, f.Element, volts), beyond(d, c, at, e.A, f.Element, volts))
		}
	}
	return out
}

// beyond bounds what runs through an element into what lies at one of its ends.
func beyond(d *model.Design, c *circuit.Circuit, at [][]model.ElementID, from model.NodeID, but model.ElementID, volts float64) float64 {
	if from == d.Ground {
		return math.Inf(1)
	}
	behind := map[model.NodeID]bool{from: true} // whatever joins it, not by way of ground
	bare := map[model.NodeID]bool{from: true}   // by metal
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for _, id := range at[queue[0]] {
			e := c.Element(id)
			next := e.A + e.B - queue[0]
			if id == but || next == d.Ground || behind[next] {
				continue
			}
			if e.Type == model.ElemSupply {
				return math.Inf(1)
			}
			behind[next] = true
			queue = append(queue, next)
		}
	}
	if x := c.Element(but); behind[x.A] && behind[x.B] {
		return math.Inf(1) // there is a way round it
	}
	sum := 0.0
	for i := range c.Elements() {
		id := model.ElementID(i)
		e := c.Element(id)
		if id == but || !behind[e.A] && !behind[e.B] {
			continue
		}
		switch {
		case e.Type == model.ElemSupply:
			return math.Inf(1)
		case e.Metal || e.Type == model.ElemDiode:
		case e.Ohm.Nominal > 0:
			sum += (volts + math.Abs(e.Volts.Nominal)) / e.Ohm.Nominal
		default:
			return math.Inf(1)
		}
	}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for _, id := range at[queue[0]] {
			e := c.Element(id)
			if id == but || !e.Metal && e.Type != model.ElemDiode {
				continue
			}
			next := e.A + e.B - queue[0]
			if next == d.Ground {
				return math.Inf(1)
			}
			if !bare[next] {
				bare[next] = true
				queue = append(queue, next)
			}
		}
	}
	return sum
}
