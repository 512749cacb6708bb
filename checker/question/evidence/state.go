package evidence

import (
	"fmt"
	"math/big"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Solved is a solved state that evidence speaks of: numbers and ways that are read off it
// carry what it takes to solve them again.
type Solved struct {
	*circuit.Solution
	d      *model.Design
	trace  *system.Trace
	faults circuit.Overlay
	only   []circuit.Switch
	state  *diag.State
}

// Only says that nothing is known of how switches stand but of these.
func (s *Solved) Only(switches []circuit.Switch) *Solved {
	s.only = switches
	return s
}

// At is the state that a trace leads to, with its circuit solved. The trace may be nil: then
// nothing is said of how the state is come to. Faults are those of the circuit.
func At(d *model.Design, t *system.Trace, s *circuit.Solution, faults ...model.FaultAction) *Solved {
	return &Solved{Solution: s, d: d, trace: t, faults: faults}
}

// State is the state as plain data.
func (s *Solved) State() *diag.State {
	if s.state != nil {
		return s.state
	}
	st := &diag.State{}
	if s.trace != nil {
		*st = *StateOf(s.trace)
	}
	st.Corner, st.Cold = s.Circuit().Open(s.Corner())
	if s.faults != nil {
		st.Faults = circuit.PlainFaults(s.faults)
	}
	st.Switches = s.Stands(s.only)
	for _, i := range s.opened() { // a trace is silent about fuses that its claim does not depend on
		if !slices.Contains(st.Blown, i) {
			st.Blown = append(st.Blown, i)
		}
	}
	s.state = st
	return st
}

// opened lists the fuses, by index in Design.Fuses, that have blown in the solved state: in a
// design in which that is remembered, which the design by itself does not do.
func (s *Solved) opened() (out []int) {
	for i := range s.d.Memories {
		m := &s.d.Memories[i]
		if m.MemKind != model.MemFuse {
			continue
		}
		e := int(s.d.Fuses[m.Of].Element)
		if slices.ContainsFunc(s.Stands(s.only), func(v diag.Event) bool { return v.Index == e && v.To == 0 }) {
			out = append(out, m.Of)
		}
	}
	return out
}

// Through is the current in an element.
func (s *Solved) Through(e model.ElementID) diag.Number {
	return s.Of(model.Measure{Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None}, s.Amps(e))
}

// Over is the voltage between two nodes: 0 where there is none.
func (s *Solved) Over(a, b model.NodeID) diag.Number {
	u, _ := s.Between(a, b)
	return s.Of(model.Measure{Kind: model.AbsVolts, A: a, B: b, Element: model.None, Load: model.None}, u)
}

// Across is the voltage across an element.
func (s *Solved) Across(e model.ElementID) diag.Number {
	x := s.Circuit().Element(e)
	return s.Over(x.A, x.B)
}

// Of is the value that a measure has been found to have.
func (s *Solved) Of(m model.Measure, value float64) diag.Number {
	n := circuit.Number(m, value)
	n.State = s.State()
	return n
}

// Path tells a way of a current, element by element, with the current in each.
func (s *Solved) Path(title string, way []circuit.Step) diag.Evidence {
	out := diag.Evidence{Kind: diag.Path, Title: title, State: s.State()}
	for _, st := range way {
		e := s.Circuit().Element(st.Element)
		from, to := e.A, e.B
		if st.Reverse {
			from, to = to, from
		}
		out.Lines = append(out.Lines, Line(&e.Info, "%s: %s to %s, %s", e.Path, s.d.Nodes[from].Path, s.d.Nodes[to].Path, s.Through(st.Element)))
	}
	return out
}

// StateOf is the state that a trace leads to, as plain data; how its switches stand is not
// said.
func StateOf(t *system.Trace) *diag.State {
	drive, near := t.AsMoves("moves")
	st := &diag.State{Moves: Moved(&drive), Near: near, Faults: circuit.PlainFaults(t.System.Faults()),
		Senders: Off(t.System.Design(), t.System.Offsets())}
	for _, l := range t.Lines() {
		st.Order = append(st.Order, l.Events...)
	}
	st.Corner, st.Cold = t.System.Circuit().Open(t.System.Corner())
	st.Blown = t.Blown()
	return st
}

// Moved are the moves of a drive as plain data. What a drive sets of a supply is no move: it
// is in the corner.
func Moved(v *model.Drive) []diag.Move {
	out := []diag.Move{}
	for i := range v.Steps {
		st := &v.Steps[i]
		for _, f := range circuit.PlainFaults(st.Faults) {
			out = append(out, diag.Move{Kind: diag.MoveFault, Index: model.None, Fault: f, Step: i})
		}
		for _, a := range st.Sets {
			switch {
			case a.Setting != model.None:
				out = append(out, diag.Move{Kind: diag.MoveSetting, Index: int(a.Setting), To: a.Position, Step: i})
			case a.Quantity != model.None:
				out = append(out, diag.Move{Kind: diag.MoveQuantity, Index: int(a.Quantity), Level: a.Value.N.Rat().String(), Step: i})
			}
		}
		for _, r := range st.Ramps {
			out = append(out, diag.Move{Kind: diag.MoveRamp, Index: int(r.Quantity), Level: r.To.N.Rat().String(), Seconds: r.Seconds, Step: i})
		}
		if st.Wait > 0 || len(st.Faults)+len(st.Sets)+len(st.Ramps) == 0 { // in a step modes go on, whatever it does
			out = append(out, diag.Move{Kind: diag.MoveWait, Index: model.None, Seconds: st.Wait, Step: i})
		}
	}
	return out
}

// DriveOf is what Moved was made of.
func DriveOf(d *model.Design, moves []diag.Move) (model.Drive, error) {
	v := model.Drive{Info: model.Info{Path: "moves", Name: "moves", Kind: "drive", Fit: model.None}, After: model.None}
	last := -1
	for _, m := range moves {
		if m.Step != last {
			v.Steps = append(v.Steps, model.Step{Info: model.Info{Fit: model.None}})
			last = m.Step
		}
		st := &v.Steps[len(v.Steps)-1]
		level := func() (unit.Value, error) {
			r, ok := new(big.Rat).SetString(m.Level)
			if !ok || m.Index < 0 || m.Index >= len(d.Quantities) {
				return unit.Value{}, fmt.Errorf("evidence: %q is no level of a quantity", m.Level)
			}
			return unit.FromBase(unit.FromRat(r), d.Quantities[m.Index].Lo.Unit), nil
		}
		switch m.Kind {
		case diag.MoveSetting:
			st.Sets = append(st.Sets, model.SetAction{Setting: model.SettingID(m.Index), Position: m.To, Quantity: model.None, Supply: model.None})
		case diag.MoveQuantity:
			to, err := level()
			if err != nil {
				return v, err
			}
			st.Sets = append(st.Sets, model.SetAction{Setting: model.None, Quantity: model.QuantityID(m.Index), Supply: model.None, Value: to})
		case diag.MoveRamp:
			to, err := level()
			if err != nil {
				return v, err
			}
			st.Ramps = append(st.Ramps, model.Ramp{Quantity: model.QuantityID(m.Index), To: to, Seconds: m.Seconds})
		case diag.MoveWait:
			st.Wait += m.Seconds
		case diag.MoveFault:
			st.Faults = append(st.Faults, circuit.FaultsOf([]diag.Fault{m.Fault})...)
		default:
			return v, fmt.Errorf("evidence: a move of the kind %q", m.Kind)
		}
	}
	return v, nil
}

// Off lists the senders that are off.
func Off(d *model.Design, o model.Offsets) (out []diag.Inexact) {
	for i := range d.Senders {
		if by := o.Of(model.SenderID(i)); by.Sign() != 0 {
			out = append(out, diag.Inexact{Sender: i, By: by.Rat().RatString()})
		}
	}
	return out
}

// OffsetsOf are by how much senders are off in a state.
func OffsetsOf(st *diag.State) (out model.Offsets) {
	for _, o := range st.Senders {
		if r, ok := new(big.Rat).SetString(o.By); ok {
			out = out.With(model.SenderID(o.Sender), unit.FromRat(r))
		}
	}
	return out
}

// CornerOf is the corner of a state.
func CornerOf(st *diag.State) circuit.Corner {
	k := circuit.Nominal.WithCold(st.Cold)
	for _, o := range st.Corner {
		k = k.With(circuit.ParamID(o.Param), o.Value)
	}
	return k
}
