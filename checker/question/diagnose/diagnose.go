// Package diagnose says where to put the meter: of the single faults that explain a symptom,
// which measurements tell them apart, what to expect from each, and in which order to take them.
//
// What is expected is computed: the moves that show the symptom are driven with each fault
// there from the start, and the circuit is solved at their end. A measurement is the volts of
// a place against ground, as a meter of 10 Mohm shows them.
package diagnose

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// apart is how far two readings lie from each other, in V, to be told apart with a workshop meter
// on a live vehicle: common practice, no source.
const apart = 0.8

// Bounds of the work: suspects, states and places that are looked at.
const (
	mostSuspects = 120
	mostStates   = 4
	mostPlaces   = 400
)

// Plan is how to find which of some faults it is.
type Plan struct {
	// Suspects are the faults that explain the symptom.
	Suspects []fault.Fault
	// Measurements are those that the order needs, in the order in which it first takes them.
	Measurements []Measurement
	// First is the order in which to take them; nil where there is nothing to tell apart.
	First *Test
	// Steps is the expected number of measurements until no more can be told apart, all faults
	// taken as equally likely.
	Steps float64
	// Alike are suspects, by index, that no measurement tells apart.
	Alike [][]int
	// Unknown are suspects, by index, of which no reading is known: the moves that show the
	// symptom can't be driven with them, or they short what nothing protects.
	Unknown []int
	// Left counts suspects beyond those that are distinguished.
	Left int
}

// Measurement is one place in one state.
type Measurement struct {
	Place string
	State string // "key run"
	// Volts are expected with each suspect, against ground; NaN where that is not known.
	Volts []float64
	Sound float64 // where nothing has failed
}

// Test is a measurement and what to do next, by what it shows.
type Test struct {
	Measurement int
	Outcomes    []Outcome
}

// Outcome is a range of readings.
type Outcome struct {
	Lo, Hi   float64
	Suspects []int
	Next     *Test // nil: this is as far as it goes
}

// Symptom plans the search for what explains a symptom, of the rows of a table of faults.
func Symptom(ctx context.Context, d *model.Design, rows []fault.Row, name string) (*Plan, error) {
	p := &Plan{}
	type way struct {
		drive model.Drive
		state string
	}
	var ways []way
	var actions []circuit.Overlay
	for i := range rows {
		k := slices.IndexFunc(rows[i].Symptoms, func(e fault.Effect) bool { return e.Name == name })
		if k < 0 {
			continue
		}
		// Faults of the same effect on the design need not be alike to a meter.
		for _, f := range rows[i].Faults {
			if len(p.Suspects) == mostSuspects {
				p.Left++
				continue
			}
			p.Suspects = append(p.Suspects, f)
			actions = append(actions, f.Actions)
		}
		e := &rows[i].Symptoms[k]
		state := stateOf(d, &e.Drive)
		if len(ways) < mostStates && !slices.ContainsFunc(ways, func(w way) bool { return w.state == state }) {
			ways = append(ways, way{e.Drive, state})
		}
	}
	if len(p.Suspects) == 0 || d.Ground == model.None {
		return p, nil
	}
	places := placesOf(d)
	for _, w := range ways {
		sols := make([]*circuit.Solution, len(actions)+1)
		for i := range sols {
			var o circuit.Overlay
			if i < len(actions) {
				o = actions[i]
			}
			end, err := scenario.EndOf(ctx, d, &w.drive, scenario.Options{Faults: o})
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err == nil {
				sols[i] = end.Circuit()
			}
		}
		for _, n := range places {
			m := Measurement{Place: d.Nodes[n].Path, State: w.state, Volts: make([]float64, len(actions))}
			for i := range sols {
				v := math.NaN()
				if sols[i] != nil {
					if x, err := sols[i].Measure(ctx, model.Measure{
						Kind: model.Volts, A: n, B: d.Ground, Element: model.None, Load: model.None,
					}); err == nil {
						v = x
					}
				}
				if i < len(actions) {
					m.Volts[i] = v
				} else {
					m.Sound = v
				}
			}
			p.Measurements = append(p.Measurements, m)
		}
	}
	p.order()
	return p, nil
}

// placesOf lists the points that a meter can reach, those with names of their own, in the
// order of the design.
func placesOf(d *model.Design) (out []model.NodeID) {
	for i := range d.Nodes {
		n := &d.Nodes[i]
		if n.Broken || model.NodeID(i) == d.Ground || n.Path == "" || len(out) == mostPlaces {
			continue
		}
		out = append(out, model.NodeID(i))
	}
	return out
}

// stateOf says where the moves of a drive leave what they move.
func stateOf(d *model.Design, v *model.Drive) string {
	last := map[string]string{}
	var order []string
	set := func(name, to string) {
		if _, ok := last[name]; !ok {
			order = append(order, name)
		}
		last[name] = to
	}
	for i := range v.Steps {
		for _, a := range v.Steps[i].Sets {
			switch {
			case a.Setting != model.None:
				set(d.Settings[a.Setting].Path, d.Settings[a.Setting].Positions[a.Position])
			case a.Quantity != model.None:
				set(d.Quantities[a.Quantity].Path, a.Value.String())
			case a.Supply != model.None:
				set(d.Supplies[a.Supply].Path, a.Value.String())
			}
		}
		for _, r := range v.Steps[i].Ramps {
			set(d.Quantities[r.Quantity].Path, r.To.String())
		}
	}
	if order == nil {
		return "as at first"
	}
	slices.Sort(order)
	words := make([]string, len(order))
	for i, name := range order {
		words[i] = name + " " + last[name]
	}
	return strings.Join(words, ", ")
}

// split divides suspects by what a measurement shows. One of which that is not known stays a
// suspect whatever it shows.
func (p *Plan) split(m int, among []int) (out []Outcome) {
	v := p.Measurements[m].Volts
	var sorted, unknown []int
	for _, i := range among {
		if math.IsNaN(v[i]) {
			unknown = append(unknown, i)
		} else {
			sorted = append(sorted, i)
		}
	}
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	for _, i := range sorted {
		n := len(out) - 1
		if n < 0 || v[i]-out[n].Hi > apart {
			out = append(out, Outcome{Lo: v[i], Hi: v[i], Suspects: []int{i}})
			continue
		}
		out[n].Hi = v[i]
		out[n].Suspects = append(out[n].Suspects, i)
	}
	for i := range out {
		out[i].Suspects = append(out[i].Suspects, unknown...)
		slices.Sort(out[i].Suspects)
	}
	return out
}

// order builds the tests: each time the measurement after which the fewest faults are
// expected to be left, then keeps the measurements that are used.
func (p *Plan) order() {
	var all []int
	for i := range p.Suspects {
		if slices.ContainsFunc(p.Measurements, func(m Measurement) bool { return !math.IsNaN(m.Volts[i]) }) {
			all = append(all, i)
		} else {
			p.Unknown = append(p.Unknown, i)
		}
	}
	p.First = p.next(all, 1, float64(len(all)))
	var used []int
	var walk func(t *Test)
	walk = func(t *Test) {
		if t == nil {
			return
		}
		k := slices.Index(used, t.Measurement)
		if k < 0 {
			k = len(used)
			used = append(used, t.Measurement)
		}
		t.Measurement = k
		for i := range t.Outcomes {
			walk(t.Outcomes[i].Next)
		}
	}
	walk(p.First)
	kept := make([]Measurement, len(used))
	for k, m := range used {
		kept[k] = p.Measurements[m]
	}
	p.Measurements = kept
}

func (p *Plan) next(among []int, depth int, total float64) *Test {
	best, at, left := []Outcome(nil), -1, math.Inf(1)
	if len(among) > 1 {
		for m := range p.Measurements {
			out := p.split(m, among)
			if len(out) < 2 {
				continue
			}
			rest := 0.0
			for i := range out {
				w := float64(len(out[i].Suspects))
				rest += w * w
			}
			if rest < left-1e-9 {
				best, at, left = out, m, rest
			}
		}
	}
	if at < 0 {
		p.Steps += float64(depth-1) * float64(len(among)) / total
		if len(among) > 1 {
			p.Alike = append(p.Alike, among)
		}
		return nil
	}
	t := &Test{Measurement: at, Outcomes: best}
	for i := range t.Outcomes {
		t.Outcomes[i].Next = p.next(t.Outcomes[i].Suspects, depth+1, total)
	}
	return t
}

// Reading is a range of volts in words: "0 V", "11.8 V to 12.6 V".
func (o *Outcome) Reading() string {
	lo, hi := unit.Format(tidy(o.Lo), unit.Voltage), unit.Format(tidy(o.Hi), unit.Voltage)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}

// tidy takes a few millivolts for none.
func tidy(v float64) float64 {
	if math.Abs(v) < 0.005 {
		return 0
	}
	return v
}

// Cautions are those that a design of this kind calls for, besides the usual ones.
func Cautions(d *model.Design) (out []string) {
	high := false
	for i := range d.Supplies {
		if e := d.Supplies[i].Element; e >= 0 && math.Abs(d.Elements[e].Volts.Nominal) > classB {
			high = true
		}
	}
	fuel, turns := false, false
	for i := range d.Ports {
		fuel = fuel || d.Ports[i].Medium == "fuel"
	}
	for i := range d.Loads {
		for _, l := range d.Loads[i].Levels {
			turns = turns || slices.Contains([]string{"turning", "running", "spinning", "winding", "at_speed"}, l.Name)
		}
	}
	if high {
		out = append(out, "High voltage: only with the licence for it; shut down, lock, wait, and prove that it is dead first.")
	}
	if fuel {
		out = append(out, "Fuel: no flame or spark, air the place, and let the pressure off before a line is opened.")
	}
	if turns {
		out = append(out, "Something turns or moves when it is fed: keep hands, hair and clothes clear.")
	}
	return out
}

// classB is where voltage class B begins, in V of direct current: ISO 6469-3.
const classB = 60
