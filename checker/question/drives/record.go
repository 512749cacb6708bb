package drives

import (
	"math"
	"slices"
	"strconv"

	"pintle/checker/engine/scenario"
	"pintle/lang/model"
)

// Recording is what a run did with all signals.
type Recording struct {
	Signals []Signal
	Samples []Sample // in the order in which they were taken: several may be at one time
	design  *model.Design
}

// Sample are the values of all signals at one settled moment.
type Sample struct {
	At     int64 // ns from the start
	Step   int   // from 0
	Values []Value
	events int // how many events there were before it
}

// newRecording records everything that changes, and what else is to be shown.
func newRecording(d *model.Design, show []Signal) *Recording {
	return &Recording{Signals: append(Signals(d), show...), design: d}
}

// take takes a sample; of moments at one time that are alike the first is enough.
func (c *Recording) take(r *scenario.Rest) {
	s := Sample{At: r.State.At, Step: r.Step, Values: make([]Value, len(c.Signals)), events: r.Told}
	for i := range c.Signals {
		s.Values[i] = c.Signals[i].at(c.design, r)
	}
	if n := len(c.Samples); n > 0 && c.Samples[n-1].At == s.At && c.Samples[n-1].Step == s.Step && slices.Equal(c.Samples[n-1].Values, s.Values) {
		return
	}
	c.Samples = append(c.Samples, s)
}

// Text is a value in words: the name of a state, or a number without its unit; "?" where it is
// not known.
func (s *Signal) Text(v Value) string {
	switch {
	case !v.Known:
		return "?"
	case s.Number():
		return strconv.FormatFloat(v.Number, 'g', -1, 64)
	}
	return s.States[v.State]
}

// shownDigits are enough for any meter, and leave the rounding of a solution out.
const shownDigits = 9

// tidy leaves the rounding of a solution out.
func tidy(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', shownDigits, 64), 64)
	return out
}

// events are those of a run, with what loads, results and bands without memory do.
func events(own []scenario.Event, rec *Recording) []Event {
	var out []Event
	told := 0
	upTo := func(n int) {
		for ; told < n; told++ {
			e := &own[told]
			next := Event{At: e.At, Step: e.Step, Kind: kindOf(e.Kind), Text: e.Text}
			// Two conditions that are alike last alike: that is told once.
			if e.Text != "" && (len(out) == 0 || out[len(out)-1] != next) {
				out = append(out, next)
			}
		}
	}
	if rec != nil {
		for k := 1; k < len(rec.Samples); k++ {
			was, is := &rec.Samples[k-1], &rec.Samples[k]
			upTo(min(is.events, len(own)))
			for i := range rec.Signals {
				s := &rec.Signals[i]
				if from, to := was.Values[i], is.Values[i]; from != to && (s.Kind == OfLoad || s.Kind == OfResult || s.Kind == OfBands) {
					out = append(out, Event{At: is.At, Step: is.Step, Kind: s.Kind.String(), Text: s.becomes(to)})
				}
			}
		}
	}
	upTo(len(own))
	return out
}

// becomes says what a load, a result or bands have come to.
func (s *Signal) becomes(v Value) string {
	switch {
	case !v.Known:
		return "it is not known what " + s.Path + " is"
	case s.Kind == OfLoad && v.State == 0 && s.levels != nil:
		return s.Path + " is not " + s.States[1]
	case s.Kind == OfResult && v.State == len(s.States)-1:
		return "no row of " + s.Path + " is true"
	case s.Kind == OfBands && v.State == len(s.States)-1:
		return s.Path + " is in none of its bands"
	case s.Kind == OfBands:
		return s.Path + " is in " + s.States[v.State]
	}
	return s.Path + " is " + s.States[v.State]
}

func kindOf(k scenario.EventKind) string {
	return [...]string{
		scenario.EventSetting: "setting", scenario.EventQuantity: "quantity", scenario.EventSupply: "supply", scenario.EventMemory: "memory",
		scenario.EventMachine: "modes", scenario.EventTimer: "timer", scenario.EventBeat: "beat", scenario.EventFault: "fault", scenario.EventFuse: "fuse",
	}[k]
}
