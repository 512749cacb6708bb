package settings

import (
	"fmt"
	"strings"

	"pintle/lang/unit"
)

// Limits are the numbers that rules and engines measure against. The zero value
// is not useful; start from [DefaultLimits].
type Limits struct {
	// FeedDrop and GroundDrop bound the voltage lost between a supply and a load
	// on either side of it.
	FeedDrop, GroundDrop Drop
	// WireTable names the table that gives the rated current of a wire by its
	// cross-section, unless Wiring.WireAmps does.
	WireTable string
	Wiring
	// Nodes bounds the decision nodes alive at once while states are searched,
	// Zones the timed states of one exact search in time. A question that meets
	// one of them is undecided.
	Nodes, Zones int
	// Steps bounds the states of switches that are looked at for answers of circuits that
	// bounds do not give, times the elements of each circuit, in one design.
	Steps int
	// Work bounds all that is counted of the work on one design, in steps; see package budget.
	// Time, in seconds, and Memory, in MB that the program holds, bound what is not counted:
	// where one of them ends the work depends on the machine.
	Work, Time, Memory int
	// Faults bounds the single faults, of different effect, that are tried of a design.
	Faults int
}

// DefaultLimits are those that hold without a settings file.
func DefaultLimits() Limits {
	return Limits{
		// Common practice, no standard: no more than 5 % on the way to a load, and
		// 0.3 V on the way back, which is what workshop manuals allow a starter.
		FeedDrop:   Drop{Percent: 5},
		GroundDrop: Drop{Volts: 0.3},
		WireTable:  "thin-wall",
		Wiring:     DefaultWiring(),
		Nodes:      4_000_000,
		Zones:      20_000,
		Steps:      20_000_000,
		Work:       1_000_000_000,
		Time:       300,
		Memory:     2000,
		Faults:     400,
	}
}

// Drop is a bound on lost voltage: a share of the nominal volts of the supply, or
// volts. Exactly one of the two is set.
type Drop struct {
	Percent float64
	Volts   float64
}

// Of returns the bound in volts for a supply of the given nominal volts.
func (d Drop) Of(nominal float64) float64 {
	if d.Volts != 0 {
		return d.Volts
	}
	return nominal * d.Percent / 100
}

// String writes it as it is written in the settings file.
func (d Drop) String() string {
	if d.Volts != 0 {
		return unit.Format(d.Volts, unit.Voltage)
	}
	return unit.Format(d.Percent, unit.Percentage)
}

// UnmarshalText reads "3 %" or "0.5 V".
func (d *Drop) UnmarshalText(text []byte) error {
	wrong := fmt.Errorf("%q is no bound on lost voltage; write a share such as \"3 %%\" or volts such as \"0.5 V\"", text)
	number, word, ok := strings.Cut(strings.TrimSpace(string(text)), " ")
	if !ok {
		return wrong
	}
	n, err := unit.ParseNum(number)
	if err != nil || n.Sign() <= 0 {
		return wrong
	}
	u, ok := unit.Lookup(strings.TrimSpace(word))
	if !ok {
		return wrong
	}
	switch v := unit.New(n, u).Float64(); u.Dim {
	case unit.Percentage:
		*d = Drop{Percent: v}
	case unit.Voltage:
		*d = Drop{Volts: v}
	default:
		return wrong
	}
	return nil
}
