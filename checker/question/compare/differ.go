package compare

import (
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// judged is an output of both designs with what came of comparing it.
type judged struct {
	old, new *output
	a, b     []*logic.Expr // by way, in the product
	differ   *logic.Expr   // where it is not the same
	why      string        // why it is not known whether it is; empty: it is known
	found    []found
}

// found is one way in which an output is another than it was.
type found struct {
	was, is int // ways of the old and the new output; -1: none
	when    *logic.Expr
	trace   *system.Trace // of the old system; nil: none was found
	raced   bool
	waits   []string // by step in which nothing moves from outside: what of the new design is over then
}

// exprs gives for each way of an output where it is so, in the product.
func exprs(p *product, s *side, o *output, bring func(*logic.Expr) *logic.Expr) ([]*logic.Expr, error) {
	var out []*logic.Expr
	for _, w := range o.ways {
		e, err := system.On(w.cond).Of(p.ctx, s.s)
		if err != nil {
			return nil, err
		}
		out = append(out, bring(e))
	}
	return out, nil
}

// prepare works out what all outputs depend on, before the product is made: some of that may
// only then become known to be unknown.
func (s *side) prepare(list []output) error {
	for i := range list {
		for _, w := range list[i].ways {
			if _, err := system.On(w.cond).Of(s.p.Ctx, s.s); err != nil {
				return err
			}
		}
	}
	return nil
}

// judge compares an output of both designs.
func (p *product) judge(old, new *output) (*judged, error) {
	j := &judged{old: old, new: new}
	var err error
	if j.a, err = exprs(p, p.a, old, p.lift); err != nil {
		return nil, err
	}
	if j.b, err = exprs(p, p.b, new, p.take); err != nil {
		return nil, err
	}
	var parts []*logic.Expr
	for i := range old.ways {
		b := j.way(j.b, new, old.ways[i].name, p)
		if !p.same(j.a[i], b) {
			parts = append(parts, p.xor(j.a[i], b))
		}
	}
	for i := range new.ways {
		if a := j.way(j.a, old, new.ways[i].name, p); a == p.space.False() {
			parts = append(parts, j.b[i])
		}
	}
	j.differ = p.space.Or(parts...)
	if j.differ == p.space.False() {
		return j, nil
	}
	return j, p.explore(j)
}

// way is where the way of a name is so; nowhere if there is none.
func (j *judged) way(es []*logic.Expr, o *output, name string, p *product) *logic.Expr {
	i := slices.IndexFunc(o.ways, func(w wayOut) bool { return w.name == name })
	if i < 0 {
		return p.space.False()
	}
	return es[i]
}

func (p *product) xor(x, y *logic.Expr) *logic.Expr {
	return p.space.Or(p.space.And(x, p.space.Not(y)), p.space.And(y, p.space.Not(x)))
}

// explore looks through all reachable states for those in which an output differs.
func (p *product) explore(j *judged) error {
	v, err := p.ever(j.differ)
	if err != nil {
		return err
	}
	if v.Outcome == reach.Undecided {
		j.why = v.Reason
		return nil
	}
	if v.Outcome == reach.Holds {
		return nil
	}
	if why := p.unsure(j.differ); why != "" {
		j.why = why
		return nil
	}
	s := p.space
	lost, gained := make([]*logic.Expr, len(j.a)), make([]*logic.Expr, len(j.b))
	for i := range j.a {
		lost[i] = s.And(j.a[i], s.Not(j.way(j.b, j.new, j.old.ways[i].name, p)))
	}
	for k := range j.b {
		gained[k] = s.And(j.b[k], s.Not(j.way(j.a, j.old, j.new.ways[k].name, p)))
	}
	anyLost, anyGained := s.Or(lost...), s.Or(gained...)
	look := func(was, is int, when *logic.Expr) error {
		if when == s.False() {
			return nil
		}
		v, err := p.ever(when)
		if err != nil {
			return err
		}
		switch v.Outcome {
		case reach.Undecided:
			j.why = v.Reason
		case reach.Fails:
			one := found{was: was, is: is, when: when}
			p.told(&one, &v)
			j.found = append(j.found, one)
		}
		return nil
	}
	for i := range lost {
		for k := range gained {
			if j.old.ways[i].name == j.new.ways[k].name {
				continue
			}
			if err := look(i, k, s.And(lost[i], gained[k])); err != nil {
				return err
			}
		}
		if err := look(i, -1, s.And(lost[i], s.Not(anyGained))); err != nil {
			return err
		}
	}
	for k := range gained {
		if err := look(-1, k, s.And(gained[k], s.Not(anyLost))); err != nil {
			return err
		}
	}
	return nil
}

// ever asks whether no state is reached in which something holds for more than a moment.
// Where clocks run out, or modes step, one design may be a step ahead of the other in no time:
// that is no difference.
func (p *product) ever(e *logic.Expr) (reach.Verdict, error) {
	v, err := p.engine.Never(p.ctx, e)
	if err != nil || v.Outcome != reach.Fails || !p.steps(e) {
		return v, err
	}
	w, err := p.engine.Within(p.ctx, p.space.False(), e, 0)
	return w, err
}

// steps reports whether something that e depends on moves by itself.
func (p *product) steps(e *logic.Expr) bool {
	return slices.ContainsFunc(p.engine.Slice(e.Vars()...), func(v logic.Var) bool {
		k := p.sys.Vars[v].Kind
		return k == reach.Machine || k == reach.Timing || k == reach.Beating
	})
}

// timedApart reports whether e depends on a clock or a beat that runs in each design by itself.
func (p *product) timedApart(e *logic.Expr) bool {
	return slices.ContainsFunc(p.engine.Slice(e.Vars()...), func(v logic.Var) bool {
		k := p.sys.Vars[v].Kind
		return int(v) >= p.first && (k == reach.Timing || k == reach.Beating)
	})
}

// unsure says why nothing is known of what e depends on; empty: all is known.
func (p *product) unsure(e *logic.Expr) string {
	for _, v := range p.engine.Slice(e.Vars()...) {
		s, own := p.a.s, v
		if int(v) >= p.first {
			s, own = p.b.s, v-logic.Var(p.first)
		}
		d, doubt := s.Doubt(own)
		switch {
		case doubt && d.Reason != "":
			return d.Reason
		case doubt:
			return "something that it depends on could not be read; `pintle check` says what"
		}
	}
	return ""
}

// told takes the trace of a verdict as one of the old system. What happens in the new one alone is
// left out; what times are over in it is noted.
func (p *product) told(out *found, v *reach.Verdict) {
	if v.Trace == nil {
		return
	}
	t := *v.Trace
	old := len(p.a.reach().Vars)
	mine := func(x logic.Var) bool { return int(x) < old }
	changes := func(cs []reach.Change) []reach.Change {
		return slices.DeleteFunc(slices.Clone(cs), func(c reach.Change) bool { return !mine(c.Var) })
	}
	timed := slices.ContainsFunc(t.Vars, func(x logic.Var) bool {
		k := p.sys.Vars[x].Kind
		return k == reach.Timing || k == reach.Beating
	})
	t.Vars = slices.DeleteFunc(slices.Clone(t.Vars), func(x logic.Var) bool { return !mine(x) })
	t.Settled = changes(t.Settled)
	out.raced = t.Races
	t.Steps = slices.Clone(t.Steps)
	for i := range t.Steps {
		st := &t.Steps[i]
		out.raced = out.raced || st.Races
		if st.Move.Kind == reach.MoveIdle {
			out.waits = append(out.waits, "")
		}
		if st.Move.Var >= 0 && !mine(st.Move.Var) {
			out.waits = append(out.waits, p.aside(st))
			st.Move = reach.Happening{Kind: reach.MoveIdle, Var: -1}
		}
		st.Settled, st.Changed, st.Edges = changes(st.Settled), changes(st.Changed), changes(st.Edges)
		st.Fired = slices.DeleteFunc(slices.Clone(st.Fired), func(f reach.Fired) bool { return f.Machine >= len(p.a.reach().Machines) })
	}
	out.trace = &system.Trace{Trace: &t, Schedule: v.Schedule, System: p.a.s, Timed: timed}
}

// aside says what moves in the new design alone.
func (p *product) aside(st *reach.Step) string {
	if st.Move.Kind != reach.MoveInput {
		return strings.TrimSuffix(p.space.Name(st.Move.Var), " (clock)") + " is over"
	}
	at := make(logic.Point, p.b.vars())
	v := st.Move.Var - logic.Var(p.first)
	at[v] = uint8(st.Move.To)
	return "new " + p.b.s.Value(at, v)
}

// mapped is a drive of the old design as one of the new design; false where that lacks something
// that it sets.
func (p *product) mapped(d *model.Drive) (model.Drive, bool) {
	out := *d
	out.Steps = slices.Clone(d.Steps)
	for i := range out.Steps {
		st := &out.Steps[i]
		st.Sets, st.Ramps = slices.Clone(st.Sets), slices.Clone(st.Ramps)
		for k := range st.Sets {
			a := &st.Sets[k]
			switch {
			case a.Setting != model.None:
				from := a.Setting
				a.Setting = model.SettingID(p.with.to[settings][from])
				if a.Setting == model.None {
					return out, false
				}
				a.Position = slices.Index(p.b.d.Settings[a.Setting].Positions, p.a.d.Settings[from].Positions[a.Position])
				if a.Position < 0 {
					return out, false
				}
			case a.Quantity != model.None:
				if a.Quantity = model.QuantityID(p.with.to[quantities][a.Quantity]); a.Quantity == model.None {
					return out, false
				}
			case a.Supply != model.None:
				if a.Supply = model.SupplyID(p.with.to[supplies][a.Supply]); a.Supply == model.None {
					return out, false
				}
			}
		}
		for k := range st.Ramps {
			if st.Ramps[k].Quantity = model.QuantityID(p.with.to[quantities][st.Ramps[k].Quantity]); st.Ramps[k].Quantity == model.None {
				return out, false
			}
		}
	}
	return out, true
}
