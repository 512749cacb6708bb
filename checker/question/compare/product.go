package compare

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// product is the two systems side by side as one. The variables of the old system come first
// and have the numbers that they have there. A variable of the new one is a variable of the old
// one where both are moved by the same rules, whatever the state, and stands behind them
// otherwise.
type product struct {
	ctx    context.Context
	a, b   *side
	with   *pairs
	space  *logic.Space
	sys    *reach.System
	engine *reach.Engine

	first  int                 // variables of the old system
	peer   []logic.Var         // by variable of the new system: that of the old one that it is held against, or -1
	shared []bool              // by variable of the new system: it is its peer
	values map[logic.Var][]int // inputs whose values are numbered otherwise: by value of the new one, that of the old one or -1

	lifted, taken map[*logic.Expr]*logic.Expr
	equal         map[[2]*logic.Expr]bool
}

func newProduct(ctx context.Context, a, b *side, with *pairs) (*product, error) {
	p := &product{
		ctx: ctx, a: a, b: b, with: with, space: logic.NewSpace(), first: a.vars(),
		values: map[logic.Var][]int{}, lifted: map[*logic.Expr]*logic.Expr{}, equal: map[[2]*logic.Expr]bool{},
	}
	for v := range a.vars() {
		if _, err := p.space.Add(a.domain(logic.Var(v))); err != nil {
			return nil, err
		}
	}
	for v := range b.vars() {
		d := b.domain(logic.Var(v))
		d.Name = "new " + d.Name
		if _, err := p.space.Add(d); err != nil {
			return nil, err
		}
	}
	p.findPeers()
	p.share()
	if err := p.ctx.Err(); err != nil {
		return nil, err
	}
	p.merge()
	var err error
	p.engine, err = reach.New(p.sys, reach.Options{MaxNodes: a.p.Limits.Nodes, MaxZones: a.p.Limits.Zones})
	return p, err
}

// findPeers finds the variable of the old system that each of the new one is held against.
func (p *product) findPeers() {
	p.peer, p.shared = make([]logic.Var, p.b.vars()), make([]bool, p.b.vars())
	for i := range p.peer {
		v := logic.Var(i)
		p.peer[i] = -1
		r, ok := p.with.role(p.b.s.Role(v))
		if !ok {
			continue
		}
		w, ok := p.a.s.Var(r)
		if !ok {
			continue
		}
		switch r.Kind {
		case system.RoleSetting, system.RoleQuantity:
			p.peer[i], p.shared[i] = w, true
			p.values[v] = p.sameValues(r, p.b.s.Role(v))
		case system.RoleFree:
			p.peer[i], p.shared[i] = w, true
		default:
			if p.alike(r, p.b.s.Role(v)) && p.a.domain(w).Size == p.b.domain(v).Size {
				p.peer[i], p.shared[i] = w, true
			}
		}
	}
}

// alike reports whether the values of two variables mean the same.
func (p *product) alike(old, new system.Role) bool {
	switch old.Kind {
	case system.RoleMemory:
		x, y := &p.a.d.Memories[old.Index], &p.b.d.Memories[new.Index]
		return x.MemKind == y.MemKind && slices.Equal(x.States, y.States)
	case system.RoleMachine, system.RoleDisowner:
		x, y := &p.a.d.Machines[old.Index], &p.b.d.Machines[new.Index]
		return x.Start == y.Start && slices.EqualFunc(x.Modes, y.Modes, func(m, n model.Mode) bool { return m.Name == n.Name })
	}
	return true
}

// sameValues numbers the values of a common input of the new system as the old one does.
func (p *product) sameValues(old, new system.Role) []int {
	var out []int
	if old.Kind == system.RoleSetting {
		x, y := &p.a.d.Settings[old.Index], &p.b.d.Settings[new.Index]
		for _, name := range y.Positions {
			out = append(out, slices.Index(x.Positions, name))
		}
		return out
	}
	x, y := p.a.s.Axis(model.QuantityID(old.Index)), p.b.s.Axis(model.QuantityID(new.Index))
	if x == nil || y == nil {
		return []int{0}
	}
	for i := range y.Len() {
		at, in := x.At(y.Value(i).N)
		if !in || x.Lo().Dim() != y.Lo().Dim() {
			at = -1
		}
		out = append(out, at)
	}
	return out
}

// at is the variable of the product that one of the new system is.
func (p *product) at(v logic.Var) logic.Var {
	if p.shared[v] {
		return p.peer[v]
	}
	return logic.Var(p.first) + v
}

// lift brings an expression of the old system into the product.
func (p *product) lift(e *logic.Expr) *logic.Expr {
	return p.over(e, p.lifted, func(e *logic.Expr) *logic.Expr { return p.space.In(e.Var(), e.Set()) })
}

// take brings an expression of the new system into the product.
func (p *product) take(e *logic.Expr) *logic.Expr {
	if p.taken == nil {
		p.taken = map[*logic.Expr]*logic.Expr{}
	}
	return p.over(e, p.taken, func(e *logic.Expr) *logic.Expr { return p.space.In(p.at(e.Var()), p.set(e.Var(), e.Set())) })
}

// set is a set of values of a variable of the new system in the product.
func (p *product) set(v logic.Var, s logic.Set) logic.Set {
	values, other := p.values[v]
	if !other {
		return s
	}
	var in []int
	for x := range s.All() {
		if x < len(values) && values[x] >= 0 {
			in = append(in, values[x])
		}
	}
	return logic.SetOf(in...)
}

// value is one of them; -1 where the old system has no such value.
func (p *product) value(v logic.Var, x int) int {
	values, other := p.values[v]
	if !other {
		return x
	}
	if x >= len(values) {
		return -1
	}
	return values[x]
}

func (p *product) over(e *logic.Expr, known map[*logic.Expr]*logic.Expr, literal func(*logic.Expr) *logic.Expr) *logic.Expr {
	return rebuild(p.space, e, known, literal)
}

// rebuild makes an expression again in a space, given what its literals become there.
func rebuild(s *logic.Space, e *logic.Expr, known map[*logic.Expr]*logic.Expr, literal func(*logic.Expr) *logic.Expr) *logic.Expr {
	if e == nil {
		return s.True()
	}
	if out, ok := known[e]; ok {
		return out
	}
	kids := make([]*logic.Expr, len(e.Kids()))
	for i, k := range e.Kids() {
		kids[i] = rebuild(s, k, known, literal)
	}
	var out *logic.Expr
	switch e.Kind() {
	case logic.False:
		out = s.False()
	case logic.True:
		out = s.True()
	case logic.In:
		out = literal(e)
	case logic.And:
		out = s.And(kids...)
	case logic.Or:
		out = s.Or(kids...)
	default:
		out = s.Not(kids[0])
	}
	known[e] = out
	return out
}

// mostNodes bounds the diagrams of two expressions that are held against each other.
const mostNodes = 1 << 18

// same reports whether two expressions of the product hold in the same states, reachable or not.
// It is false where that is too large to find out.
func (p *product) same(x, y *logic.Expr) bool {
	if x == y {
		return true
	}
	key := [2]*logic.Expr{x, y}
	if is, known := p.equal[key]; known {
		return is
	}
	groups := [][]logic.Var{x.Vars(), y.Vars()}
	vars := slices.Concat(groups...)
	slices.Sort(vars)
	vars = slices.Compact(vars)
	f, err := logic.NewManager(p.space, logic.ManagerOptions{Order: vars, MaxNodes: mostNodes})
	is := false
	if err == nil {
		f.Watch(p.ctx)
		is = f.And(f.Of(x), f.Valid()) == f.And(f.Of(y), f.Valid()) && f.Err() == nil
	}
	p.equal[key] = is
	return is
}
