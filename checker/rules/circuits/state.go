package circuits

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/model"
)

// state is one reachable state of a design with its solved circuit. Of what a question
// leaves open, switches stand as they do at rest where they can, so that nothing has to
// be thought away from the evidence.
type state struct {
	v      *view
	closed []bool // by switch
	trace  *system.Trace
	*evidence.Solved
}

// find looks for a reachable state in which a condition holds, and solves it. What can't
// be decided is said about subject.
func (v *view) find(subject *model.Info, c system.Condition) (*state, ask.Answer) {
	trace, ok := v.can(subject, c)
	if ok != ask.Yes {
		return nil, ok
	}
	var closed []bool
	var when *logic.Expr
	v.within(func() { closed, when = v.stand(c, trace) })
	if closed == nil {
		return nil, ask.Unknown
	}
	if there, ok := v.can(subject, system.Literal(when)); ok == ask.Yes {
		trace = there
	}
	s := &state{v: v, closed: closed, trace: trace}
	got, err := v.c.Solve(v.p.Ctx, s.stands, v.corner)
	v.p.StopOn(err)
	s.Solved = evidence.At(v.d, trace, got)
	return s, ask.Yes
}

func (s *state) stands(w circuit.Switch) bool { return s.closed[w] }

// stand picks how all switches stand in some reachable state in which c holds, and says
// so as a condition. What a trace leads to stands as it does there. It is nil where that
// can't be told.
func (v *view) stand(c system.Condition, t *system.Trace) (closed []bool, when *logic.Expr) {
	want, err := c.Of(v.p.Ctx, v.s)
	v.p.StopOn(err)
	switches := v.c.Switches()
	exprs := make([]*logic.Expr, len(switches))
	vars := slices.Clone(want.Vars())
	for i, w := range switches {
		exprs[i], err = v.s.Expr(v.p.Ctx, w.Cond)
		v.p.StopOn(err)
		vars = append(vars, exprs[i].Vars()...)
	}
	slices.Sort(vars)
	vars = slices.Compact(vars)
	// What is not known may have become a variable just now, which the engine has not seen.
	unread := func(x logic.Var) bool { return v.s.Role(x).Kind == system.RoleUnknown }
	engine := v.s.Engine()
	if slices.ContainsFunc(vars, unread) || slices.ContainsFunc(engine.Slice(vars...), unread) {
		return nil, nil
	}
	f, r, err := engine.Reachable(v.p.Ctx, vars...)
	v.spent()
	v.p.StopOn(err)
	in := f.And(r, f.Of(want))
	if t != nil {
		for _, x := range t.Vars {
			if slices.Contains(f.Order(), x) {
				in = f.And(in, f.Is(x, int(t.Last()[x])))
			}
		}
	}
	space := f.Space()
	parts := []*logic.Expr{want}
	closed = make([]bool, len(switches))
	for i, e := range exprs {
		// What is written as "not …" is closed at rest: a break contact, a resting throw.
		rest := switches[i].Cond.Op == model.CondNot
		at := f.Of(e)
		prefer, other := f.Diff, f.And
		if rest {
			prefer, other = other, prefer
		}
		if next := prefer(in, at); next != logic.Never {
			in, closed[i] = next, rest
		} else {
			in, closed[i] = other(in, at), !rest
		}
		if closed[i] {
			parts = append(parts, e)
		} else {
			parts = append(parts, space.Not(e))
		}
	}
	v.spent()
	v.p.StopOn(f.Err())
	if in == logic.Never {
		return nil, nil
	}
	return closed, space.And(parts...)
}

// without is the same state with some faults: what would be if this one thing were
// otherwise. It is nil where a fault cannot be.
func (s *state) without(faults ...model.FaultAction) *evidence.Solved {
	other, err := circuit.New(s.v.d, faults)
	if err != nil {
		return nil
	}
	infos := other.Switches()
	got, err := other.Solve(s.v.p.Ctx, func(w circuit.Switch) bool {
		own, switched, conducts := s.v.c.SwitchOf(infos[w].Elements[0])
		if !switched {
			return conducts
		}
		return s.closed[own]
	}, s.v.corner)
	s.v.p.StopOn(err)
	return evidence.At(s.v.d, s.trace, got, faults...)
}

// broken is the fault that takes an element out of a circuit.
func (v *view) broken(e model.ElementID) model.FaultAction {
	return v.fault(e, model.FaultOpen)
}

// bridged is the fault that puts plain metal in an element's place.
func (v *view) bridged(e model.ElementID) model.FaultAction {
	return v.fault(e, model.FaultShorted)
}

func (v *view) fault(e model.ElementID, mode model.FaultMode) model.FaultAction {
	i := &v.d.Elements[e]
	return model.FaultAction{
		Thing: model.Thing{Kind: model.ThingElement, Index: int(e), Path: i.Path},
		Mode:  mode, Place: i.Place,
	}
}

// volts across a consumer, positive from its A to its B; 0 where there is no such
// voltage.
func volts(s interface {
	Between(a, b model.NodeID) (float64, bool)
}, c *consumer) float64 {
	u, ok := s.Between(c.a, c.b)
	if !ok {
		return 0
	}
	return u
}

// way is the main current path through an element, from the plus of a source round
// to its minus; the source first.
func (s *state) way(e model.ElementID) []circuit.Step {
	steps, _ := s.PathThrough(e)
	return steps
}

// on lists the consumers on a way, in order.
func (v *view) on(way []circuit.Step) []*consumer {
	var out []*consumer
	for _, st := range way {
		if i, ok := v.byElement[st.Element]; ok {
			out = append(out, &v.consumers[i])
		}
	}
	return out
}

// switched reports whether an element conducts only at times.
func (v *view) switched(e model.ElementID) bool {
	_, is, _ := v.c.SwitchOf(e)
	return is
}
