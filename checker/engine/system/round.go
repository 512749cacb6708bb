package system

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Round tells one round of hardware that never settles, change by change in the order in
// which they follow, from where its trace ends: what each is and what follows from it, with
// the solved volts, amperes or ampere-turns that bring it about.
func (s *System) Round(ctx context.Context, h Hunt) ([]diag.Line, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	n := &narrator{t: h.Trace, at: h.Trace.Last()}
	for _, c := range h.Changes {
		if line, ok := s.change(c); ok {
			by, err := s.broughtBy(ctx, h, n.at, c)
			if err != nil {
				return nil, err
			}
			line.Text += by.Text
			line.Numbers = by.Numbers
			n.lines = append(n.lines, line)
		}
		n.become(c)
	}
	for i := range n.lines {
		n.lines[i].Text = fmt.Sprintf("%d. %s", i+1, n.lines[i].Text)
	}
	return n.lines, nil
}

// Turns tells one round of modes or timers that go on by themselves, move by move.
func (s *System) Turns(l Livelock) []diag.Line {
	last := l.Trace.Last()
	t := &Trace{Trace: &reach.Trace{Vars: l.Trace.Vars, Start: last, Initial: last, Steps: l.Cycle}, System: s}
	var out []diag.Line
	for i := range t.Steps {
		lines := t.consequences(i)
		if t.Steps[i].Move.Kind != reach.MoveIdle {
			lines = append([]diag.Line{t.moveLine(move{i, i})}, lines...)
		}
		for _, line := range lines {
			line.Text, line.Step = fmt.Sprintf("%d. %s", len(out)+1, line.Text), ""
			out = append(out, line)
		}
	}
	return out
}

// broughtBy says what of the circuit brings about a change of a memory in a state: " at
// 12.47 V (at least 8 V)". It is empty where nothing of the circuit does.
func (s *System) broughtBy(ctx context.Context, h Hunt, p logic.Point, c reach.Change) (diag.Line, error) {
	r := s.role(c.Var)
	if r.Kind != RoleMemory {
		return diag.Line{}, nil
	}
	m := &s.d.Memories[r.Index]
	for _, rule := range m.Rules {
		if rule.To != c.To || rule.From != nil && !slices.Contains(rule.From, c.From) {
			continue
		}
		when, err := s.Expr(ctx, rule.When)
		if err != nil {
			return diag.Line{}, err
		}
		if !h.Trace.covers(when) || !when.Eval(p) {
			continue
		}
		var atoms []*model.Atom
		rule.When.Atoms(func(k *model.Cond) {
			if k.Atom.Kind == model.AtomMeasure {
				atoms = append(atoms, &k.Atom)
			}
		})
		for _, a := range atoms {
			line, err := s.measured(ctx, h, p, a)
			if line.Text != "" || err != nil {
				return line, err
			}
		}
	}
	return diag.Line{}, nil
}

// measured is what a comparison of the circuit comes to in a state of a round, if it holds
// there. It is empty where that can't be told.
func (s *System) measured(ctx context.Context, h Hunt, p logic.Point, a *model.Atom) (diag.Line, error) {
	q, ok := s.circuit.Register(*a)
	if !ok {
		return diag.Line{}, nil
	}
	stand := map[circuit.Switch]*logic.Expr{}
	islands, infos := s.circuit.Islands(), s.circuit.Switches()
	for _, i := range s.circuit.Question(q).Islands {
		for _, w := range islands[i].Switches {
			e, err := s.Expr(ctx, infos[w].Cond)
			if err != nil {
				return diag.Line{}, err
			}
			stand[w] = e
		}
	}
	p, err := s.besides(ctx, h, p, stand)
	if err != nil || p == nil {
		return diag.Line{}, err
	}
	sol, err := s.circuit.Solve(ctx, func(w circuit.Switch) bool { return stand[w] != nil && stand[w].Eval(p) }, s.opts.Corner)
	if err != nil {
		return diag.Line{}, err
	}
	if holds, err := sol.Answer(ctx, q); err != nil || !holds {
		return diag.Line{}, err
	}
	x, err := sol.Measure(ctx, a.Measure)
	if err != nil {
		return diag.Line{}, err
	}
	dim := unit.Voltage
	switch a.Measure.Kind {
	case model.Amps:
		dim = unit.Current
	case model.AmpereTurns:
		dim = unit.AmpereTurns
	}
	level := a.Level.Nominal
	n := circuit.Number(a.Measure, x)
	n.Text, n.State = unit.FormatBeside(x, level, dim), &diag.State{Switches: sol.Stands(slices.Sorted(maps.Keys(stand)))}
	n.State.Corner, n.State.Cold = s.circuit.Open(s.opts.Corner)
	n.State.Faults = append(circuit.PlainFaults(s.opts.Faults), circuit.PlainBlown(s.d, s.openFuses(n.State.Switches))...)
	return diag.Line{Text: fmt.Sprintf(" at %s (%s %s)", n, a.Cmp, unit.Format(level, dim)), Numbers: []diag.Number{n}}, nil
}

// besides puts into a state of a round how everything else can stand meanwhile that some
// switches depend on: at rest, with the inputs as the trace has left them and others as they
// are at first where they can be. It is nil where that depends on what never settles.
func (s *System) besides(ctx context.Context, h Hunt, p logic.Point, stand map[circuit.Switch]*logic.Expr) (logic.Point, error) {
	var open []logic.Var
	for _, e := range stand {
		for _, v := range e.Vars() {
			if _, known := slices.BinarySearch(h.Trace.Vars, v); !known {
				open = append(open, v)
			}
		}
	}
	if len(open) == 0 {
		return p, nil
	}
	slices.Sort(open)
	open = slices.Compact(open)
	slice := s.engine.Slice(open...)
	for _, c := range h.Changes {
		if slices.Contains(slice, c.Var) {
			return nil, nil
		}
	}
	if slices.ContainsFunc(slice, func(v logic.Var) bool { return s.role(v).Kind == RoleUnknown }) {
		return nil, nil
	}
	ask := slices.Clone(open)
	for _, v := range slice {
		if s.reach.Vars[v].Kind == reach.Input && !slices.Contains(open, v) {
			ask = append(ask, v)
		}
	}
	f, in, err := s.engine.Reachable(ctx, ask...)
	if err != nil {
		return nil, err
	}
	for _, v := range ask {
		if _, moved := slices.BinarySearch(h.Trace.Vars, v); moved {
			in = f.And(in, f.Is(v, int(p[v])))
		}
	}
	for _, v := range ask {
		if first := f.And(in, f.In(v, s.reach.Vars[v].Initial)); s.reach.Vars[v].Kind == reach.Input && first != logic.Never {
			in = first
		}
	}
	at, ok := f.Least(in)
	if !ok || f.Err() != nil {
		return nil, f.Err()
	}
	out := p.Clone()
	for _, v := range open {
		out[v] = at[v]
	}
	return out, nil
}
