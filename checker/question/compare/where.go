package compare

import (
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Where says in which states something differs.
type Where struct {
	// With is what is moved from outside: "key is run and coolant between 88 degC and 94 degC";
	// "always" where that does not matter, empty where no short condition says it.
	With string
	// Sure: it differs in every reachable state with that; otherwise it depends on what came before.
	Sure bool
	// When says of these which, by what remembers: "after falling", "K1.winding is energised". Of what
	// the new design alone has it says "in the new design". Empty where Sure, or where no short condition says it.
	When string
}

// longest bounds the terms of a condition that is still worth reading.
const longest = 8

// where says in which reachable states an expression holds.
func (p *product) where(e *logic.Expr) (Where, error) {
	var out Where
	slice := p.engine.Slice(e.Vars()...)
	f, r, err := p.engine.Reachable(p.ctx, slice...)
	if err != nil {
		return out, err
	}
	on := f.And(r, f.Of(e))
	off := f.Diff(r, on)
	seen := func(g logic.Ref, level int) logic.Ref {
		var hide []logic.Var
		for _, v := range f.Order() {
			if p.rank(v) > level {
				hide = append(hide, v)
			}
		}
		return f.And(f.Exists(g, f.Bits(hide...)), f.Valid())
	}
	inOn, inOff := seen(on, 0), seen(off, 0)
	out.Sure = f.And(inOn, inOff) == logic.Never
	short := f.Simplify(inOn, f.Or(inOn, inOff), logic.SimplifyOptions{MaxTerms: longest})
	if f.Err() != nil {
		return out, f.Err()
	}
	if short != nil {
		out.With = p.words(short)
	}
	if out.Sure {
		return out, nil
	}
	among := f.And(r, inOn) // the other states are told apart already
	for level := 1; level <= levelsOfWords; level++ {
		yes, no := seen(f.And(on, among), level), seen(f.And(off, among), level)
		if f.And(yes, no) != logic.Never {
			continue
		}
		short := f.Simplify(yes, f.Or(yes, no), logic.SimplifyOptions{MaxTerms: longest, Rank: p.rank})
		if short != nil {
			out.When = p.remembered(short, f, on)
			break
		}
	}
	return out, f.Err()
}

// levelsOfWords is the last level of the words of rank.
const levelsOfWords = 4

// rank reports how well a reader knows a variable: 0 what is moved from outside, 1 what
// remembers in the old design, 2 that and iron in it, 3 and 4 the same with what the new
// one alone has, more what the systems have for their own use.
func (p *product) rank(v logic.Var) int {
	s, own, add := p.a, v, 0
	if int(v) >= p.first {
		s, own, add = p.b, v-logic.Var(p.first), 2
	}
	switch r := s.s.Role(own); r.Kind {
	case system.RoleSetting, system.RoleQuantity, system.RoleFree:
		return add
	case system.RoleTimer, system.RoleBeat:
		return 1 + add
	case system.RoleMachine:
		if s.d.Machines[r.Index].Reset == nil {
			return 1 + add
		}
	case system.RoleMemory:
		switch s.d.Memories[r.Index].MemKind {
		case model.MemThreshold, model.MemLevel, model.MemBand:
			return 1 + add
		}
		return 2 + add
	}
	return levelsOfWords + 1
}

// words writes an expression of the product in the words of the designs.
func (p *product) words(e *logic.Expr) string {
	text, _ := p.said(e)
	return text
}

func (p *product) said(e *logic.Expr) (text string, single bool) {
	switch e.Kind() {
	case logic.True, logic.False:
		return p.literal(e), true
	case logic.In:
		text = p.literal(e)
		return text, !strings.Contains(text, " or ") && !strings.Contains(text, " and ")
	case logic.Not:
		text, single = p.said(e.Kids()[0])
		if !single {
			text = "(" + text + ")"
		}
		return "not " + text, true
	}
	word := " and "
	if e.Kind() == logic.Or {
		word = " or "
	}
	parts := make([]string, len(e.Kids()))
	for i, k := range e.Kids() {
		if parts[i], single = p.said(k); !single {
			parts[i] = "(" + parts[i] + ")"
		}
	}
	return strings.Join(parts, word), false
}

// literal writes a constant or what is said of one variable.
func (p *product) literal(e *logic.Expr) string {
	s, from, mark := p.a, logic.Var(0), ""
	if e.Kind() == logic.In && int(e.Var()) >= p.first {
		s, from, mark = p.b, logic.Var(p.first), " in the new design"
	}
	space := s.reach().Space
	own := rebuild(space, e, map[*logic.Expr]*logic.Expr{}, func(e *logic.Expr) *logic.Expr { return space.In(e.Var()-from, e.Set()) })
	return s.s.Words(own) + mark
}

// remembered writes what decides besides the inputs. That a threshold is set where its quantity
// lies within its dead band is said by the way the quantity came.
func (p *product) remembered(e *logic.Expr, f *logic.Manager, on logic.Ref) string {
	if e.Kind() == logic.In {
		if text := p.came(e, f, on); text != "" {
			return text
		}
	}
	if e.Kind() != logic.And {
		return p.words(e)
	}
	var parts []string
	for _, k := range e.Kids() {
		if k.Kind() == logic.In && p.rank(k.Var()) == 0 {
			continue // With says so
		}
		if k.Kind() == logic.In {
			if text := p.came(k, f, on); text != "" {
				if !slices.Contains(parts, text) {
					parts = append(parts, text)
				}
				continue
			}
		}
		text, single := p.said(k)
		if !single {
			text = "(" + text + ")"
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " and ")
}

// came says "after falling" or "after rising" for the state of a threshold of the old design,
// where in all states of a set its quantity lies in the dead band; empty otherwise.
func (p *product) came(e *logic.Expr, f *logic.Manager, on logic.Ref) string {
	if int(e.Var()) >= p.first {
		return ""
	}
	r := p.a.s.Role(e.Var())
	if r.Kind != system.RoleMemory || p.a.d.Memories[r.Index].MemKind != model.MemThreshold {
		return ""
	}
	t := &p.a.d.Thresholds[p.a.d.Memories[r.Index].Of]
	if t.Quantity == model.None || p.a.s.Axis(t.Quantity) == nil {
		return ""
	}
	axis := p.a.s.Axis(t.Quantity)
	v := p.a.s.QuantityVar(t.Quantity)
	for i := range axis.Len() {
		x := axis.Value(i).N
		sets, clears := t.SetsCmp.Holds(float64(x.Cmp(t.Sets.N))), t.ClearsCmp.Holds(float64(x.Cmp(t.Clears.N)))
		if (sets || clears) && f.And(f.And(on, f.Is(v, i)), f.Of(e)) != logic.Never {
			return ""
		}
	}
	if e.Set().Has(1) == t.Rising() {
		return "after falling"
	}
	return "after rising"
}
