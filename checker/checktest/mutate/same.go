package mutate

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate"
	"pintle/lang/model"
)

// Likeness says how near a mutant comes to its original.
type Likeness int

// The likenesses.
const (
	// Different, or not proved to be anything better.
	Different Likeness = iota
	// Numbers: the same states; in each of them the same ports are fed, the same rows of
	// results true, and the same loads and windings carry current and reach the same levels;
	// volts and amperes differ.
	Numbers
	// Equal: the same volts across, and the same amperes through, every element, too.
	Equal
)

// Same compares what two texts mean: whether the same states can be reached, and whether
// in each of them all that both name is the same: what is fed and vented, which row of a
// result is true, the volts across each element and the amperes through it, whichever way
// round they run: a lamp does not mind. The states are compared as
// sets, by the equality of decision diagrams; the networks are solved for every position
// of their contacts that can be reached. What can't be decided is Different.
//
// Time is left out: a delay that is longer leads to the same states.
func Same(ctx context.Context, a, b *elaborate.Result) Likeness {
	if len(a.Designs) != len(b.Designs) {
		return Different
	}
	out := Equal
	for i, d := range a.Designs {
		e := b.Designs[i]
		if d.Name != e.Name || len(d.Incomplete)+len(e.Incomplete) > 0 {
			return Different
		}
		out = min(out, sameDesign(ctx, d, e))
		if out == Different {
			return Different
		}
	}
	return out
}

// pair is two designs that are compared; expressions of the second are brought into the
// space of the first.
type pair struct {
	ctx  context.Context
	a, b *side
	to   map[logic.Var]logic.Var // a variable of b as one of a
	f    *logic.Manager
	all  logic.Ref // what is reached, as far as the common variables tell
	bad  bool      // something could not be brought over
}

// side is one of the designs.
type side struct {
	d     *model.Design
	s     *system.System
	space *logic.Space
	ways  [][]way  // by island
	paths []string // of the elements, each its own
	amps  map[string]model.ElementID
}

// way is one position of the contacts of an island with its solution.
type way struct {
	when     *logic.Expr
	solution *circuit.Solution
}

const mostWays = 300

func sameDesign(ctx context.Context, d, e *model.Design) Likeness {
	p := pair{ctx: ctx}
	var ok bool
	if p.a, ok = newSide(ctx, d, e); !ok {
		return Different
	}
	if p.b, ok = newSide(ctx, e, d); !ok {
		return Different
	}
	if !p.reach() {
		return Different
	}
	if !p.discrete() || p.bad {
		return Different
	}
	out := p.solutions()
	if p.bad || p.f.Err() != nil {
		return Different
	}
	return out
}

// newSide makes the system of a design, with the values told apart that the other one
// compares quantities with.
func newSide(ctx context.Context, d, other *model.Design) (*side, bool) {
	var also []*model.Cond
	other.EachCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			a := c.Atom
			q := model.QuantityID(model.None)
			switch a.Kind {
			case model.AtomQuantity:
				q = model.QuantityID(a.Index)
			case model.AtomReading:
				q = other.Readings[a.Index].Quantity
			}
			if q == model.None {
				return
			}
			i := slices.IndexFunc(d.Quantities, func(k model.Quantity) bool { return k.Path == other.Quantities[q].Path })
			if i >= 0 && !d.Quantities[i].Broken && d.Quantities[i].Lo.Unit.Dim == a.Value.Unit.Dim {
				a.Kind, a.Index = model.AtomQuantity, i
				also = append(also, &model.Cond{Op: model.CondAtom, Atom: a})
			}
		})
	})
	s, err := system.Build(ctx, d, system.Options{Also: also})
	if err != nil {
		return nil, false
	}
	out := &side{d: d, s: s, space: s.Reach().Space, amps: map[string]model.ElementID{}}
	for i := range d.Elements {
		path := numbered(out.amps, d.Elements[i].Path)
		out.paths = append(out.paths, path)
		out.amps[path] = model.ElementID(i)
	}
	return out, true
}

// numbered is a path, with a number behind it where it is taken.
func numbered[T any](taken map[string]T, path string) string {
	key := path
	for i := 2; ; i++ {
		if _, there := taken[key]; !there {
			return key
		}
		key = fmt.Sprintf("%s#%d", path, i)
	}
}

// key names a variable so that the two designs can be held against each other.
func (s *side) key(v logic.Var) string {
	r := s.s.Role(v)
	dom := s.space.Domain(v)
	key := fmt.Sprint(r.Kind, " ", dom.Name, " ", dom.Size, " ", r.Half)
	switch r.Kind {
	case system.RoleQuantity:
		if x := s.s.Axis(model.QuantityID(r.Index)); x != nil {
			for _, p := range x.Points() {
				key += fmt.Sprint(" ", p.Float64())
			}
			key += fmt.Sprint(x.Lo().Float64(), x.Hi().Float64())
		}
	case system.RoleMemory:
		key += strings.Join(s.d.Memories[r.Index].States, " ")
	case system.RoleSetting:
		key += strings.Join(s.d.Settings[r.Index].Positions, " ")
	}
	return key
}

// reach holds the reachable states against each other.
func (p *pair) reach() bool {
	names := map[string]logic.Var{}
	for v := range p.a.s.Reach().Vars {
		names[p.a.key(logic.Var(v))] = logic.Var(v)
	}
	p.to = map[logic.Var]logic.Var{}
	var va, vb []logic.Var
	for i := range p.b.s.Reach().Vars {
		v := logic.Var(i)
		if w, ok := names[p.b.key(v)]; ok {
			p.to[v] = w
			va, vb = append(va, w), append(vb, v)
		}
	}
	slices.Sort(va)
	slices.Sort(vb)
	g, r, err := p.b.s.Engine().Reachable(p.ctx, vb...)
	if err != nil {
		return false
	}
	told := g.Simplify(r, g.Valid(), logic.SimplifyOptions{MaxTerms: 4000})
	if told == nil {
		return false
	}
	if p.a.ways, err = p.a.solve(p.ctx); err != nil {
		return false
	}
	if p.b.ways, err = p.b.solve(p.ctx); err != nil {
		return false
	}
	if p.f, p.all, err = p.a.s.Engine().Reachable(p.ctx, va...); err != nil {
		return false
	}
	over := p.over(told)
	return !p.bad && p.f.Knows(over) && p.f.And(p.f.Of(over), p.f.Valid()) == p.all && p.f.Err() == nil
}

// over brings an expression of the second design into the space of the first.
func (p *pair) over(e *logic.Expr) *logic.Expr {
	sp := p.a.space
	switch e.Kind() {
	case logic.False:
		return sp.False()
	case logic.True:
		return sp.True()
	case logic.In:
		v, ok := p.to[e.Var()]
		if !ok {
			p.bad = true
			return sp.False()
		}
		return sp.In(v, e.Set())
	}
	kids := make([]*logic.Expr, len(e.Kids()))
	for i, k := range e.Kids() {
		kids[i] = p.over(k)
	}
	switch e.Kind() {
	case logic.And:
		return sp.And(kids...)
	case logic.Or:
		return sp.Or(kids...)
	}
	return sp.Not(kids[0])
}

// alike reports whether two conditions hold in the same reached states.
func (p *pair) alike(a, b system.Condition) bool {
	x, err := a.Of(p.ctx, p.a.s)
	if err != nil {
		return false
	}
	y, err := b.Of(p.ctx, p.b.s)
	if err != nil || !p.f.Knows(x) {
		return false
	}
	z := p.over(y)
	if p.bad || !p.f.Knows(z) {
		return false
	}
	return p.f.And(p.all, p.f.Of(x)) == p.f.And(p.all, p.f.Of(z))
}

// discrete compares what is yes or no: fluids and results.
func (p *pair) discrete() bool {
	a, b := p.a.d, p.b.d
	ask := func(kind model.AtomKind, i int) system.Condition {
		return system.On(&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: kind, Index: i}})
	}
	for i := range a.Ports {
		j := slices.IndexFunc(b.Ports, func(k model.Port) bool { return k.Path == a.Ports[i].Path })
		if j < 0 {
			continue
		}
		if !p.alike(ask(model.AtomFed, i), ask(model.AtomFed, j)) || !p.alike(ask(model.AtomVented, i), ask(model.AtomVented, j)) {
			return false
		}
	}
	for i := range a.Results {
		if a.Results[i].Used == 0 {
			continue // a name for what happens, which nothing reads
		}
		j := slices.IndexFunc(b.Results, func(k model.Result) bool { return k.Path == a.Results[i].Path })
		if j < 0 || len(a.Results[i].Rows) != len(b.Results[j].Rows) {
			return false
		}
		for row := range a.Results[i].Rows {
			if !p.alike(system.Row(model.ResultID(i), row), system.Row(model.ResultID(j), row)) {
				return false
			}
		}
	}
	return true
}
