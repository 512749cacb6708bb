package drives

import (
	"cmp"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Kind is what a signal is of.
type Kind uint8

// The kinds.
const (
	OfSetting Kind = iota
	OfQuantity
	OfSupply
	OfMemory
	OfModes
	OfTimer
	OfBeat
	OfFuse
	OfLoad
	OfResult
	OfBands
	OfCondition
	OfMeasure // that was asked for
)

func (k Kind) String() string {
	return [...]string{
		OfSetting: "setting", OfQuantity: "quantity", OfSupply: "supply", OfMemory: "memory", OfModes: "modes", OfTimer: "timer",
		OfBeat: "beat", OfFuse: "fuse", OfLoad: "load", OfResult: "result", OfBands: "bands", OfCondition: "condition", OfMeasure: "measure",
	}[k]
}

// Signal is something whose value a run records.
type Signal struct {
	Kind Kind
	Path string
	// States are the names of its values; nil: it is a number in Unit.
	States []string
	Unit   unit.Unit

	of      int
	levels  []int // of a load: its levels, rising
	measure model.Measure
}

// Number reports whether the values are numbers.
func (s *Signal) Number() bool { return s.States == nil }

// Value of a signal at one moment.
type Value struct {
	Known  bool
	State  int     // index into Signal.States
	Number float64 // in Signal.Unit
}

// MeasureSignal is the signal of a measure that was asked for, under the words of the question.
func MeasureSignal(words string, m model.Measure) Signal {
	u := unit.Voltage.Base()
	if m.Kind == model.Amps {
		u = unit.Current.Base()
	}
	return Signal{Kind: OfMeasure, Path: words, Unit: u, measure: m}
}

// Signals are those of everything in a design that changes.
func Signals(d *model.Design) (out []Signal) {
	add := func(k Kind, info *model.Info, of int, states ...string) *Signal {
		out = append(out, Signal{Kind: k, Path: info.Path, States: states, of: of})
		return &out[len(out)-1]
	}
	for i := range d.Settings {
		add(OfSetting, &d.Settings[i].Info, i, d.Settings[i].Positions...)
	}
	for i := range d.Quantities {
		add(OfQuantity, &d.Quantities[i].Info, i).Unit = d.Quantities[i].Lo.Unit
	}
	for i := range d.Supplies {
		if s := &d.Supplies[i]; s.HasRange {
			add(OfSupply, &s.Info, i).Unit = unit.Voltage.Base()
		}
	}
	for i := range d.Memories {
		if m := &d.Memories[i]; m.MemKind != model.MemFollow && m.MemKind != model.MemFuse {
			add(OfMemory, &m.Info, i, m.States...)
		}
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		names := make([]string, len(m.Modes))
		for k := range m.Modes {
			names[k] = m.Modes[k].Name
		}
		add(OfModes, &m.Info, i, names...)
	}
	for i := range d.Timers {
		if !d.Timers[i].Lowered {
			add(OfTimer, &d.Timers[i].Info, i, "idle", "running", "done")
		}
	}
	for i := range d.Beats {
		add(OfBeat, &d.Beats[i].Info, i, "off", "on")
	}
	for i := range d.Fuses {
		add(OfFuse, &d.Fuses[i].Info, i, "whole", "blown")
	}
	for i := range d.Loads {
		levels := rising(&d.Loads[i])
		states := []string{"off"}
		for _, k := range levels {
			states = append(states, d.Loads[i].Levels[k].Name)
		}
		if len(levels) == 0 {
			states = append(states, "on")
		}
		add(OfLoad, &d.Loads[i].Info, i, states...).levels = levels
	}
	for i := range d.Results {
		states := make([]string, len(d.Results[i].Rows), len(d.Results[i].Rows)+1)
		for k := range d.Results[i].Rows {
			states[k] = d.Results[i].Rows[k].Name
		}
		add(OfResult, &d.Results[i].Info, i, append(states, "no row")...)
	}
	for i := range d.Bands {
		if b := &d.Bands[i]; b.Memory == model.None {
			states := make([]string, len(b.Bands), len(b.Bands)+1)
			for k := range b.Bands {
				states[k] = b.Bands[k].Name
			}
			add(OfBands, &b.Info, i, append(states, "no band")...)
		}
	}
	for i := range d.Conditions {
		add(OfCondition, &d.Conditions[i].Info, i, "false", "true")
	}
	return out
}

// rising are the levels of a load, lowest first.
func rising(l *model.Load) []int {
	out := make([]int, len(l.Levels))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(l.Levels[a].Percent, l.Levels[b].Percent) })
	return out
}

// at is the value of the signal at a moment.
func (s *Signal) at(d *model.Design, r *scenario.Rest) Value {
	stands := func(state int) Value {
		if state == scenario.UnknownState {
			return Value{}
		}
		return Value{Known: true, State: state}
	}
	switch s.Kind {
	case OfSetting:
		return stands(r.State.Settings[s.of])
	case OfQuantity:
		base := r.Level(model.QuantityID(s.of))
		return Value{Known: !d.Quantities[s.of].Broken, Number: tidy((base - s.Unit.Offset().Float64()) / s.Unit.Factor().Float64())}
	case OfSupply:
		return Value{Known: !d.Supplies[s.of].Broken, Number: tidy(r.Supply(model.SupplyID(s.of)))}
	case OfMemory:
		return stands(r.State.Memories[s.of])
	case OfModes:
		return stands(r.State.Machines[s.of])
	case OfTimer:
		return stands(r.State.Clocks[s.of].Phase)
	case OfBeat:
		b := r.State.Rhythms[s.of]
		return Value{Known: !b.Unknown, State: index(b.Running && !b.Second)}
	case OfFuse:
		return Value{Known: !d.Fuses[s.of].Broken, State: index(r.Blown(s.of))}
	case OfLoad:
		return s.level(d, r)
	case OfResult:
		return first(len(d.Results[s.of].Rows), func(i int) scenario.Truth {
			return r.Is(atom(model.Atom{Kind: model.AtomResult, Index: s.of, In: []int{i}}))
		})
	case OfBands:
		return first(len(d.Bands[s.of].Bands), func(i int) scenario.Truth {
			return r.Is(atom(model.Atom{Kind: model.AtomBands, Index: s.of, In: []int{i}}))
		})
	case OfCondition:
		is := r.Is(atom(model.Atom{Kind: model.AtomCondition, Index: s.of}))
		return Value{Known: is != scenario.Unknown, State: index(is == scenario.True)}
	}
	v, ok := r.Measure(s.measure)
	return Value{Known: ok, Number: tidy(v)}
}

// runsFrom is the level of a load that names none.
var runsFrom = model.Level{Percent: ask.RunsFrom}

// level is the highest level that a load has reached.
func (s *Signal) level(d *model.Design, r *scenario.Rest) Value {
	id := model.LoadID(s.of)
	if d.Loads[s.of].Broken {
		return Value{}
	}
	if len(s.levels) == 0 {
		is := r.Is(atom(ask.AtLevel(d, id, runsFrom)))
		return Value{Known: is != scenario.Unknown, State: index(is == scenario.True)}
	}
	for k := len(s.levels) - 1; k >= 0; k-- {
		switch r.Is(atom(ask.AtLevel(d, id, d.Loads[s.of].Levels[s.levels[k]]))) {
		case scenario.True:
			return Value{Known: true, State: k + 1}
		case scenario.Unknown:
			return Value{}
		}
	}
	return Value{Known: true}
}

// first is the first of n that is true, or n if none is.
func first(n int, is func(int) scenario.Truth) Value {
	for i := range n {
		switch is(i) {
		case scenario.True:
			return Value{Known: true, State: i}
		case scenario.Unknown:
			return Value{}
		}
	}
	return Value{Known: true, State: n}
}

func atom(a model.Atom) *model.Cond { return &model.Cond{Op: model.CondAtom, Atom: a} }

func index(b bool) int {
	if b {
		return 1
	}
	return 0
}
