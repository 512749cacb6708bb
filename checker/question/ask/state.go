package ask

import (
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Measures.

// Current is the current through an element, in A, a magnitude.
func Current(e model.ElementID) model.Measure {
	return model.Measure{Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None}
}

// Volts are the volts of a over b, signed.
func Volts(a, b model.NodeID) model.Measure {
	return model.Measure{Kind: model.Volts, A: a, B: b, Element: model.None, Load: model.None}
}

// VoltsAcross are the volts between two nodes, of either sign.
func VoltsAcross(a, b model.NodeID) model.Measure {
	return model.Measure{Kind: model.AbsVolts, A: a, B: b, Element: model.None, Load: model.None}
}

// Conditions.

// Atom is where an atom holds.
func Atom(a model.Atom) system.Condition {
	return system.On(&model.Cond{Op: model.CondAtom, Atom: a})
}

// Live is where metal joins a node to the plus of a supply.
func Live(n model.NodeID) system.Condition {
	return Atom(model.Atom{Kind: model.AtomLive, Index: int(n)})
}

// Grounded is where metal joins a node to ground.
func Grounded(n model.NodeID) system.Condition {
	return Atom(model.Atom{Kind: model.AtomGrounded, Index: int(n)})
}

// Joined is where metal joins two nodes.
func Joined(a, b model.NodeID) system.Condition {
	if a == b {
		return system.On(model.True)
	}
	return Atom(model.Atom{Kind: model.AtomJoined, Index: int(a), Other: int(b)})
}

// Remembers is where a memory of two states is in the second one: energised, powered, set.
func Remembers(m model.MemoryID) system.Condition { return system.InState(m, 1) }

// AnyOf is where one of some conditions holds; nowhere, if there are none.
func AnyOf(cs []system.Condition) system.Condition {
	if len(cs) == 0 {
		return system.On(model.False)
	}
	return system.Any(cs...)
}

// AtLeast is where a measure is a level, in V, A or At, or more, as `at least` is in the
// language.
func AtLeast(m model.Measure, level float64) system.Condition {
	return Atom(Compared(m, model.AtLeast, level))
}

// Above is where a measure is more than a level, as `above` is in the language.
func Above(m model.Measure, level float64) system.Condition {
	return Atom(Compared(m, model.Above, level))
}

// Compared is a measure held against a level, in V, A or At.
func Compared(m model.Measure, cmp model.Cmp, level float64) model.Atom {
	return model.Atom{Kind: model.AtomMeasure, Measure: m, Cmp: cmp, Level: model.Exactly(level)}
}

// RunsFrom is the share of its rated volts, in percent, from which a load without named levels
// counts as running. Common practice, no source: below it a filament stays dark and a motor
// stands.
const RunsFrom = 10

// Reaches is where a load has reached one of its levels, or one that it does not name.
func Reaches(d *model.Design, id model.LoadID, level model.Level) system.Condition {
	return Atom(AtLevel(d, id, level))
}

// AtLevel says that a load has reached one of its levels, or one that it does not name.
func AtLevel(d *model.Design, id model.LoadID, level model.Level) model.Atom {
	l := &d.Loads[id]
	return Compared(model.Measure{
		Kind: model.AbsVolts, A: l.A, B: l.B, Element: l.Element, Load: id, LevelName: level.Name,
	}, model.AtLeast, l.Rated*level.Percent/100)
}
