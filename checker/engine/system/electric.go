package system

import (
	"context"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/incomplete"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// electric turns the answers of the circuit into conditions.
type electric struct {
	s      *System
	known  map[circuit.QuestionID]meaning
	unread *incomplete.Circuit
}

func (e *electric) init(s *System) {
	e.s, e.known, e.unread = s, map[circuit.QuestionID]meaning{}, incomplete.OfCircuit(s.circuit)
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
	d, err := s.answerOf(ctx, q)
	if err != nil {
		return meaning{}, err
	}
	m, err := e.function(ctx, q, d)
	if err != nil {
		return meaning{}, err
	}
	m.asks = merge(m, meaning{asks: []circuit.QuestionID{q}})
	e.known[q] = m
	return m, nil
}

// Quick reports whether what an atom asks of the circuit is decided at once; see circuit.Quick.
func (s *System) Quick(ctx context.Context, a model.Atom) (bool, error) {
	q, ok := s.circuit.Register(a)
	if !ok || s.opts.Over != 0 {
		return true, nil // nothing is gained by waiting
	}
	return s.circuit.Quick(ctx, q, s.opts.Corner)
}

// answerOf is the answer to a question with what is open in this system.
func (s *System) answerOf(ctx context.Context, q circuit.QuestionID) (*circuit.Decision, error) {
	if s.opts.Over != 0 {
		return s.circuit.WorstCase(ctx, q, s.opts.Corner, s.opts.Over)
	}
	return s.circuit.Decide(ctx, q, s.opts.Corner)
}

// unanswered stands for an answer of the circuit that is not known.
func (s *System) unanswered(why string, q circuit.QuestionID) meaning {
	m := s.doubt(why)
	for _, v := range m.expr.Vars() {
		s.doubts[v] = Doubt{Reason: why, Answer: true, Question: q}
	}
	return m
}

// function writes the decision of a question over switches as one over their conditions.
func (e *electric) function(ctx context.Context, q circuit.QuestionID, d *circuit.Decision) (meaning, error) {
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
		case s.opts.Over != 0 && d.Answer == circuit.Depends:
			done[d] = s.unanswered("it depends on open values", q)
		case d.Nominal == circuit.Undecided || s.opts.Over != 0 && d.Answer == circuit.Undecided:
			done[d] = s.unanswered(d.Why, q)
		default:
			done[d] = meaning{expr: s.space.Const(d.Nominal == circuit.Yes)}
		}
	})
	return done[d], failed
}

// shannon writes a set of states as an expression: by the variables of the manager, from
// the root down. Equal parts are shared.
func shannon(f *logic.Manager, g logic.Ref) *logic.Expr {
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
