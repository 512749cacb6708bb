package scenario

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// leeway answers what the circuit is asked for everything that the design leaves open: what
// depends on a tolerance is unknown.
type leeway struct {
	decisions map[circuit.QuestionID]*circuit.Decision
	volts     map[string][2]float64
}

// electrical is moment.electrical within all tolerances.
func (l *leeway) electrical(m *moment, q circuit.QuestionID) Truth {
	d, known := l.decisions[q]
	if !known {
		var err error
		if d, err = m.circuit.WorstCase(m.ctx, q, m.corner, circuit.OverAll); err != nil {
			m.err = err
			return Unknown
		}
		l.decisions[q] = d
	}
	return l.walk(m, d)
}

func (l *leeway) walk(m *moment, d *circuit.Decision) Truth {
	for !d.IsLeaf() {
		switch m.eval(m.circuit.Switches()[d.Switch].Cond) {
		case True:
			d = d.Closed
		case False:
			d = d.Open
		default:
			if open := l.walk(m, d.Open); open == l.walk(m, d.Closed) {
				return open
			}
			return Unknown
		}
	}
	switch d.Answer {
	case circuit.Yes:
		return True
	case circuit.No:
		return False
	}
	return Unknown
}

// readWithin compares what an input reads, of which the sender may be off by its accuracy.
func (m *moment) readWithin(a *model.Atom) Truth {
	id := model.ReadingID(a.Index)
	level, ok := m.reading(id)
	if !ok {
		return Unknown
	}
	out := truth(level.Compare(a.Cmp, a.Value.N))
	for _, s := range m.design.Readings[id].Senders {
		by := &m.design.Senders[s]
		if !by.HasAccuracy {
			continue
		}
		// Which of several senders tells makes no difference to what is possible.
		low, high := level, level
		low.N, high.N = level.N.Sub(by.Accuracy.N), level.N.Add(by.Accuracy.N)
		if truth(low.Compare(a.Cmp, a.Value.N)) != out || truth(high.Compare(a.Cmp, a.Value.N)) != out {
			return Unknown
		}
	}
	return out
}

// mostOpen is how many open values are put to both ends each, in all combinations; of more,
// one after the other is moved to the end that is worse.
const mostOpen = 8

// Volts is the range of a measure, in its base unit, in one of the states, over everything
// that the design leaves open. Every voltage is monotone in every single value (see
// circuit.WorstCase), so that the ends of the range are where all values are at an end;
// where more than mostOpen are open, they are looked for one value after the other. It is not
// known where a switch is not, or where a node floats.
func (s *Possible) Volts(ctx context.Context, state int, of model.Measure) (lo, hi float64, known bool, err error) {
	m := s.moment(ctx, &s.states[state])
	c := s.p.circuit
	if m.unread.In(c.IslandsOf(of)) {
		return 0, 0, false, nil
	}
	stands := make([]bool, len(c.Switches()))
	var key strings.Builder
	for w := range stands {
		t := m.eval(c.Switches()[w].Cond)
		if m.err != nil || t == Unknown {
			return 0, 0, false, m.err
		}
		stands[w] = t == True
		key.WriteByte("01"[b2i(stands[w])])
	}
	key.WriteString(strconv.Itoa(int(of.A)) + " " + strconv.Itoa(int(of.B)))
	if r, done := s.p.leeway.volts[key.String()]; done {
		return r[0], r[1], !math.IsNaN(r[0]), nil
	}
	at := func(k circuit.Corner) (float64, error) {
		sol, err := c.Solve(ctx, func(w circuit.Switch) bool { return stands[w] }, k)
		if err != nil {
			return 0, err
		}
		for _, n := range [...]model.NodeID{of.A, of.B} {
			if n != model.None && sol.Floating(n) && !sol.HasZero(n) {
				return math.NaN(), nil
			}
		}
		return sol.Measure(ctx, of)
	}
	lo, hi, err = extent(s.p.openNear(of), at)
	if err != nil {
		return 0, 0, false, err
	}
	if len(s.p.leeway.volts) > 1<<14 || s.p.leeway.volts == nil {
		s.p.leeway.volts = map[string][2]float64{}
	}
	s.p.leeway.volts[key.String()] = [2]float64{lo, hi}
	return lo, hi, !math.IsNaN(lo), nil
}

// open is a value that is open, by its ends.
type open struct {
	id     circuit.ParamID
	lo, hi float64
}

// openNear lists the values that the islands of a measure leave open.
func (p *plant) openNear(of model.Measure) (out []open) {
	islands := p.circuit.IslandsOf(of)
	for i, info := range p.circuit.Params() {
		e := p.circuit.Element(info.Element)
		for _, n := range [...]model.NodeID{e.A, e.B} {
			if id, ok := p.circuit.IslandOf(n); ok && slices.Contains(islands, id) {
				out = append(out, open{circuit.ParamID(i), info.Min, info.Max})
				break
			}
		}
	}
	return out
}

// extent is the lowest and the highest of a function over the ends of open values; not a
// number if it is not one anywhere that is looked at.
func extent(over []open, at func(circuit.Corner) (float64, error)) (lo, hi float64, err error) {
	lo, hi = math.Inf(1), math.Inf(-1)
	try := func(k circuit.Corner) (float64, error) {
		v, err := at(k)
		lo, hi = min(lo, v), max(hi, v)
		return v, err
	}
	if _, err := try(circuit.Nominal); err != nil || math.IsNaN(lo) {
		return lo, hi, err
	}
	if len(over) <= mostOpen {
		for way := range 1 << len(over) {
			k := circuit.Nominal
			for i, o := range over {
				k = k.With(o.id, [...]float64{o.lo, o.hi}[way>>i&1])
			}
			if _, err := try(k); err != nil {
				return lo, hi, err
			}
		}
		return lo, hi, nil
	}
	for _, sign := range [...]float64{-1, 1} {
		k := circuit.Nominal
		best, err := try(k)
		for better := true; better && err == nil; {
			better = false
			for _, o := range over {
				for _, end := range [...]float64{o.lo, o.hi} {
					var v float64
					if v, err = try(k.With(o.id, end)); err != nil {
						return lo, hi, err
					}
					if (v-best)*sign > 1e-12 {
						k, best, better = k.With(o.id, end), v, true
					}
				}
			}
		}
		if err != nil {
			return lo, hi, err
		}
	}
	return lo, hi, nil
}
