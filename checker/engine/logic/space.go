package logic

import "fmt"

// Var is a variable of a Space: its index in the order of declaration.
type Var int

// Domain describes a variable: its name (for messages), how many values it
// has, and whether their order means something (regions of a quantity), so
// that a run of values reads better than a scatter of them.
type Domain struct {
	Name    string
	Size    int
	Ordered bool
}

// Space is a growing list of finite-domain variables and the home of the
// expressions over them.
type Space struct {
	domains []Domain
	table   map[string]*Expr
	all     []*Expr
	yes, no *Expr
}

// NewSpace returns a Space without variables.
func NewSpace() *Space {
	s := &Space{table: map[string]*Expr{}}
	s.no = s.intern(&Expr{kind: False})
	s.yes = s.intern(&Expr{kind: True})
	return s
}

// Add declares a variable. The size must lie within 1..MaxSize; a variable of
// size 1 is a constant and costs nothing.
func (s *Space) Add(d Domain) (Var, error) {
	if d.Size < 1 || d.Size > MaxSize {
		return 0, fmt.Errorf("logic: variable %q has %d values: 1 to %d can be told apart", d.Name, d.Size, MaxSize)
	}
	s.domains = append(s.domains, d)
	return Var(len(s.domains) - 1), nil
}

// Len counts the variables.
func (s *Space) Len() int { return len(s.domains) }

// Domain returns the description of v, or a zero Domain if there is no such
// variable.
func (s *Space) Domain(v Var) Domain {
	if v < 0 || int(v) >= len(s.domains) {
		return Domain{}
	}
	return s.domains[v]
}

// Size is the number of values of v; 0 if there is no such variable.
func (s *Space) Size(v Var) int { return s.Domain(v).Size }

// Name is the name of v.
func (s *Space) Name(v Var) string { return s.Domain(v).Name }

// Point gives each variable of a Space a value: one state.
type Point []uint8

// Clone copies the point.
func (p Point) Clone() Point { return append(Point(nil), p...) }

// With returns a copy of p in which v has the value x.
func (p Point) With(v Var, x int) Point {
	q := p.Clone()
	q[v] = uint8(x)
	return q
}
