package system

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// splits bounds how often the range of a supply is halved in search of volts at which
// answers change: to a 64th of it.
const splits = 6

// NeverOver asks what Never does with only some of the open values moving, and the others
// as in the corner of this system.
func (s *System) NeverOver(ctx context.Context, c Condition, over circuit.Freedom) (Verdict, error) {
	return s.decideOver(ctx, []Condition{c}, question{ask: never}, over)
}

// tolerate decides again wherever the answers that the question depends on are others than
// in this corner, as far as the open values in over go.
//
// Which of the design's open values matter is what circuit.Judge finds. All combinations
// of their ends are looked at, and between the ends of a supply every stretch in which
// the answers are the same, found by halving; answers that are alike are decided once. In
// each of these corners senders may be off by anything within their accuracy.
func (s *System) tolerate(ctx context.Context, v *Verdict, ms []meaning, conds []Condition, q question, over circuit.Freedom) error {
	if v.Outcome != Holds {
		return nil
	}
	c := &corners{s: s, qs: s.questions(ms), open: &openValues{}}
	blurred, err := s.blurred(ctx, conds, over)
	if err != nil {
		return err
	}
	if blurred.why == "" && (len(c.qs) > 0 || blurred.yes) {
		// At once, if that can be.
		got, holds, err := s.throughout(ctx, conds, q, over, blurred.yes)
		got.Work.Corners = 0 // it is no corner
		v.Work.merge(got.Work)
		if holds || err != nil {
			return err
		}
	}
	if len(c.qs) > 0 {
		brief, err := s.brief(ctx, ms, q.lasts)
		if err != nil {
			return err
		}
		if c.open, err = s.openValues(ctx, c.qs, brief, over); err != nil {
			return err
		}
		if !c.open.none() {
			c.partial = c.open.why
			if err := c.collect(ctx); err != nil {
				return err
			}
		}
	}
	if blurred.why != "" {
		c.partial = blurred.why
	}
	list := c.found
	if blurred.yes {
		list = append([]circuit.Corner{s.opts.Corner}, list...)
	}
	for _, corner := range list {
		off, there, err := s.decideThere(ctx, corner, blurred.yes, conds, q)
		if err != nil {
			return err
		}
		v.Work.merge(there.Work)
		switch there.Outcome {
		case Fails:
			v.Outcome = HoldsNominally
			if there.Trace != nil {
				v.Trace = there.Trace
			}
			v.Where, v.Offsets = corner, off
			v.Corner = s.describe(corner, off)
			v.Why = there.Why
			v.DependsOn = append(s.departures(corner), s.readings(there.Trace, off)...)
			return nil
		case Undecided:
			c.partial = fmt.Sprintf("with %s it is undecided: %s", s.describe(corner, off), there.Why)
		}
	}
	if c.partial != "" {
		v.NominalOnly, v.Why = true, c.partial
		for _, p := range c.open.params {
			v.DependsOn = append(v.DependsOn, s.paramName(p))
		}
	}
	return nil
}

// decideThere decides a question in another corner; with blurred set for all offsets of the
// senders, and then it gives those with which it fails.
func (s *System) decideThere(ctx context.Context, k circuit.Corner, blurred bool, conds []Condition, q question) (off model.Offsets, v Verdict, err error) {
	off = s.opts.Offsets
	if !blurred {
		t, err := s.At(ctx, k)
		if err != nil {
			return off, v, err
		}
		v, _, err = t.decideHere(ctx, conds, q.ask)
		return off, v, err
	}
	t, err := s.inexact(ctx, k)
	if err != nil {
		return off, v, err
	}
	if t == nil { // not met: what matters is the same in all corners
		return off, Verdict{Outcome: Undecided, Why: "what senders tell could not be followed"}, nil
	}
	if q.some {
		return s.eachOffset(ctx, t, k, conds, q)
	}
	v, _, err = t.decideHere(ctx, conds, q.ask)
	if err != nil || v.Outcome != Fails || v.Trace == nil {
		return off, v, err
	}
	return s.plainest(ctx, k, t.offsetsIn(v.Trace), conds, q.ask)
}

func (w *Work) merge(o Work) {
	w.Variables = max(w.Variables, o.Variables)
	w.Peak = max(w.Peak, o.Peak)
	w.Images += o.Images
	w.Zones += o.Zones
	w.Corners += o.Corners
}

// openValues are what some answers depend on besides the states.
type openValues struct {
	params []circuit.ParamID // ascending
	cold   bool              // and whether filaments are cold
	shown  []circuit.Corner  // that show another answer
	why    string            // what could not be followed
}

func (o *openValues) none() bool { return len(o.params) == 0 && !o.cold && o.why == "" }

// openValues asks the circuit what the answers to some questions depend on, in states that
// can be: those of them that are to count. Warmth counts for the brief ones alone.
func (s *System) openValues(ctx context.Context, qs, brief []circuit.QuestionID, count circuit.Freedom) (*openValues, error) {
	o := &openValues{}
	infos := s.circuit.Params()
	for _, q := range qs {
		over := count
		if _, short := slices.BinarySearch(brief, q); !short {
			over &^= circuit.OverWarmth
			if why, err := s.boundedFilament(ctx, q, count); err != nil {
				return nil, err
			} else if why != "" {
				o.why = why
			}
		}
		d, err := s.circuit.WorstCase(ctx, q, s.opts.Corner, over)
		if err != nil {
			return nil, err
		}
		for _, leaf := range d.Leaves() {
			if leaf.Answer != circuit.Depends && leaf.Answer != circuit.Undecided {
				continue
			}
			if can, err := s.canBe(ctx, d, leaf); err != nil {
				return nil, err
			} else if !can {
				continue
			}
			if leaf.Answer == circuit.Undecided {
				o.why = "how far tolerances act could not be worked out: " + leaf.Why
				for p := range infos { // the ends of the supplies are at least looked at
					if infos[p].Kind == circuit.SupplyVolts && count&circuit.OverSupply != 0 {
						o.params = append(o.params, circuit.ParamID(p))
					}
				}
				continue
			}
			for _, k := range [...]circuit.Corner{leaf.Yes, leaf.No} {
				if k == s.opts.Corner {
					continue
				}
				if !slices.Contains(o.shown, k) {
					o.shown = append(o.shown, k)
				}
				o.cold = o.cold || k.Cold() != s.opts.Corner.Cold()
				for p := range infos {
					if _, set := k.Value(circuit.ParamID(p)); set {
						o.params = append(o.params, circuit.ParamID(p))
					}
				}
			}
			if leaf.Param == circuit.NoParam {
				o.why = "the level that it is compared with has a tolerance of its own"
			}
		}
	}
	slices.Sort(o.params)
	o.params = slices.Compact(o.params)
	return o, nil
}

// boundedFilament says why a question about what lasts can't be answered in all corners: a
// filament that is only known within bounds is one open value from its coldest to its hottest,
// and what its bounds do is not told apart from what its warming up does. It is empty where
// the two together change nothing.
func (s *System) boundedFilament(ctx context.Context, q circuit.QuestionID, count circuit.Freedom) (string, error) {
	if count&circuit.OverTolerance == 0 || count&circuit.OverWarmth == 0 {
		return "", nil
	}
	at := slices.IndexFunc(s.circuit.Params(), func(p circuit.ParamInfo) bool { return p.Bounded })
	if at < 0 {
		return "", nil
	}
	d, err := s.circuit.WorstCase(ctx, q, s.opts.Corner, count)
	if err != nil {
		return "", err
	}
	for _, leaf := range d.Leaves() {
		if leaf.Answer != circuit.Depends && leaf.Answer != circuit.Undecided {
			continue
		}
		if can, err := s.canBe(ctx, d, leaf); err != nil || can {
			return "a filament that is known only within bounds can't be distinguished from one that is still warming up", err
		}
	}
	return "", nil
}

// canBe reports whether some state of the variables leads to a leaf of a decision, whatever
// is reachable.
func (s *System) canBe(ctx context.Context, d, leaf *circuit.Decision) (bool, error) {
	switches := s.circuit.Switches()
	done := map[*circuit.Decision]*logic.Expr{}
	var failed error
	d.Each(func(d *circuit.Decision) {
		switch {
		case failed != nil:
		case d.IsLeaf():
			done[d] = s.space.Const(d == leaf)
		default:
			c, err := s.level(ctx, switches[d.Switch].Cond)
			if err != nil {
				failed = err
				return
			}
			done[d] = s.space.Or(s.space.And(c.expr, done[d.Closed]), s.space.And(s.space.Not(c.expr), done[d.Open]))
		}
	})
	if failed != nil {
		return false, failed
	}
	return s.satisfiable(s.space.And(append(s.invariants(), done[d])...)), nil
}

func (s *System) invariants() []*logic.Expr {
	var out []*logic.Expr
	for _, inv := range s.reach.Invariants {
		out = append(out, inv.Holds)
	}
	return out
}

// paramName says in words what a parameter is.
func (s *System) paramName(p circuit.ParamID) string {
	info := s.circuit.Params()[p]
	path := s.circuit.Element(info.Element).Path
	switch info.Kind {
	case circuit.SupplyVolts:
		return "the volts of " + path
	case circuit.Warmth:
		return "the warmth of " + path
	}
	return "the tolerance of " + path
}

// departures lists what a corner takes to be otherwise than nominal.
func (s *System) departures(k circuit.Corner) []string {
	var out []string
	for i, info := range s.circuit.Params() {
		if x, set := k.Value(circuit.ParamID(i)); set && x != info.Nominal {
			out = append(out, s.paramName(circuit.ParamID(i)))
		}
	}
	if k.Cold() != s.opts.Corner.Cold() {
		out = append(out, "the warmth of filaments")
	}
	return out
}

// Describe says in words where a corner leaves the nominal values: "battery at 9 V,
// H1.filament cold".
func (s *System) Describe(k circuit.Corner) string {
	var words []string
	for i, info := range s.circuit.Params() {
		x, set := k.Value(circuit.ParamID(i))
		path := s.circuit.Element(info.Element).Path
		switch {
		case !set || x == info.Nominal && !k.Cold():
		case info.Kind == circuit.Warmth && x <= info.Min:
			words = append(words, path+" cold")
		case info.Kind == circuit.Warmth:
			words = append(words, path+" warm")
		case info.Volts:
			words = append(words, path+" at "+unit.Format(x, unit.Voltage))
		default:
			words = append(words, path+" at "+unit.Format(x, unit.Resistance))
		}
	}
	if k.Cold() {
		words = append(words, "filaments cold")
	}
	if words == nil {
		return "nominal values"
	}
	return strings.Join(words, ", ")
}

// describe is Describe with what senders tell.
func (s *System) describe(k circuit.Corner, o model.Offsets) string {
	words := s.describeOffsets(o)
	if k != s.opts.Corner || words == nil {
		words = append([]string{s.Describe(k)}, words...)
	}
	return strings.Join(words, ", ")
}
