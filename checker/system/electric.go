package system

import (
	"context"

	"pintle/checker/circuit"
	"pintle/checker/logic"
	"pintle/checker/unread"
	"pintle/lang/model"
)

// electric turns the answers of the circuit into conditions.
type electric struct {
	s      *System
	known  map[circuit.QuestionID]meaning
	unread *unread.Circuit
}

func (e *electric) init(s *System) {
	e.s, e.known, e.unread = s, map[circuit.QuestionID]meaning{}, unread.OfCircuit(s.circuit)
}

// answer is the meaning of an electrical atom.
func (e *electric) answer(ctx context.Context, a *model.Atom) (meaning, error) {
	s := e.s
	q, ok := s.circuit.Register(*a)
	if !ok || e.unread.In(s.circuit.Question(q).Islands) {
		return s.doubt(""), nil
	}
	if m, ok := e.known[q]; ok {
		return m, nil
	}
	d, err := s.circuit.Decide(ctx, q, s.opts.Corner)
	if err != nil {
		return meaning{}, err
	}
	m, err := e.function(ctx, d)
	if err != nil {
		return meaning{}, err
	}
	m.asks = merge(m, meaning{asks: []circuit.QuestionID{q}})
	e.known[q] = m
	return m, nil
}

// function writes a decision over switches as one over their conditions.
func (e *electric) function(ctx context.Context, d *circuit.Decision) (meaning, error) {
	s := e.s
	switches := s.circuit.Switches()
	done := map[*circuit.Decision]meaning{}
	var failed error
	d.Each(func(d *circuit.Decision) {
		switch {
		case failed != nil:
		case !d.IsLeaf():
			c, err := s.level(ctx, switches[d.Switch].Cond)
			if err != nil {
				failed = err
				return
			}
			closed, open := done[d.Closed], done[d.Open]
			done[d] = meaning{
				expr: s.space.Or(s.space.And(c.expr, closed.expr), s.space.And(s.space.Not(c.expr), open.expr)),
				asks: merge(c, closed, open),
			}
		case d.Nominal == circuit.Yes:
			done[d] = meaning{expr: s.space.True()}
		case d.Nominal == circuit.No:
			done[d] = meaning{expr: s.space.False()}
		default:
			done[d] = s.doubt(d.Why)
		}
	})
	return done[d], failed
}

// shannon writes a set of states as an expression: by the variables of the forest, from
// the root down. Equal parts are shared.
func shannon(f *logic.Forest, g logic.Ref) *logic.Expr {
	x := f.Space()
	done := map[logic.Ref]*logic.Expr{logic.Never: x.False(), logic.Always: x.True()}
	order := f.Order()
	var walk func(g logic.Ref, at int) *logic.Expr
	walk = func(g logic.Ref, at int) *logic.Expr {
		if e, ok := done[g]; ok {
			return e
		}
		v := order[at]
		n := x.Size(v)
		same := true
		var refs []logic.Ref
		var sets []logic.Set
		for value := range n {
			part := f.Fix(g, v, value)
			same = same && part == g
			known := false
			for i, r := range refs {
				if r == part {
					sets[i], known = sets[i].Union(logic.SetOf(value)), true
				}
			}
			if !known {
				refs, sets = append(refs, part), append(sets, logic.SetOf(value))
			}
		}
		if same {
			return walk(g, at+1)
		}
		parts := make([]*logic.Expr, len(refs))
		for i, r := range refs {
			parts[i] = x.And(x.In(v, sets[i]), walk(r, at+1))
		}
		done[g] = x.Or(parts...)
		return done[g]
	}
	return walk(g, 0)
}
