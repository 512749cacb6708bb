package replay

import (
	"pintle/lang/unit"
)

// Result is what a recording shows of a design.
type Result struct {
	Columns []Mapped
	// Unmapped are columns that are no thing; Unrecorded inputs without a column, which are
	// taken anywhere in their range or in any position; Held those that are said to stay.
	Unmapped, Unrecorded, Held []string
	// Separator and HeaderLine are how the table was read.
	Separator  string
	HeaderLine int

	Rows     int64
	From, To int64 // ns, as recorded
	Length   int64 // ns, with the clock running on where it runs back
	// Notes say what is odd about the recording, in sentences.
	Notes []string
	// Lost says from which line on the description was no longer followed, and why.
	Lost string

	Stories    []Story
	Departures []Departure // the first mostDepartures of them, in the order of their beginnings
	All        int64       // how many there are
	Short      int64       // departures that did not last longer than Within
	Points     []Point
	// Unattributed counts changes of a recorded state that no one quantity explains.
	Unattributed int64
}

// Mapped is a column and its thing.
type Mapped struct {
	Column, Thing string
	Input         bool
	Missing       int64  // rows without a value
	Unit          string // of numbers
}

// Departure is a stretch in which a column is not as described.
type Departure struct {
	Column, Thing      string
	Line               int   // in which it begins
	From, Last         int64 // ns: the first row that departs, and the last one in a row
	To                 int64 // the first that agrees again, or the end
	Expected, Recorded string
}

// Story is all departures of one kind.
type Story struct {
	Column, Thing      string
	Expected, Recorded string
	Count              int64
	Total              int64 // ns, of all
	First, Longest     Departure
	Explained          *Explained
}

// Explained is which single faults would explain the first departure of a story.
type Explained struct {
	// Groups are faults of one effect each, in words.
	Groups [][]string
	// Tried counts faults; Of is how many there are.
	Tried, Of int
	// From and To are the stretch that was looked at, ns.
	From, To int64
	// Open are faults of which it could not be found out, and why.
	Open []string
}

// Verdict is how a point lies to the description.
type Verdict uint8

// The verdicts.
const (
	TooFew Verdict = iota
	Covered
	Shifted
)

func (v Verdict) String() string { return [...]string{"too few passes", "covered", "shifted"}[v] }

// Point is a value of a quantity at which a recorded state changes.
type Point struct {
	Column, Thing string
	From, To      string // the states
	Quantity      string
	Rising        bool
	// By says what of the design changes there: "B1.hot sets"; Described is where, Slack how
	// far accuracies allow the recorded point to lie from it. Base units.
	By               string
	Described, Slack float64
	Unit             unit.Unit

	Passes int
	// Low to High covers the point with Confidence, from 0 to 1; Middle is the median of the
	// passes. Base units.
	Low, High, Middle float64
	Confidence        float64
	Verdict           Verdict
}

// Seconds is how long the recording is.
func (r *Result) Seconds() float64 { return float64(r.Length) / 1e9 }

// Agrees reports whether the recording is as described throughout.
func (r *Result) Agrees() bool { return len(r.Stories) == 0 && r.Lost == "" }
