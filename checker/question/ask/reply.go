package ask

import (
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Outcome is what came of a question.
type Outcome uint8

// The outcomes.
const (
	Undecided  Outcome = iota // Why says why
	Found                     // a reachable state has it, whatever the tolerances
	FoundHere                 // one has it at nominal values, none with Corner
	FoundThere                // none has it at nominal values, one with Corner
	NotFound                  // no reachable state has it
	Ranged                    // Nominal and Within say where a measure lies
	Simplified                // Condition says when it is so
	NoState                   // no reachable state is as given
	NotThere                  // what the question names is not in this design
)

func (o Outcome) String() string {
	return [...]string{"undecided", "yes", "yes at nominal values", "no at nominal values", "no", "range", "condition", "nothing as given", "not there"}[o]
}

// Reply is the answer to one question about one design.
type Reply struct {
	Outcome Outcome
	Why     string
	Note    string // what it leaves out
	// Moves lead to the state that shows it, the fewest there are; State is that state.
	Moves, State []diag.Line
	// Corner is with which values, in words; empty: nominal ones.
	Corner string
	// Condition under which it is so, at nominal values: "always" and "never" among them. Proved
	// is set of these two where they hold whatever the tolerances.
	Condition string
	Proved    bool
	// Assumptions without which the answer would be another one.
	Assumptions []string
	Dim         unit.Dim // of the ends
	Nominal     *Ends
	Within      *Ends
}

// Ends are the ends of a range.
type Ends struct{ Low, High EndState }

// EndState is an end of a range, with the moves that lead to its state.
type EndState struct {
	Value        float64 // V, A or At
	Proved       bool    // nothing lies beyond it
	Why          string  // why that is not proved
	Corner       string
	Moves, State []diag.Line
}

// Asking is what questions about one design have in common.
type Asking struct {
	Pass   *rule.Pass
	System *system.System
	// Of puts a condition of the design into that of the system; nil: it is the same.
	Of func(*model.Cond) *model.Cond
	// Among is where what is given holds.
	Among system.Condition
	// Lines tells a trace; nil: as the system does.
	Lines func(*system.Trace) []diag.Line
	// Note says what all answers leave out; empty: nothing.
	Note string
}

// Reply answers a question, given its condition in the design.
func (a *Asking) Reply(q *Question, c *model.Cond) Reply {
	if c == nil {
		return Reply{Outcome: NotThere}
	}
	if a.Of != nil {
		c = a.Of(c)
	}
	switch v, err := a.System.PossibleHere(a.Pass.Ctx, a.Among); {
	case err != nil:
		a.Pass.StopOn(err)
	case v.Outcome == system.Fails:
		return Reply{Outcome: NoState}
	}
	var r Reply
	switch q.Kind {
	case When:
		r = a.when(system.On(c))
	case Measure:
		r = a.measure(c.Atom.Measure)
	default:
		r = a.state(system.All(system.On(c), a.Among))
	}
	r.Note = a.Note
	return r
}

func (a *Asking) state(c system.Condition) Reply {
	v, err := a.System.Possible(a.Pass.Ctx, c)
	a.Pass.StopOn(err)
	r := Reply{Assumptions: v.Assumptions}
	switch v.Outcome {
	case system.Holds:
		r.Outcome = Found
		if v.NominalOnly {
			r.Why = "within the tolerances that is undecided: " + v.Why
		}
	case system.HoldsNominally:
		// The trace of that verdict is none to a state that has it.
		r.Outcome, r.Corner = FoundHere, v.Corner
		here, err := a.System.PossibleHere(a.Pass.Ctx, c)
		a.Pass.StopOn(err)
		v.Trace = here.Trace
	case system.Unknown:
		r.Why = unreadable
		return r
	case system.Undecided:
		r.Why = v.Why
		return r
	case system.Fails:
		v, err = a.System.Never(a.Pass.Ctx, c)
		a.Pass.StopOn(err)
		switch {
		case v.Outcome == system.Holds && !v.NominalOnly:
			r.Outcome = NotFound
		case v.Outcome == system.HoldsNominally:
			r.Outcome, r.Corner = FoundThere, v.Corner
		default:
			r.Why = "at nominal values no reachable state has it; within the tolerances that is undecided"
			if v.Why != "" {
				r.Why += ": " + v.Why
			}
			return r
		}
		r.Assumptions = v.Assumptions
	}
	r.Moves, r.State = a.tell(v.Trace)
	return r
}

// tell gives the moves of a trace and how things stand at its end.
func (a *Asking) tell(t *system.Trace) (moves, state []diag.Line) {
	if t == nil {
		return nil, nil
	}
	lines := t.Lines()
	if a.Lines != nil {
		lines = a.Lines(t)
	}
	if len(lines) == 0 {
		lines = []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	for _, text := range t.Stands() {
		if !strings.Contains(text, "!") { // what a fault is made of in the system; no name holds one
			state = append(state, diag.Line{Text: text})
		}
	}
	return lines, state
}

func (a *Asking) when(c system.Condition) Reply {
	got := Simplify(a.Pass, a.System, c, a.Among)
	if got.Text == "" || strings.Contains(got.Text, "!") {
		return Reply{Why: "no condition that is short enough to be read says it, or something that it depends on could not be read or never settles"}
	}
	return Reply{Outcome: Simplified, Condition: got.Text, Proved: got.Proved, Corner: got.Corner}
}

func (a *Asking) measure(m model.Measure) Reply {
	here, within := Range(a.Pass, a.System, m, a.Among)
	switch {
	case here.Open != "":
		return Reply{Why: here.Open}
	case here.Empty:
		return Reply{Outcome: NoState}
	}
	end := func(e End) EndState {
		moves, state := a.tell(e.Trace)
		return EndState{Value: e.Value, Proved: e.Proved, Why: e.Why, Corner: e.Corner, Moves: moves, State: state}
	}
	r := Reply{
		Outcome: Ranged, Dim: unit.Voltage,
		Nominal: &Ends{end(here.Low), end(here.High)}, Within: &Ends{end(within.Low), end(within.High)},
	}
	if m.Kind == model.Amps {
		r.Dim = unit.Current
	}
	return r
}

// Value writes an end as people read it: with its unit, to the digits that are shown everywhere.
func (r *Reply) Value(x float64) string { return unit.Format(x, r.Dim) }
