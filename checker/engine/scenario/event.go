package scenario

import (
	"math"
	"strconv"

	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Pace says how long things take that a design gives as an interval.
type Pace uint8

// The paces.
const (
	Middle   Pace = iota // half way between the ends
	Shortest             // all at their shortest
	Longest              // all at their longest
)

// Name is the name of the pace by itself: middle, shortest, longest.
func (p Pace) Name() string {
	return [...]string{Middle: "middle", Shortest: "shortest", Longest: "longest"}[p]
}

func (p Pace) String() string {
	return [...]string{Middle: "every duration in the middle of its interval",
		Shortest: "every duration at its shortest", Longest: "every duration at its longest"}[p]
}

func (p Pace) of(lo, hi float64) float64 {
	switch p {
	case Shortest:
		return lo
	case Longest:
		return hi
	}
	return (lo + hi) / 2
}

// ns turns seconds into nanoseconds.
func ns(seconds float64) int64 { return int64(math.Round(seconds * 1e9)) }

// EventKind says what happened.
type EventKind uint8

// The kinds, and what Index means.
const (
	EventSetting  EventKind = iota // SettingID, From, To
	EventQuantity                  // QuantityID
	EventSupply                    // SupplyID
	EventMemory                    // MemoryID, From, To
	EventMachine                   // MachineID, From, To
	EventTimer                     // TimerID, From, To
	EventBeat                      // BeatID, To
	EventFault                     // index into the faults of the step
	EventFuse                      // index into Design.Fuses: it blows
)

// Event is one thing that happened in a run.
type Event struct {
	At       int64 // ns from the start
	Kind     EventKind
	Index    int
	From, To int
	Text     string // "K1.winding pulls in"
	Step     int
}

// Failure is an expectation that was not met.
type Failure struct {
	Step, See int
	At        int64 // ns from the start
	Expected  string
	Seen      string
	Numbers   []diag.Number // the solved numbers in Seen
	Pace      Pace
	Chain     []diag.Line // why, each because of the next
	Place     diag.Place
	// Circuit is how it stood then; nil where that is not known.
	Circuit *circuit.Solution
}

// When says at what time a failure was seen, for people.
func (f Failure) When() string { return Clocktime(f.At) }

// Clocktime writes a time from the start, always in seconds, so that times that stand below each
// other compare: "2.35 s", "600 s". It is rounded to the millisecond, below 10 ms to the
// microsecond.
func Clocktime(at int64) string {
	digit := 1e6
	if at < 1e7 {
		digit = 1e3
	}
	return strconv.FormatFloat(math.Round(float64(at)/digit)*digit/1e9, 'f', -1, 64) + " s"
}

// Seconds turns nanoseconds into seconds.
func Seconds(at int64) float64 { return float64(at) / 1e9 }

// Moved reports what happens to a memory, in the words of the trade: "K1.winding pulls
// in".
func memoryText(m *model.Memory, to int) string {
	word := [...][2]string{
		model.MemCoil:      {"drops out", "pulls in"},
		model.MemArmature:  {"drops out", "pulls in"},
		model.MemThreshold: {"clears", "sets"},
		model.MemLevel:     {"reads low", "reads high"},
		model.MemPowered:   {"loses its power", "has its power"},
		model.MemFollow:    {"is no more", "comes true"},
		model.MemFuse:      {"is whole again", "blows"},
	}
	if m.MemKind == model.MemBand {
		return m.Path + " is in " + m.States[to]
	}
	return m.Path + " " + word[m.MemKind][min(to, 1)]
}

func timerText(d *model.Design, t *model.Timer, phase int) string {
	name := t.Path
	if t.Lowered {
		// A duration of a condition has no name of its own: say the condition.
		name = "(" + d.Words(t.Run) + ")"
		switch {
		case t.InLast:
			return name + [...]string{" was true too long ago", " begins to be past", " is true"}[phase]
		default:
			return name + [...]string{" has ended", " has begun", " has lasted long enough"}[phase]
		}
	}
	return name + [...]string{" is idle", " runs", " is done"}[phase]
}
