package logic

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
)

// Kind says what an Expr is.
type Kind uint8

const (
	False Kind = iota // holds nowhere
	True              // holds everywhere
	In                // one variable has one of a set of values
	And               // all of two or more parts hold
	Or                // at least one of two or more parts holds
	Not               // the one part, an And or an Or, does not hold
)

// Expr is a condition over the variables of one Space. Expressions are made by
// the methods of the Space, never change, and are shared: two that were built
// alike are the same pointer. Being different pointers says nothing; whether
// two expressions mean the same is for a Manager to decide.
type Expr struct {
	kind Kind
	id   int
	v    Var
	set  Set
	kids []*Expr
	vars []Var // once Vars has been asked
}

// Kind says what e is.
func (e *Expr) Kind() Kind { return e.kind }

// Var is the variable of an In.
func (e *Expr) Var() Var { return e.v }

// Set holds the values of an In: neither empty nor the whole domain.
func (e *Expr) Set() Set { return e.set }

// Kids are the parts of an And, Or or Not, in a fixed order. The slice must
// not be changed.
func (e *Expr) Kids() []*Expr { return e.kids }

// ID numbers the expressions of a Space in the order in which they were first
// built.
func (e *Expr) ID() int { return e.id }

func (s *Space) intern(e *Expr) *Expr {
	key := make([]byte, 0, 48)
	key = append(key, byte(e.kind))
	if e.kind == In {
		key = binary.AppendUvarint(key, uint64(e.v))
		for _, w := range e.set.w {
			key = binary.LittleEndian.AppendUint64(key, w)
		}
	}
	for _, k := range e.kids {
		key = binary.AppendUvarint(key, uint64(k.id))
	}
	if known, ok := s.table[string(key)]; ok {
		return known
	}
	e.id = len(s.all)
	s.all = append(s.all, e)
	s.table[string(key)] = e
	return e
}

// True holds everywhere.
func (s *Space) True() *Expr { return s.yes }

// False holds nowhere.
func (s *Space) False() *Expr { return s.no }

// Const is True or False.
func (s *Space) Const(b bool) *Expr {
	if b {
		return s.yes
	}
	return s.no
}

// In holds where v has a value of set. Values outside the domain do not count;
// a variable that the Space does not have is never in any set.
func (s *Space) In(v Var, set Set) *Expr {
	full := Full(s.Size(v))
	set = set.Intersect(full)
	switch {
	case set.IsEmpty():
		return s.no
	case set == full:
		return s.yes
	}
	return s.intern(&Expr{kind: In, v: v, set: set})
}

// Is holds where v has the value x.
func (s *Space) Is(v Var, x int) *Expr { return s.In(v, SetOf(x)) }

// On holds where v is not 0: a boolean variable is true.
func (s *Space) On(v Var) *Expr { return s.In(v, Full(s.Size(v)).Minus(SetOf(0))) }

// Not holds where e does not.
func (s *Space) Not(e *Expr) *Expr {
	switch e.kind {
	case False:
		return s.yes
	case True:
		return s.no
	case In:
		return s.In(e.v, Full(s.Size(e.v)).Minus(e.set))
	case Not:
		return e.kids[0]
	}
	return s.intern(&Expr{kind: Not, kids: []*Expr{e}})
}

// And holds where all parts hold; True without parts. A nil part counts as
// True.
func (s *Space) And(parts ...*Expr) *Expr { return s.nary(And, parts) }

// Or holds where some part holds; False without parts. A nil part counts as
// False.
func (s *Space) Or(parts ...*Expr) *Expr { return s.nary(Or, parts) }

// Implies holds where a does not, or b does.
func (s *Space) Implies(a, b *Expr) *Expr { return s.Or(s.Not(a), b) }

// Iff holds where a and b are both true or both false.
func (s *Space) Iff(a, b *Expr) *Expr {
	return s.Or(s.And(a, b), s.And(s.Not(a), s.Not(b)))
}

// nary builds an And or an Or: flat, literals of one variable merged, parts
// sorted and unique, opposites noticed.
func (s *Space) nary(kind Kind, parts []*Expr) *Expr {
	unit, zero := s.yes, s.no
	if kind == Or {
		unit, zero = s.no, s.yes
	}
	flat := make([]*Expr, 0, len(parts))
	for _, p := range parts {
		switch {
		case p == nil || p == unit:
		case p == zero:
			return zero
		case p.kind == kind:
			flat = append(flat, p.kids...)
		default:
			flat = append(flat, p)
		}
	}
	slices.SortFunc(flat, byShape)
	out := flat[:0]
	for _, p := range flat {
		if n := len(out); n > 0 {
			last := out[n-1]
			if last == p {
				continue
			}
			if last.kind == In && p.kind == In && last.v == p.v {
				set := last.set.Intersect(p.set)
				if kind == Or {
					set = last.set.Union(p.set)
				}
				merged := s.In(p.v, set)
				if merged == zero {
					return zero
				}
				out[n-1] = merged // can not be the unit: neither part was
				continue
			}
		}
		out = append(out, p)
	}
	for _, p := range out {
		if p.kind == Not && slices.Contains(out, p.kids[0]) {
			return zero
		}
	}
	switch len(out) {
	case 0:
		return unit
	case 1:
		return out[0]
	}
	return s.intern(&Expr{kind: kind, kids: slices.Clone(out)})
}

// byShape sorts literals first, by variable, then the rest by age.
func byShape(a, b *Expr) int {
	if (a.kind == In) != (b.kind == In) {
		if a.kind == In {
			return -1
		}
		return 1
	}
	if a.kind == In && a.v != b.v {
		return cmp.Compare(a.v, b.v)
	}
	return cmp.Compare(a.id, b.id)
}

// IsCube reports whether e is True, an In, or an And of In: it can then hold, as literals
// of one variable are merged when it is built.
func (e *Expr) IsCube() bool {
	switch e.kind {
	case True, In:
		return true
	case And:
		return !slices.ContainsFunc(e.kids, func(k *Expr) bool { return k.kind != In })
	}
	return false
}

// Eval reports whether e holds at p, which must give every variable of e a
// value.
func (e *Expr) Eval(p Point) bool {
	switch e.kind {
	case True:
		return true
	case In:
		return e.set.Has(int(p[e.v]))
	case And:
		for _, k := range e.kids {
			if !k.Eval(p) {
				return false
			}
		}
		return true
	case Or:
		for _, k := range e.kids {
			if k.Eval(p) {
				return true
			}
		}
		return false
	case Not:
		return !e.kids[0].Eval(p)
	}
	return false
}

// Vars lists the variables that e mentions, in rising order. The slice must not be
// changed.
func (e *Expr) Vars() []Var {
	if e.vars != nil || e.kind == True || e.kind == False {
		return e.vars
	}
	if e.kind == In {
		e.vars = []Var{e.v}
		return e.vars
	}
	var vars []Var
	for _, k := range e.kids { // they are shared, and so are their lists
		vars = append(vars, k.Vars()...)
	}
	slices.Sort(vars)
	e.vars = slices.Clip(slices.Compact(vars))
	return e.vars
}

// Text writes e with the names of the Space, for tests and for developers; the
// words that a design's author reads are chosen elsewhere.
func (s *Space) Text(e *Expr) string {
	switch e.kind {
	case False:
		return "false"
	case True:
		return "true"
	case In:
		if e.set.Len() == 1 {
			return fmt.Sprintf("%s=%d", s.Name(e.v), e.set.Min())
		}
		return s.Name(e.v) + " in " + e.set.String()
	case Not:
		return "not " + s.Text(e.kids[0])
	}
	word := " and "
	if e.kind == Or {
		word = " or "
	}
	parts := make([]string, len(e.kids))
	for i, k := range e.kids {
		parts[i] = s.Text(k)
	}
	return "(" + strings.Join(parts, word) + ")"
}
