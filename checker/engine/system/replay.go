package system

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// AsDrive writes a trace as a drive that goes the same way, with the supplies set first
// where they are not nominal. What a drive cannot do exactly as the trace does is listed
// in the second result: a spring-loaded position that is held while something else is
// set, a contact made `sometimes` that is made, or a duration that need not be in the middle
// of its interval. Then the drive need
// not come to the same end.
//
// Settings are set, and so are quantities where something is being timed, at the times of
// the schedule; otherwise a quantity with a fastest rate is ramped at that rate.
func (t *Trace) AsDrive(name string) (model.Drive, []string) { return t.asDrive(name, false) }

// AsMoves is AsDrive for a run in which everything stays where it was put until it is moved
// again (drive.Options.InHand), as it does in a trace: no spring-loaded position is lost.
func (t *Trace) AsMoves(name string) (model.Drive, []string) { return t.asDrive(name, true) }

func (t *Trace) asDrive(name string, held bool) (model.Drive, []string) {
	w := &driveWriter{t: t, held: held, s: t.System, drive: model.Drive{Info: model.Info{Path: name, Name: name, Kind: "drive", Fit: model.None}, After: model.None}}
	w.timed = w.isTimed()
	w.setCorner()
	w.begin()
	w.raced(t.Races)
	for _, c := range t.coincidences() {
		w.note(c)
	}
	for _, m := range t.moves() {
		w.move(m)
		for i := m.first; i <= m.last; i++ {
			w.raced(t.Steps[i].Races)
		}
	}
	w.flush()
	return w.drive, w.inexact
}

type driveWriter struct {
	t       *Trace
	s       *System
	drive   model.Drive
	step    model.Step
	used    bool  // step holds something
	passed  bool  // time passes in step: nothing can be set in it any more
	now     int64 // ns from the start, as the schedule counts
	timed   bool
	held    bool // what is set stays in hand until it is moved again
	inexact []string
}

// isTimed reports whether clocks or beats run in the trace, so that times matter.
func (w *driveWriter) isTimed() bool {
	timed := w.t.Timed
	for _, v := range w.t.Vars {
		r := w.s.role(v)
		switch r.Kind {
		case RoleTimer, RoleTimerHelp:
			timed = true
			for _, c := range w.s.d.Timers[r.Index].Cases {
				if c.Min != c.Max {
					w.note(w.s.d.Timers[r.Index].Path + " lasts an interval; the drive takes its middle")
				}
			}
		case RoleBeat, RoleBeatHalf:
			timed = true
		}
	}
	return timed
}

// setCorner sets the supplies that the trace takes to be otherwise than nominal.
func (w *driveWriter) setCorner() {
	k := w.s.opts.Corner
	for i, info := range w.s.circuit.Params() {
		x, set := k.Value(circuit.ParamID(i))
		if !set || x == info.Nominal {
			continue
		}
		if info.Kind != circuit.SupplyVolts {
			w.note("a drive cannot set " + w.s.paramName(circuit.ParamID(i)))
			continue
		}
		n := new(big.Rat).SetFloat64(x)
		if n == nil {
			continue
		}
		volts := unit.FromBase(unit.FromRat(n), unit.Voltage.Base())
		w.set(model.SetAction{Setting: model.None, Quantity: model.None, Supply: info.Supply, Value: volts})
	}
	if k.Cold() {
		w.note("a drive runs with warm filaments")
	}
}

// raced notes that what follows depends on the order of changes, of which a drive takes one.
func (w *driveWriter) raced(is bool) {
	if is {
		w.note("what comes first of things that move at once decides; a drive takes one order")
	}
}

// begin notes what a drive can't begin with: in it no contact made `sometimes` is made.
func (w *driveWriter) begin() {
	for _, v := range w.t.Vars {
		if r := w.s.role(v); r.Kind == RoleFree && w.t.Start[v] == 1 {
			w.note(w.s.d.Elements[r.Index].Path + " is made at first; a drive cannot say so")
		} else if r.Kind == RoleShorted {
			w.note("a drive can't say what " + w.s.d.Readings[r.Index].Path + " reads while its wire is shorted")
		}
	}
}

func (w *driveWriter) note(text string) {
	for _, n := range w.inexact {
		if n == text {
			return
		}
	}
	w.inexact = append(w.inexact, text)
}

// flush ends the step. What was set by hand in it springs back.
func (w *driveWriter) flush() {
	if !w.used {
		return
	}
	w.drive.Steps = append(w.drive.Steps, w.step)
	w.step, w.used, w.passed = model.Step{}, false, false
	w.step.Info.Fit = model.None
}

func (w *driveWriter) move(m move) {
	st := &w.t.Steps[m.first].Move
	last := &w.t.Steps[m.last].Move
	if w.t.Schedule != nil && w.timed && m.last < len(w.t.Schedule.At) {
		w.wait(w.t.Schedule.At[m.last])
	}
	if st.Kind == reach.MoveIdle {
		w.used = true // modes step in a step of a drive only
	}
	if st.Kind != reach.MoveInput {
		return
	}
	switch r := w.s.role(st.Var); r.Kind {
	case RoleSetting:
		if w.s.springsPast(r.Index, st.From, st.To) {
			w.note(w.s.d.Settings[r.Index].Path + " springs back at once; a drive goes by the positions between")
		}
		w.set(model.SetAction{Setting: model.SettingID(r.Index), Position: last.To, Quantity: model.None, Supply: model.None})
	case RoleQuantity:
		q := model.QuantityID(r.Index)
		to := w.s.axes[q].Value(last.To)
		rate := w.s.d.Quantities[q].Rate
		if w.timed || !(rate > 0) {
			w.set(model.SetAction{Setting: model.None, Quantity: q, Supply: model.None, Value: to})
			return
		}
		from := w.standing(m.first, q)
		w.flushHeld()
		seconds := to.N.Sub(from.N).Abs().Float64() / rate
		w.step.Ramps = append(w.step.Ramps, model.Ramp{Quantity: q, To: to, Seconds: roundUp(seconds)})
		w.used = true
		w.flush()
	case RoleFree:
		w.note(w.s.d.Elements[r.Index].Path + " is made at some times; a drive cannot say when")
	}
}

// standing is where the drive has left a quantity before step i of the trace.
func (w *driveWriter) standing(i int, q model.QuantityID) unit.Value {
	v := w.s.QuantityVar(q)
	for k := i - 1; k >= 0; k-- {
		if m := w.t.Steps[k].Move; m.Kind == reach.MoveInput && m.Var == v {
			return w.s.axes[q].Value(m.To)
		}
	}
	return w.s.d.Quantities[q].Start
}

// set adds an action to the step, or to a new one where time has passed in it already.
func (w *driveWriter) set(a model.SetAction) {
	if w.passed {
		w.flushHeld()
	}
	w.step.Sets = append(w.step.Sets, a)
	w.used = true
}

// flushHeld ends the step in the middle of things: a position that springs back is lost
// although the trace holds it.
func (w *driveWriter) flushHeld() {
	for _, a := range w.step.Sets {
		if a.Setting == model.None || w.held {
			continue
		}
		for _, sp := range w.s.d.Settings[a.Setting].Springs {
			if sp.From == a.Position {
				w.note(w.s.d.Settings[a.Setting].Path + " would have to be held in " + w.s.d.Settings[a.Setting].Positions[a.Position])
			}
		}
	}
	w.flush()
}

// wait lets time pass up to a time of the schedule.
func (w *driveWriter) wait(until int64) {
	if until <= w.now {
		return
	}
	w.step.Wait += float64(until-w.now) / 1e9
	w.now = until
	w.used, w.passed = true, true
}

// roundUp makes a time of a ramp one that reads well and is no shorter: whole
// milliseconds.
func roundUp(seconds float64) float64 {
	ms := int64(seconds * 1000)
	if float64(ms) < seconds*1000 {
		ms++
	}
	return float64(max(ms, 1)) / 1000
}

// DriveText writes a drive in the language.
func DriveText(d *model.Design, v *model.Drive) string {
	var b strings.Builder
	head := make([]string, len(v.Choices))
	for i, c := range v.Choices {
		head[i] = " with " + c.Option + " is " + c.Position
	}
	fmt.Fprintf(&b, "drive %s:%s {\n", v.Name, strings.Join(head, ","))
	for i := range v.Steps {
		b.WriteString("    step: ")
		b.WriteString(strings.Join(stepClauses(d, &v.Steps[i]), ", "))
		b.WriteByte('\n')
	}
	b.WriteString("}\n")
	return b.String()
}

func stepClauses(d *model.Design, st *model.Step) []string {
	var out []string
	for _, a := range st.Sets {
		switch {
		case a.Setting != model.None:
			k := &d.Settings[a.Setting]
			out = append(out, "set "+k.Path+" "+k.Positions[a.Position])
		case a.Quantity != model.None:
			out = append(out, "set "+d.Quantities[a.Quantity].Path+" "+a.Value.String())
		case a.Supply != model.None:
			out = append(out, "set "+d.Supplies[a.Supply].Path+" "+a.Value.String())
		}
	}
	for _, r := range st.Ramps {
		out = append(out, "ramp "+d.Quantities[r.Quantity].Path+" to "+r.To.String()+" over "+duration(nanoseconds(r.Seconds)))
	}
	if st.Wait > 0 {
		out = append(out, "wait "+duration(nanoseconds(st.Wait)))
	}
	for _, s := range st.Sees {
		text := "see " + d.Words(s.Cond)
		switch s.When {
		case model.Throughout:
			text += " throughout"
		case model.Once:
			text += " once " + d.Words(s.Once)
		default:
			text += " at end"
		}
		out = append(out, text)
	}
	return out
}

// rampText is a move of a quantity as a clause of a drive.
func (t *Trace) rampText(m move) string {
	s := t.System
	st := &t.Steps[m.last].Move
	r := s.role(st.Var)
	return "set " + s.d.Quantities[r.Index].Path + " " + s.axes[r.Index].Value(st.To).String()
}

// waitText is the time that passes in a move, as a clause of a drive.
func (t *Trace) waitText(m move) string {
	if t.Schedule == nil || m.last >= len(t.Schedule.At) {
		return ""
	}
	from := int64(0)
	if m.first > 0 {
		from = t.Schedule.At[m.first-1]
	}
	if d := t.Schedule.At[m.last] - from; d > 0 {
		return "wait " + duration(d)
	}
	return ""
}

// duration writes a time in nanoseconds without rounding it.
func duration(ns int64) string {
	word, scale := "s", int64(time.Second)
	if ns < scale {
		word, scale = "ms", int64(time.Millisecond)
	}
	u, _ := unit.Lookup(word)
	return unit.New(unit.Ratio(ns, scale), u).String()
}
