package system

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
)

// Questions of which part of an answer of the circuit is not known.
//
// Where the circuit could not decide, or in a system of Options.Over where its answer turns
// on an open value, a variable of its own stands for the answer. What holds whatever such an
// answer is holds, and what fails whatever it is fails: a condition is asked about at its
// strongest and at its weakest. So an answer that could not be found costs nothing in states
// of which a question does not speak.

// certain is a condition that holds only where e does whatever the answers not known are,
// or if weak is set one that holds wherever e does with some of them. It puts a bound in
// place of each literal that speaks of an answer not known: as And and Or are monotone and
// Not turns them round, that bounds e. What was found of answers in some states counts.
func (s *System) certain(e *logic.Expr, weak bool, found map[circuit.QuestionID][]fact) *logic.Expr {
	type side struct {
		e    *logic.Expr
		weak bool
	}
	done := map[side]*logic.Expr{}
	var walk func(e *logic.Expr, weak bool) *logic.Expr
	walk = func(e *logic.Expr, weak bool) *logic.Expr {
		if out, ok := done[side{e, weak}]; ok {
			return out
		}
		out := e
		switch e.Kind() {
		case logic.In:
			if d := s.doubts[e.Var()]; d.Answer {
				out = s.answered(e.Set().Has(1), weak, found[d.Question])
			}
		case logic.Not:
			out = s.space.Not(walk(e.Kids()[0], !weak))
		case logic.And, logic.Or:
			kids := make([]*logic.Expr, len(e.Kids()))
			for i, k := range e.Kids() {
				kids[i] = walk(k, weak)
			}
			if out = s.space.And(kids...); e.Kind() == logic.Or {
				out = s.space.Or(kids...)
			}
		}
		done[side{e, weak}] = out
		return out
	}
	return walk(e, weak)
}

// despite decides a question some of whose conditions speak of answers that are not known.
// It gives the verdict v where these decide.
func (s *System) despite(ctx context.Context, v Verdict, ms []meaning, ask engineAsk) (Verdict, error) {
	if ask.helps == nil || v.Outcome != Undecided {
		return v, nil
	}
	some := false
	for _, m := range ms {
		some = some || slices.ContainsFunc(m.expr.Vars(), func(x logic.Var) bool { return s.doubts[x].Answer })
	}
	parts := 0
	for _, m := range ms {
		parts += partsOf(m.expr)
	}
	if !some || parts > maxParts {
		return v, nil
	}
	if got, err := s.bounded(ctx, ms, ask, nil); err != nil || got.Outcome != Undecided {
		return got, err
	}
	found, err := s.find(ctx, ms, ask)
	if err != nil || len(found) == 0 {
		return v, err
	}
	if got, err := s.bounded(ctx, ms, ask, found); err != nil || got.Outcome != Undecided {
		return got, err
	}
	return v, nil
}

// bounded decides a question by the bounds of its conditions; Undecided where they don't.
func (s *System) bounded(ctx context.Context, ms []meaning, ask engineAsk, found map[circuit.QuestionID][]fact) (Verdict, error) {
	some := needsExample(ask)
	for _, weak := range [...]bool{false, true} {
		sides := make([]meaning, len(ms))
		for i, m := range ms {
			sides[i] = meaning{s.certain(m.expr, ask.helps[i] == weak, found), m.asks}
		}
		if _, sure := s.sure(sides); !sure {
			continue
		}
		end := func() {}
		if weak == some { // only that there is no such state would tell
			end = s.engine.Untold()
		}
		got, err := s.asked(ctx, sides, ask)
		end()
		if err != nil {
			return Verdict{}, err
		}
		if weak && got.Outcome == Fails || !weak && got.Outcome == Holds {
			return got, nil
		}
	}
	return Verdict{Outcome: Undecided}, nil
}

// needsExample reports whether a question asks for one state in which its condition holds.
func needsExample(ask engineAsk) bool { return len(ask.helps) == 1 && ask.helps[0] }

// fact is an answer of the circuit in the states in which something holds.
type fact struct {
	when *logic.Expr
	yes  bool
}

// answered bounds "the answer is yes", or "is no", by what was found.
func (s *System) answered(yes, weak bool, facts []fact) *logic.Expr {
	out := s.space.Const(weak)
	for _, f := range facts {
		if weak && f.yes != yes { // it may hold but there
			out = s.space.And(out, s.space.Not(f.when))
		}
		if !weak && f.yes == yes { // it is certain there
			out = s.space.Or(out, f.when)
		}
	}
	return out
}

// maxParts is of how many different parts a condition may consist for its bounds to be asked
// about: what is larger speaks of a mesh of which next to nothing is known.
const maxParts = 1500

// maxFinds is how many answers not known are looked into by one question.
const maxFinds = 4

// find solves the circuit in the reachable states in which a question may be decided by an
// answer that is not known and what that answer compares is highest, and lowest. One such
// state refutes what no bound could.
func (s *System) find(ctx context.Context, ms []meaning, ask engineAsk) (map[circuit.QuestionID][]fact, error) {
	if s.opts.Over != 0 {
		return nil, nil // what is open has no one solution
	}
	some := needsExample(ask)
	parts := make([]*logic.Expr, len(ms))
	var qs []circuit.QuestionID
	for i, m := range ms {
		for _, v := range m.expr.Vars() {
			if d := s.doubts[v]; d.Answer && !slices.Contains(qs, d.Question) {
				qs = append(qs, d.Question)
			}
		}
		// Where it may decide: what speaks against the question, or for it if one example
		// is enough.
		if parts[i] = s.certain(m.expr, true, nil); ask.helps[i] && !some {
			parts[i] = s.space.Not(s.certain(m.expr, false, nil))
		}
	}
	want := s.space.And(parts...)
	found := map[circuit.QuestionID][]fact{}
	for _, q := range qs[:min(len(qs), maxFinds)] {
		x, err := s.search(ctx, s.circuit.Question(q).Atom.Measure, want)
		if err != nil {
			return nil, err
		}
		for _, x := range [...]*Search{x, x.Lowest()} {
			p, err := x.Ascend(ctx, nil)
			if err != nil {
				return nil, err
			}
			if p == nil {
				continue
			}
			yes, err := p.Answer(ctx, q)
			if err != nil {
				return nil, err
			}
			found[q] = append(found[q], fact{p.When, yes})
		}
	}
	return found, nil
}

// throughout reports whether a question that holds in this corner does so with all the open
// values at once, senders included if blurred is set.
func (s *System) throughout(ctx context.Context, conds []Condition, q question, over circuit.Freedom, blurred bool) (Verdict, bool, error) {
	if blurred && q.some || s.opts.Over != 0 {
		return Verdict{}, false, nil
	}
	opts := s.opts
	opts.Over, opts.Inexact = over, s.opts.Inexact || blurred
	t, err := s.with(ctx, opts)
	if err != nil {
		return Verdict{}, false, err
	}
	v, _, err := t.decideHere(ctx, conds, q.ask)
	return v, err == nil && v.Outcome == Holds, err
}

// partsOf counts the different parts of an expression.
func partsOf(e *logic.Expr) int {
	seen := map[*logic.Expr]bool{}
	var walk func(e *logic.Expr)
	walk = func(e *logic.Expr) {
		if seen[e] {
			return
		}
		seen[e] = true
		for _, k := range e.Kids() {
			walk(k)
		}
	}
	walk(e)
	return len(seen)
}
