package scenario

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Possible is the set of all states in which a design may be, given what is known of its
// inputs: where a quantity lay between two values and in which positions a setting may have
// stood, at one moment or over a stretch of time. It is what a recording leaves open.
//
// Never too few: whatever the design does with some course of the inputs that is within what
// is known, with any volts of the supplies within their ranges, any resistances within their
// tolerances, any durations within their intervals and senders as far off as is stated, is in
// the set. Of several changes of hardware that are due at once those in the order of
// declaration are followed, as in a drive. It may hold more: within a stretch inputs move to
// and fro, a tolerance need not be the same one from one question to the next, and of the
// times at which clocks began only the first and the last are remembered.
//
// Fuses open where memories of the design make them; see package fault.
type Possible struct {
	p       *plant
	d       *model.Design
	at      int64 // ns
	points  [][]float64
	whole   [][2]int // per quantity: the cells of its range
	states  []possible
	memo    map[string][]possible
	settled map[string]settling
	key     []byte
}

// possible is one of the states: what is remembered, in which cell each quantity is, and
// between which times each clock and each beat that runs ends what it does. Of clocks the
// Until of the State is carried or started, and of no other meaning.
type possible struct {
	State
	cells  []int
	clocks []period
	beats  []period
}

// period is from when to when something may happen, ns.
type period struct{ from, to int64 }

// What Until says of a clock or beat that runs, behind a move.
const (
	carried = 0
	started = 1
)

// mostPossible is how many states are followed at once.
const mostPossible = 4096

// ManyError is returned where a design may be in more states than are followed.
type ManyError struct{}

func (ManyError) Error() string {
	return fmt.Sprintf("what is known of the inputs leaves more than %d states open", mostPossible)
}

// Known is what is known of the inputs. Cells are those of [Possible.Cells]; the cells of a
// quantity of which nothing is known are those of its range, see [Possible.Anything].
type Known struct {
	Cells [][2]int
	// Positions lists where each setting may stand, ascending.
	Positions [][]int
	// Loose marks quantities that nothing is recorded of: how the design assumes that they
	// rise and fall decides how they may.
	Loose []bool
}

// Clone copies what is known; the lists of positions are shared.
func (k Known) Clone() Known {
	return Known{slices.Clone(k.Cells), slices.Clone(k.Positions), slices.Clone(k.Loose)}
}

// NewPossible makes the set of a design that has yet to Begin.
func NewPossible(d *model.Design) (*Possible, error) {
	p, err := newPlant(d, Options{FusesHold: true, InHand: true})
	if err != nil {
		return nil, err
	}
	p.points = possiblePoints(d)
	p.leeway = &leeway{decisions: map[circuit.QuestionID]*circuit.Decision{}}
	out := &Possible{p: p, d: d, memo: map[string][]possible{}, settled: map[string]settling{}}
	for i, points := range p.points {
		floats := make([]float64, len(points))
		for k, n := range points {
			floats[k] = n.Float64()
		}
		out.points = append(out.points, floats)
		q := &d.Quantities[i]
		lo, hi := out.Cells(model.QuantityID(i), q.Lo.Float64(), q.Hi.Float64())
		out.whole = append(out.whole, [2]int{lo, hi})
	}
	return out, nil
}

// possiblePoints are those of critical, with the ends of what senders may be off.
func possiblePoints(d *model.Design) [][]unit.Num {
	points := critical(d, model.Offsets{})
	add := func(id model.SenderID, n unit.Num) {
		s := &d.Senders[id]
		if q := s.Quantity; s.HasAccuracy && q >= 0 && int(q) < len(points) {
			points[q] = append(points[q], n.Sub(s.Accuracy.N), n.Add(s.Accuracy.N))
		}
	}
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(k *model.Cond) {
			if a := &k.Atom; a.Kind == model.AtomReading {
				for _, s := range d.Readings[a.Index].Senders {
					add(s, a.Value.N)
				}
			}
		})
	})
	for i := range points {
		slices.SortFunc(points[i], unit.Num.Cmp)
		points[i] = slices.CompactFunc(points[i], unit.Num.Equal)
	}
	return points
}

// Cells are the first and the last of the cells in which a quantity lies that is anywhere
// from lo to hi, in its base unit. The points that a design compares a quantity with cut its
// range into cells: cell 0 is below the first point, cell 1 is that point, cell 2 lies
// between it and the next, and so on.
func (s *Possible) Cells(q model.QuantityID, lo, hi float64) (first, last int) {
	points := s.points[q]
	cell := func(v float64, end int) int {
		i, exact := slices.BinarySearch(points, v)
		if exact {
			return 2*i + 1
		}
		// A value is a float, and may have come from another unit: what lies as near to a
		// point as floats do may stand on it.
		near := 1e-12 * max(1, math.Abs(v))
		switch {
		case end < 0 && i > 0 && v-points[i-1] < near:
			return 2*i - 1
		case end > 0 && i < len(points) && points[i]-v < near:
			return 2*i + 1
		}
		return 2 * i
	}
	return cell(lo, -1), cell(hi, +1)
}

// Window is the open stretch of a quantity, in its base unit, that a cell covers; of a cell
// that is a point both ends are the point.
func (s *Possible) Window(q model.QuantityID, cell int) (lo, hi float64) {
	points := s.points[q]
	if cell%2 == 1 {
		return points[cell/2], points[cell/2]
	}
	lo, hi = math.Inf(-1), math.Inf(1)
	if k := cell / 2; k > 0 {
		lo = points[k-1]
	}
	if k := cell / 2; k < len(points) {
		hi = points[k]
	}
	return lo, hi
}

// level is a value that stands for all of a cell.
func (s *Possible) level(q, cell int) Level {
	points := s.p.points[q]
	switch {
	case len(points) == 0:
		return Level{N: s.d.Quantities[q].Start.N}
	case cell%2 == 1:
		return Level{N: points[cell/2]}
	case cell == 0:
		return Level{N: points[0], Nudge: -1}
	}
	return Level{N: points[cell/2-1], Nudge: 1}
}

// Anything is that nothing is known of any input.
func (s *Possible) Anything() Known {
	k := Known{Cells: slices.Clone(s.whole), Positions: make([][]int, len(s.d.Settings)), Loose: make([]bool, len(s.d.Quantities))}
	for i := range s.d.Settings {
		for p := range s.d.Settings[i].Positions {
			k.Positions[i] = append(k.Positions[i], p)
		}
	}
	for i := range k.Loose {
		k.Loose[i] = true
	}
	return k
}

// AtRest begins at a time, ns, with everything as it is when the battery is connected, and
// the inputs wherever they may be now.
func (s *Possible) AtRest(ctx context.Context, at int64, now Known) error {
	return s.begin(ctx, period{at, at}, now, func(all Known) Known {
		for i := range all.Positions {
			all.Positions[i] = append([]int{s.d.Settings[i].Start}, now.Positions[i]...)
			slices.Sort(all.Positions[i])
			all.Positions[i] = slices.Compact(all.Positions[i])
		}
		for i := range all.Cells {
			start := s.d.Quantities[i].Start.Float64()
			lo, hi := s.Cells(model.QuantityID(i), start, start)
			all.Cells[i] = [2]int{min(lo, now.Cells[i][0]), max(hi, now.Cells[i][1])}
		}
		return all
	})
}

// Begin begins at a time, ns, with whatever may have happened before then, and the inputs
// wherever they may be now.
func (s *Possible) Begin(ctx context.Context, at int64, now Known) error {
	// The past is as long as it has to be: whatever runs may end in it.
	return s.begin(ctx, period{math.MinInt64 / 2, at}, now, func(all Known) Known { return all })
}

func (s *Possible) begin(ctx context.Context, past period, now Known, before func(Known) Known) error {
	r := possible{State: rest(s.d), cells: make([]int, len(s.d.Quantities)),
		clocks: make([]period, len(s.d.Timers)), beats: make([]period, len(s.d.Beats))}
	for i := range r.cells {
		start := s.d.Quantities[i].Start.Float64()
		r.cells[i], _ = s.Cells(model.QuantityID(i), start, start)
	}
	calm, err := s.calmAll(ctx, &r)
	if err != nil {
		return err
	}
	s.states = nil
	var first []possible
	for _, c := range calm.ends { // from now on edges are what they were
		first = append(first, s.edged(ctx, c))
	}
	s.states = s.windows(first, past)
	return s.pass(ctx, past, before(s.Anything()), now)
}

// At is the time up to which the set has come, ns.
func (s *Possible) At() int64 { return s.at }

// Len is how many states there are.
func (s *Possible) Len() int { return len(s.states) }

// Next is the time at which something may happen by itself at the earliest, ns.
func (s *Possible) Next() int64 {
	at := int64(math.MaxInt64)
	for i := range s.states {
		st := &s.states[i]
		for k := range st.clocks {
			if st.runs(k) {
				at = min(at, st.clocks[k].from)
			}
		}
		for k := range st.beats {
			if st.Rhythms[k].Running {
				at = min(at, st.beats[k].from)
			}
		}
	}
	return at
}

func (p *possible) runs(clock int) bool {
	c := &p.Clocks[clock]
	return c.Phase == model.TimerRunning && c.Case >= 0
}

// Rest lets time pass in which no input can have moved and nothing happens by itself.
func (s *Possible) Rest(to int64) { s.at = to }

// Is gives the value of a condition in one of the states.
func (s *Possible) Is(ctx context.Context, state int, c *model.Cond) (Truth, error) {
	m := s.moment(ctx, &s.states[state])
	t := m.eval(c)
	return t, m.err
}

func (s *Possible) moment(ctx context.Context, st *possible) *moment {
	return s.p.moment(ctx, &st.State)
}

// Keep keeps the states that a function accepts.
func (s *Possible) Keep(accept func(state int) bool) {
	var kept []possible
	for i := range s.states {
		if accept(i) {
			kept = append(kept, s.states[i])
		}
	}
	s.states = kept
}

// Snapshot is a set that is put aside.
type Snapshot struct {
	at     int64
	of     *Possible
	states []possible
}

// Snapshot puts the set aside.
func (s *Possible) Snapshot() Snapshot { return Snapshot{s.at, s, s.states} }

// Restore goes back to a set that was put aside, of this design or of one that this was made
// of by adding memories, elements, quantities and senders (package fault): what is added is as
// at the start. Memories are the same that have the same name. It is an error if the quantities of the other one are
// compared with other values.
func (s *Possible) Restore(from Snapshot) error {
	for i, points := range from.of.points {
		if !slices.Equal(points, s.points[i]) {
			return errors.New("it is compared with other values: " + s.d.Quantities[i].Path)
		}
	}
	r, of := rest(s.d), make([]int, len(s.d.Memories))
	for i := range s.d.Memories {
		m := &s.d.Memories[i]
		of[i] = slices.IndexFunc(from.of.d.Memories, func(o model.Memory) bool {
			return o.MemKind == m.MemKind && o.Of == m.Of && o.Path == m.Path
		})
	}
	s.at, s.states = from.at, nil
	for _, st := range from.states {
		cells := append(slices.Clone(st.cells), make([]int, len(s.d.Quantities)-len(st.cells))...)
		for i := len(st.cells); i < len(cells); i++ {
			start := s.d.Quantities[i].Start.Float64()
			cells[i], _ = s.Cells(model.QuantityID(i), start, start)
		}
		c := st.State.Clone()
		c.Memories = slices.Clone(r.Memories)
		for i, k := range of {
			if k >= 0 {
				c.Memories[i] = st.Memories[k]
			}
		}
		c.Edges = append(c.Edges, r.Edges[len(c.Edges):]...)
		st.State, st.cells = c, cells
		s.place(&st)
		s.states = append(s.states, st)
	}
	return nil
}

// place puts the quantities where the cells are.
func (s *Possible) place(st *possible) {
	st.Quantities = make([]Level, len(st.cells))
	for i, c := range st.cells {
		st.Quantities[i] = s.level(i, c)
	}
}

func (p possible) clone() possible {
	free := maps.Clone(p.Free)
	p.State = p.State.Clone()
	p.Free = free
	p.cells, p.clocks, p.beats = slices.Clone(p.cells), slices.Clone(p.clocks), slices.Clone(p.beats)
	return p
}
