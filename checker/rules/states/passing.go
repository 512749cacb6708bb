package states

import (
	"fmt"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func modePassing() rule.Rule {
	return rule.Rule{
		Name:       "mode-passing",
		Severity:   diag.Warning,
		Summary:    "a mode in which something should act, and that is always left at once",
		Why:        "what should act in that mode never acts: the mode is over before anything can move",
		Doc:        pages.Of("mode-passing"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			living(p, func(id model.MachineID, m *model.Machine) {
				acted := actedOn(p.Design, id)
				for k := range m.Modes {
					if !acted[k] {
						continue
					}
					if !passing(p, id, m, k) {
						p.Clear(m.Modes[k].Path)
					}
				}
			})
		},
	}
}

// passing reports a mode that is left at once whichever transition led to it.
func passing(p *rule.Pass, id model.MachineID, m *model.Machine, k int) bool {
	if k == m.Start || !slices.ContainsFunc(m.Transitions, func(t model.Transition) bool { return t.To != k && slices.Contains(t.From, k) }) {
		return false
	}
	outs, related := leavings(p, m, k)
	if outs == nil {
		return false
	}
	entered := false
	for i := range m.Transitions {
		t := &m.Transitions[i]
		if t.To != k || len(t.From) == 1 && t.From[0] == k {
			continue
		}
		if !t.When.Known() {
			return false
		}
		in := system.Fires(id, i)
		if _, fires, known := possible(p, t.Place, m.Path, in, atStep(p)); !known {
			return false
		} else if !fires {
			continue
		}
		entered = true
		if _, stays, known := possible(p, t.Place, m.Path, system.All(in, system.Not(system.Any(outs...))), atStep(p)); !known || stays {
			return false
		}
	}
	if !entered {
		return false
	}
	if rounds, err := p.System().Livelocks(p.Ctx); err != nil || len(rounds) > 0 {
		p.StopOn(err)
		return false // that they go round is the finding
	}
	mode := &m.Modes[k]
	in, occurs, known := possible(p, mode.NamePlace, mode.Path, system.InMode(id, k), atRest(p))
	if !known || !occurs {
		return false
	}
	p.Report(diag.Finding{Place: mode.NamePlace, Subject: mode.Path,
		Message:  fmt.Sprintf("%s leaves %s at once, whenever it enters it", m.Path, mode.Name),
		Help:     "let it wait for something that is not yet true when the mode is entered: that a condition begins, or a time",
		Related:  related,
		Evidence: evidence.Passing("", in.Trace)})
	return true
}

// leavings are the conditions with which a mode is left as soon as they are so, as far as
// they are the same before and after it is entered: what depends on the modes themselves, by
// way of what these switch, may be otherwise then, and nothing begins or ends in no time.
func leavings(p *rule.Pass, m *model.Machine, k int) (outs []system.Condition, related []diag.Related) {
	s := p.System()
	for i := range m.Transitions {
		t := &m.Transitions[i]
		if t.To == k || !slices.Contains(t.From, k) || !t.When.Known() || speaksOfEdges(p.Design, t.When) {
			continue
		}
		c := system.AtStep(t.When)
		e, err := c.Of(p.Ctx, s)
		p.StopOn(err)
		if slices.ContainsFunc(s.Engine().Slice(e.Vars()...), func(v logic.Var) bool {
			switch s.Role(v).Kind {
			case system.RoleMachine, system.RoleDisowner, system.RoleUnknown:
				return true
			}
			return false
		}) {
			continue
		}
		outs = append(outs, c)
		related = append(related, diag.Related{Place: t.Place, Note: "true already when it is entered"})
	}
	return outs, related
}

// speaksOfEdges reports whether a condition says that something begins, ends or stays.
func speaksOfEdges(d *model.Design, c *model.Cond) bool {
	found := false
	c.Atoms(func(c *model.Cond) {
		switch c.Atom.Kind {
		case model.AtomEdge:
			found = true
		case model.AtomCondition:
			found = found || speaksOfEdges(d, d.Conditions[c.Atom.Index].Cond)
		case model.AtomResult: // its rows may
			found = true
		}
	})
	return found
}

// actedOn marks the modes in which, and in no other, something is switched, timed or
// passed. A mode that is only a crossing on the way to others is none.
func actedOn(d *model.Design, id model.MachineID) map[int]bool {
	out := map[int]bool{}
	ask := func(c *model.Cond) {
		if in := modesIn(c, id, true); len(in) == 1 {
			out[in[0]] = true
		}
	}
	for i := range d.Drivers {
		ask(d.Drivers[i].When)
	}
	for i := range d.Contacts {
		ask(d.Contacts[i].When)
	}
	for i := range d.Passages {
		ask(d.Passages[i].Open)
	}
	for i := range d.Timers {
		ask(d.Timers[i].Run)
	}
	for i := range d.Beats {
		ask(d.Beats[i].While)
	}
	for i := range d.Conditions {
		ask(d.Conditions[i].Cond)
	}
	return out
}

// modesIn lists the modes of a machine that a condition asks for; none where it also
// asks for what is not so in some mode.
func modesIn(c *model.Cond, id model.MachineID, plain bool) []int {
	if c == nil {
		return nil
	}
	if c.Op == model.CondAtom {
		if a := &c.Atom; a.Kind == model.AtomMachine && model.MachineID(a.Index) == id {
			if !plain {
				return []int{model.None, model.None}
			}
			return a.In
		}
		return nil
	}
	var out []int
	for _, k := range c.Kids {
		out = append(out, modesIn(k, id, plain && c.Op != model.CondNot)...)
	}
	return out
}
