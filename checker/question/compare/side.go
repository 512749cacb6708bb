package compare

import (
	"context"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/interval"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// side is one of the two designs, in which fuses open.
type side struct {
	p *rule.Pass
	d *model.Design
	s *system.System
}

// sides makes the two systems so that both tell the same values of their common quantities
// apart.
func sides(p, q *rule.Pass, with *pairs) (a, b *side, err error) {
	a = &side{p: p, s: p.Protected()}
	b = &side{p: q, s: q.Protected()}
	a.d, b.d = a.s.Design(), b.s.Design()
	var alsoA, alsoB []*model.Cond
	for i, j := range with.to[quantities] {
		if j == model.None {
			continue
		}
		x, y := a.s.Axis(model.QuantityID(i)), b.s.Axis(model.QuantityID(j))
		if x == nil || y == nil || x.Lo().Dim() != y.Lo().Dim() {
			continue
		}
		alsoA = append(alsoA, beyond(x, y, i)...)
		alsoB = append(alsoB, beyond(y, x, j)...)
	}
	if err := a.apart(alsoA); err != nil {
		return nil, nil, err
	}
	return a, b, b.apart(alsoB)
}

// beyond lists conditions by which the values are told apart that one axis tells apart and
// another does not yet.
func beyond(axis, other *interval.Axis, quantity int) []*model.Cond {
	points := other.Points()
	if !axis.Lo().N.Equal(other.Lo().N) || !axis.Hi().N.Equal(other.Hi().N) {
		points = append([]unit.Value{axis.Lo(), axis.Hi(), other.Lo(), other.Hi()}, points...)
	}
	var out []*model.Cond
	for _, v := range points {
		if at, in := axis.At(v.N); in && !axis.Region(at).IsPoint() {
			out = append(out, &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomQuantity, Index: quantity, Cmp: model.Above, Value: v}})
		}
	}
	return out
}

// apart makes the system again, with more values told apart.
func (s *side) apart(also []*model.Cond) (err error) {
	if len(also) == 0 {
		return nil
	}
	s.s, err = system.Build(s.p.Ctx, s.d, system.Options{
		Circuit: s.s.Circuit(), Also: also, MaxNodes: s.p.Limits.Nodes, MaxZones: s.p.Limits.Zones, Memo: s.p.Memo,
	})
	return err
}

// at is the side with its supplies, tolerances and filaments in a corner.
func (s *side) at(ctx context.Context, k circuit.Corner) (*side, error) {
	t, err := s.s.At(ctx, k)
	return &side{p: s.p, d: s.d, s: t}, err
}

// reach is the system as plain data.
func (s *side) reach() *reach.System { return s.s.Reach() }

// vars counts the variables, those of what became known to be unknown last included.
func (s *side) vars() int { return s.s.Reach().Space.Len() }

func (s *side) domain(v logic.Var) logic.Domain { return s.s.Reach().Space.Domain(v) }
