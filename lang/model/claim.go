package model

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/failure"
	"pintle/lang/unit"
)

// AssumptionKind is the form of an assumption.
type AssumptionKind uint8

// The forms.
const (
	AssumeFalls  AssumptionKind = iota // Quantity falls only while Cond
	AssumeRises                        // Quantity rises only while Cond
	AssumeMoves                        // Setting moves to Position only while Cond
	AssumeNever                        // Cond, over inputs, never true
	AssumeAlways                       // Cond, over inputs, always true
)

// Assumption is what the surroundings never do.
type Assumption struct {
	Info
	Form     AssumptionKind
	Quantity QuantityID
	Setting  SettingID
	Position int
	Cond     *Cond
}

// RequireKind is the form of a requirement.
type RequireKind uint8

// The forms.
const (
	Never RequireKind = iota
	Always
	Whenever // A whenever B
	Possible
	Within  // A within T whenever B
	Repeats // A repeats within T, while B unless that is nil
	Apart   // nodes X and Y never joined
)

// Requirement is a claim on the whole design.
type Requirement struct {
	Info
	Text    string
	Form    RequireKind
	A, B    *Cond
	Seconds float64
	Time    unit.Value
	X, Y    NodeID
	// Despite is set for one that is to hold with faults as well; With says with which.
	Despite      bool
	With         FaultChoice
	DespitePlace diag.Place
}

// FaultChoice says with which faults a requirement is to hold: with any one, with any two,
// or with each of some that are named.
type FaultChoice struct {
	// Two: any one and any two faults.
	Two bool
	// Only are the faults that are named, one at a time; nil: all.
	Only []NamedFault
	// But are those that are left out.
	But []NamedFault
}

// NamedFault is a fault that a claim names.
type NamedFault struct {
	Words   string // as it is written
	Actions []FaultAction
	// Declared is the index of a declared fault, or None.
	Declared int
	Place    diag.Place
}

// String is the choice as it is written: "any one fault but F1 blown".
func (c *FaultChoice) String() string {
	list := func(fs []NamedFault) string {
		words := make([]string, len(fs))
		for i := range fs {
			words[i] = fs[i].Words
		}
		return strings.Join(words, ", ")
	}
	switch {
	case c.Two:
		return "any two faults"
	case c.Only != nil:
		return list(c.Only)
	case c.But != nil:
		return "any one fault but " + list(c.But)
	}
	return "any one fault"
}

// Drive is a scenario in real time.
type Drive struct {
	Info
	Text    string
	Choices []Choice // that it is for; empty: any
	After   int      // index of the drive from whose end it goes on, or None
	Steps   []Step   // none in a design of other options than it is for
}

// Step of a drive.
type Step struct {
	Info
	Sets   []SetAction
	Ramps  []Ramp
	Wait   float64 // seconds, 0: none
	Sees   []See
	Faults []FaultAction
}

// SetAction puts an input somewhere at once.
type SetAction struct {
	Setting  SettingID // None
	Position int
	Quantity QuantityID // None
	Supply   SupplyID   // None
	Value    unit.Value
	Place    diag.Place
}

// Ramp moves a quantity linearly.
type Ramp struct {
	Quantity QuantityID
	To       unit.Value
	Seconds  float64
	Place    diag.Place
}

// SeeWhen says when a condition must be seen.
type SeeWhen uint8

// The forms.
const (
	AtEnd SeeWhen = iota
	Throughout
	Once // from when Once first holds
)

// See is an expectation.
type See struct {
	Cond  *Cond
	When  SeeWhen
	Once  *Cond
	Place diag.Place
	Text  string // as written
}

// FaultMode is a mode in which a thing fails; package failure says which kinds of things
// fail in it.
type FaultMode = failure.Mode

// The modes by the names that the engines use.
const (
	FaultOpen      = failure.Open
	FaultShorted   = failure.Shorted
	FaultToGround  = failure.ToGround
	FaultToFeed    = failure.ToFeed
	FaultOff       = failure.Off
	FaultBlown     = failure.Blown
	FaultStuckMade = failure.StuckMade
	FaultStuckOn   = failure.StuckOn
	FaultStuckOff  = failure.StuckOff
	FaultStuckOpen = failure.StuckOpen
	FaultStuckShut = failure.StuckShut
	FaultSilent    = failure.Silent
	FaultStuck     = failure.Stuck
	FaultSwapped   = failure.Swapped
)

// ThingKind reports which table a Thing indexes.
type ThingKind uint8

// Tables that faults and acceptances point into.
const (
	ThingNone ThingKind = iota
	ThingElement
	ThingConnector
	ThingPassage
	ThingContact
	ThingDriver
	ThingSender
	ThingOther
)

// Thing points at something by table and index.
type Thing struct {
	Kind  ThingKind
	Index int
	Path  string
}

// FaultAction makes something fail, swaps two connectors, or mends.
type FaultAction struct {
	Thing Thing
	Other Thing // the second connector of a swap
	Mode  FaultMode
	Mend  bool
	Place diag.Place
}

// Fault is a fault that a design declares beyond the generated ones.
type Fault struct {
	Info
	Text    string
	Actions []FaultAction
}

// Symptom is what a driver or tester notices.
type Symptom struct {
	Info
	Text string
	Cond *Cond
}

// Notice claims that faults are noticed.
type Notice struct {
	Info
	// Of is the path of the thing of which each single fault is meant, but for But; "" for
	// those of Only.
	Of        string
	But, Only []NamedFault
	// Shows is what then shows, nil for nothing; Symptoms the indices of those among it.
	Shows    *Cond
	Symptoms []int
	// Refuses is what then no longer comes while Before holds; nil: nothing is said to be refused.
	Refuses *Cond
	// Before is by when it has shown: when this next comes; nil: at once.
	Before      *Cond
	FaultsPlace diag.Place
}

// Acceptance takes one rule's finding on one thing, with a reason.
type Acceptance struct {
	Rule      string
	On        string // path; "" for the design
	Reason    string
	Until     string // "2027-06-30" or ""
	Place     diag.Place
	RulePlace diag.Place
}
