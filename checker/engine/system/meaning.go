package system

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/interval"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// meaning is what a condition is in terms of the variables, with the questions to the
// circuit whose answers went into it, ascending.
type meaning struct {
	expr *logic.Expr
	asks []circuit.QuestionID
}

// merge is the union of the questions of some meanings.
func merge(ms ...meaning) []circuit.QuestionID {
	var out []circuit.QuestionID
	for _, m := range ms {
		out = append(out, m.asks...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// asks notes that the rules of v read these meanings.
func (s *System) asks(v logic.Var, ms ...meaning) {
	s.byVar[v] = merge(append(ms, meaning{asks: s.byVar[v]})...)
}

// Expr is a condition in terms of the variables. Nil stands for always. The error is
// that of the context, or wraps ErrForeign.
//
// A condition that could not be understood becomes a variable of its own, see Doubt.
func (s *System) Expr(ctx context.Context, c *model.Cond) (*logic.Expr, error) {
	m, err := s.level(ctx, c)
	if err == nil {
		err = s.foreign
		s.foreign = nil
	}
	return m.expr, err
}

// level is a condition on a state. Edges last only for the step of the machines: to
// read one elsewhere means nothing.
func (s *System) level(ctx context.Context, c *model.Cond) (meaning, error) {
	m, err := s.meaning(ctx, c)
	if err != nil {
		return meaning{}, err
	}
	for _, v := range m.expr.Vars() {
		if s.roles[v].Kind == RoleEdge {
			return s.doubt(""), nil
		}
	}
	return m, nil
}

// meaning translates a condition, once.
func (s *System) meaning(ctx context.Context, c *model.Cond) (meaning, error) {
	if c == nil {
		return meaning{expr: s.space.True()}, nil
	}
	if m, ok := s.meanings[c]; ok {
		return m, nil
	}
	if err := ctx.Err(); err != nil {
		return meaning{}, err
	}
	if s.open[c] { // named conditions that go round in a ring
		return s.doubt(""), nil
	}
	s.open[c] = true
	m, err := s.translate(ctx, c)
	delete(s.open, c)
	if err == nil && c.Op != model.CondUnknown { // one Unknown may stand in many places
		s.meanings[c] = m
	}
	return m, err
}

func (s *System) translate(ctx context.Context, c *model.Cond) (meaning, error) {
	x := s.space
	if is, stuck := s.stuck.Of(c); stuck {
		if is {
			return meaning{expr: x.True()}, nil
		}
		return meaning{expr: x.False()}, nil
	}
	switch c.Op {
	case model.CondTrue:
		return meaning{expr: x.True()}, nil
	case model.CondFalse:
		return meaning{expr: x.False()}, nil
	case model.CondAnd, model.CondOr, model.CondNot:
		kids := make([]meaning, len(c.Kids))
		for i, k := range c.Kids {
			var err error
			if kids[i], err = s.meaning(ctx, k); err != nil {
				return meaning{}, err
			}
		}
		switch c.Op {
		case model.CondAnd:
			return s.all(kids...), nil
		case model.CondOr:
			return s.any(kids...), nil
		}
		return s.not(kids[0]), nil
	case model.CondAtom:
		return s.atom(ctx, &c.Atom)
	}
	return s.doubt(""), nil
}

func (s *System) all(ms ...meaning) meaning {
	es := make([]*logic.Expr, len(ms))
	for i, m := range ms {
		es[i] = m.expr
	}
	return meaning{expr: s.space.And(es...), asks: merge(ms...)}
}

func (s *System) any(ms ...meaning) meaning {
	es := make([]*logic.Expr, len(ms))
	for i, m := range ms {
		es[i] = m.expr
	}
	return meaning{expr: s.space.Or(es...), asks: merge(ms...)}
}

func (s *System) not(m meaning) meaning { return meaning{expr: s.space.Not(m.expr), asks: m.asks} }

// doubt is a meaning of which nothing is known, each time another one.
func (s *System) doubt(reason string) meaning {
	v, err := s.add(Role{Kind: RoleUnknown, Index: model.None}, logic.Domain{Name: fmt.Sprintf("unknown %d", s.space.Len()), Size: 2},
		reach.Var{Kind: reach.Fixed, Initial: logic.Full(2)})
	if err != nil { // a space holds any number of variables of two values
		return meaning{expr: s.space.False()}
	}
	s.doubts[v] = Doubt{Reason: reason}
	return meaning{expr: s.space.On(v)}
}

// doubtful reports whether an expression speaks of what is not known.
func (s *System) doubtful(e *logic.Expr) bool {
	return slices.ContainsFunc(e.Vars(), func(v logic.Var) bool { return s.roles[v].Kind == RoleUnknown })
}

// in is "the variable that plays a role has one of these values".
func (s *System) in(r Role, values []int) meaning {
	v, ok := s.byRole[r]
	if !ok {
		return s.doubt("")
	}
	return meaning{expr: s.space.In(v, s.setOf(v, values))}
}

func (s *System) atom(ctx context.Context, a *model.Atom) (meaning, error) {
	d := s.d
	switch a.Kind {
	case model.AtomSetting:
		if t := &d.Settings[a.Index]; t.Broken || tooMany(len(t.Positions)) {
			return s.doubt(""), nil
		}
		return s.in(Role{Kind: RoleSetting, Index: a.Index}, a.In), nil
	case model.AtomQuantity:
		return s.compare(model.QuantityID(a.Index), s.QuantityVar(model.QuantityID(a.Index)), a.Cmp, a.Value), nil
	case model.AtomReading:
		return s.reading(ctx, a)
	case model.AtomMemory:
		return s.in(Role{Kind: RoleMemory, Index: a.Index}, a.In), nil
	case model.AtomMachine:
		return s.mode(a.Index, a.In), nil
	case model.AtomTimer:
		if d.Timers[a.Index].Broken {
			return s.doubt(""), nil
		}
		return s.in(Role{Kind: RoleTimer, Index: a.Index}, a.In), nil
	case model.AtomBeat:
		return s.beat(ctx, a)
	case model.AtomEdge:
		return s.edge(ctx, a)
	case model.AtomCondition:
		if n := &d.Conditions[a.Index]; !n.Broken {
			return s.meaning(ctx, n.Cond)
		}
		return s.doubt(""), nil
	case model.AtomResult:
		return s.rows(ctx, a)
	case model.AtomBands:
		return s.bands(ctx, a)
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		return s.port(ctx, a)
	case model.AtomBlown:
		if s.blown(&d.Fuses[a.Index]) {
			return meaning{expr: s.space.True()}, nil
		}
		return meaning{expr: s.space.False()}, nil
	case model.AtomFree:
		return s.in(Role{Kind: RoleFree, Index: a.Index}, []int{1}), nil
	}
	if circuit.Electrical(a.Kind) {
		return s.electric.answer(ctx, a)
	}
	return s.doubt(""), nil
}

// compare is a comparison of the quantity q, whose region v tells.
func (s *System) compare(q model.QuantityID, v logic.Var, c model.Cmp, with unit.Value) meaning {
	a := s.axes[q]
	if a == nil {
		t := &s.d.Quantities[q]
		if t.Broken || t.Hi.N.Less(t.Lo.N) {
			return s.doubt("")
		}
		return s.doubt(fmt.Sprintf("%s is compared with too many different values", t.Path))
	}
	if with.Dim() != a.Lo().Dim() {
		return s.doubt("")
	}
	span, exact := spanOf(a, c, with)
	if !exact {
		s.foreign = fmt.Errorf("%w: %s %v", ErrForeign, s.d.Quantities[q].Path, with)
		return s.doubt("")
	}
	if span.Empty() {
		return meaning{expr: s.space.False()}
	}
	return meaning{expr: s.space.In(v, logic.Range(span.First, span.Last))}
}

func spanOf(a *interval.Axis, c model.Cmp, v unit.Value) (interval.Span, bool) {
	switch c {
	case model.Below:
		return a.Below(v)
	case model.AtMost:
		return a.AtMost(v)
	case model.Above:
		return a.Above(v)
	}
	return a.AtLeast(v)
}

// mode is "the machine is in one of these modes".
func (s *System) mode(machine int, modes []int) meaning {
	m := &s.d.Machines[machine]
	if m.Broken {
		return s.doubt("")
	}
	if m.Reset == nil {
		return s.in(Role{Kind: RoleMachine, Index: machine}, modes)
	}
	v := s.must(Role{Kind: RoleMachine, Index: machine})
	owner := s.must(Role{Kind: RoleDisowner, Index: machine})
	x := s.space
	return meaning{expr: x.Or(
		x.And(x.Is(owner, 0), x.In(v, s.modeSet(machine, 0, modes))),
		x.And(x.Is(owner, 1), x.In(v, s.modeSet(machine, 1, modes))),
	)}
}

// beat is "the beat is on" or off: value 0 of its variable is the half that is on, as
// long as it runs.
func (s *System) beat(ctx context.Context, a *model.Atom) (meaning, error) {
	runs, err := s.beatRuns(ctx, a.Index)
	if err != nil {
		return meaning{}, err
	}
	on := s.all(runs, s.in(Role{Kind: RoleBeat, Index: a.Index}, []int{0}))
	switch {
	case len(a.In) == 0:
		return meaning{expr: s.space.False()}, nil
	case len(a.In) > 1:
		return meaning{expr: s.space.True()}, nil
	case a.In[0] == 1:
		return on, nil
	}
	return s.not(on), nil
}

func (s *System) edge(ctx context.Context, a *model.Atom) (meaning, error) {
	of, err := s.level(ctx, s.d.Edges[a.Index].Of)
	if err != nil {
		return meaning{}, err
	}
	before := s.in(Role{Kind: RoleEdge, Index: a.Index}, []int{1})
	switch a.Edge {
	case model.Begins:
		return s.all(of, s.not(before)), nil
	case model.Ends:
		return s.all(s.not(of), before), nil
	}
	return s.all(of, before), nil
}

// rows is "the result is one of these rows".
func (s *System) rows(ctx context.Context, a *model.Atom) (meaning, error) {
	r := &s.d.Results[a.Index]
	if r.Broken {
		return s.doubt(""), nil
	}
	var out []meaning
	for _, i := range a.In {
		if i >= len(r.Rows) || r.Rows[i].Broken {
			return s.doubt(""), nil
		}
		m, err := s.meaning(ctx, r.Rows[i].When)
		if err != nil {
			return meaning{}, err
		}
		out = append(out, m)
	}
	return s.any(out...), nil
}

// reading is a comparison of what a controller's input says: the quantity of the sender
// that is joined to it, or what it counts as while none is.
func (s *System) reading(ctx context.Context, a *model.Atom) (meaning, error) {
	r := &s.d.Readings[a.Index]
	if r.Broken || !r.Sender {
		return s.doubt(""), nil
	}
	var told, joined, clashes []meaning
	for _, id := range r.Senders {
		t := &s.d.Senders[id]
		if s.silent(int(id)) {
			continue
		}
		if t.Broken || t.Quantity == model.None {
			return s.doubt(""), nil
		}
		j, err := s.electric.answer(ctx, &model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(t.Pin)})
		if err != nil {
			return meaning{}, err
		}
		v := s.QuantityVar(t.Quantity)
		if stuck, is := s.byRole[Role{Kind: RoleStuck, Index: int(id)}]; is {
			v = stuck
		}
		if len(joined) > 0 { // two tell it something: no one knows what it reads
			clashes = append(clashes, s.all(j, s.any(joined...)))
		}
		told = append(told, s.all(j, s.toldIs(id, v, a.Cmp, a.Value)))
		joined = append(joined, j)
	}
	alone := s.not(s.any(joined...))
	if s.satisfiable(alone.expr) {
		if !r.HasCountsAs || r.CountsAs.Dim() != a.Value.Dim() {
			told = append(told, s.all(alone, s.doubt("")))
		} else if a.Cmp.Holds(float64(r.CountsAs.N.Cmp(a.Value.N))) {
			told = append(told, alone)
		}
	}
	out := s.any(told...)
	if clash := s.any(clashes...); s.satisfiable(clash.expr) {
		why := fmt.Sprintf("%s has two senders at once", r.Path)
		out = s.any(s.all(s.not(clash), out), s.all(clash, s.doubt(why)))
	}
	where, is, can, err := s.shorted(ctx, a)
	if err != nil {
		return meaning{}, err
	}
	if can {
		out = s.any(s.all(s.not(where), out), s.all(where, is))
	}
	return out, nil
}

// small bounds the diagrams of questions that are only asked to keep conditions short.
const small = 1 << 16

// satisfiable reports whether an expression can hold at all, whatever is reachable; true
// if that is too large to find out.
func (s *System) satisfiable(e *logic.Expr) bool {
	switch e.Kind() {
	case logic.False:
		return false
	case logic.True:
		return true
	}
	if e.IsCube() {
		return true
	}
	f, err := logic.NewManager(s.space, logic.ManagerOptions{Order: e.Vars(), MaxNodes: small})
	if err != nil {
		return true
	}
	r := f.And(f.Of(e), f.Valid())
	return f.Err() != nil || r != logic.Never
}
