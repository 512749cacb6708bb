package scenario

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// ports answers for all fluid ports of the state, once.
func (m *moment) ports() (*fluid.Answers[Truth], bool) {
	if m.paths == nil && m.err == nil {
		m.paths, m.err = fluid.Solve(m.ctx, m.fluid, threeValued(m.eval))
	}
	return m.paths, m.err == nil
}

// threeValued is the logic of one state of which not all is known.
func threeValued(of func(*model.Cond) Truth) fluid.Logic[Truth] {
	return fluid.Logic[Truth]{
		False: False, True: True, Of: of, And: and, Or: or, Not: Truth.not,
		Same: func(a, b Truth) bool { return a == b },
	}
}

func (m *moment) port(a *model.Atom) Truth {
	if m.dark[a.Index] {
		return Unknown
	}
	p, ok := m.ports()
	if !ok {
		return Unknown
	}
	id := model.PortID(a.Index)
	switch a.Kind {
	case model.AtomFed:
		return p.Fed(id)
	case model.AtomVented:
		return p.Vented(id)
	}
	return p.Neither(id)
}

// standing says how the subject of a condition stands, in the words of the condition:
// "runners is long", "volts K1.86 to K1.85 is 0.3 V".
func (m *moment) standing(c *model.Cond) string {
	if c == nil {
		return ""
	}
	d, s := m.design, m.s
	switch c.Op {
	case model.CondAtom:
	case model.CondNot:
		if c.Said == nil {
			return m.standing(c.Kids[0])
		}
		return m.asItIs(c)
	case model.CondAnd:
		if i := slices.IndexFunc(c.Kids, func(k *model.Cond) bool { return m.eval(k) == False }); i >= 0 && c.Said == nil {
			return m.standing(c.Kids[i])
		}
		return m.asItIs(c)
	case model.CondOr:
		return m.asItIs(c)
	default:
		return d.Words(c)
	}
	if c.Said != nil {
		return m.asItIs(c)
	}
	a := &c.Atom
	switch a.Kind {
	case model.AtomSetting:
		return d.Settings[a.Index].Path + " is " + d.Settings[a.Index].Positions[s.Settings[a.Index]]
	case model.AtomQuantity:
		return d.Quantities[a.Index].Path + " is " + m.levelText(a.Index)
	case model.AtomMemory:
		if mem := &d.Memories[a.Index]; mem.MemKind != model.MemFollow {
			return memoryState(mem, s.Memories[a.Index])
		}
	case model.AtomMachine:
		mc := &d.Machines[a.Index]
		return mc.Path + " is " + mc.Modes[s.Machines[a.Index]].Name
	case model.AtomResult:
		r := &d.Results[a.Index]
		for i := range r.Rows {
			if m.eval(r.Rows[i].When) == True {
				return r.Path + " is " + r.Rows[i].Name
			}
		}
		return r.Path + " is nothing: no row is true"
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		if sol, ok := m.solution(); ok {
			n := model.NodeID(a.Index)
			switch live, grounded := sol.Live(n), sol.Grounded(n); {
			case live && grounded:
				return d.Nodes[n].Path + " is live and grounded"
			case live:
				return d.Nodes[n].Path + " is live"
			case grounded:
				return d.Nodes[n].Path + " is grounded"
			}
			return d.Nodes[n].Path + " is floating"
		}
	case model.AtomMeasure:
		return m.measured(a)
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		if p, ok := m.ports(); ok {
			id := model.PortID(a.Index)
			word := "neither fed nor vented"
			if p.Fed(id) == True {
				word = "fed"
			} else if p.Vented(id) == True {
				word = "vented"
			}
			return d.Ports[id].Path + " is " + word
		}
	}
	return m.asItIs(c)
}

// asItIs writes a condition where it is true, and otherwise its opposite.
func (m *moment) asItIs(c *model.Cond) string {
	yes := m.eval(c) == True
	switch {
	case c.Said == nil && c.Op == model.CondAtom && (c.Atom.Kind == model.AtomCondition || c.Atom.Kind == model.AtomEdge):
		return m.design.Words(c) + " is " + trueFalse(yes) // a name by itself would be no sentence
	case yes:
		return m.design.Words(c)
	}
	return m.design.Opposite(c)
}

func (m *moment) levelText(q int) string { return (&explainer{moment: m}).level(q) }

// measured gives the number behind a comparison.
func (m *moment) measured(a *model.Atom) string {
	sol, ok := m.solution()
	if !ok {
		return "the circuit can't be solved"
	}
	v, err := sol.Measure(m.ctx, a.Measure)
	if err != nil {
		m.err = err
		return "the circuit can't be solved"
	}
	v = circuit.Displayed(a.Measure.Kind, v)
	d, dim := m.design, unit.Voltage
	name := ""
	m.read = append(m.read, circuit.Number(a.Measure, v))
	switch a.Measure.Kind {
	case model.Volts, model.AbsVolts:
		name = "volts " + d.Nodes[a.Measure.A].Path + " to " + d.Nodes[a.Measure.B].Path
		if a.Measure.LevelName != "" && a.Measure.Load >= 0 && int(a.Measure.Load) < len(d.Loads) {
			at := m.asItIs(&model.Cond{Op: model.CondAtom, Atom: *a})
			return at + ": " + unit.Format(v, dim) + " across it, " + a.Measure.LevelName + " from " + unit.Format(a.Level.Nominal, dim)
		}
	case model.Amps:
		name, dim = "current through "+m.circuit.Element(a.Measure.Element).Path, unit.Current
	case model.AmpereTurns:
		name, dim = "ampere-turns", unit.AmpereTurns
	}
	// How far it is from what it is compared with says more than the number alone.
	text := name + ": " + unit.Format(v, dim)
	if a.Level.Nominal != 0 || a.Measure.Kind == model.AmpereTurns {
		text += " (compared with " + unit.Format(a.Level.Nominal, dim) + ")"
	}
	return text
}
