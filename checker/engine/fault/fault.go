package fault

import (
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Fault is one single fault of a design.
type Fault struct {
	// Words names it: "W3 broken", "K1.main welded", "H1 off".
	Words string
	// Event says that it comes: "W3 breaks".
	Event string
	// Subject is the path of the thing that fails, Place where it is declared.
	Subject string
	Place   diag.Place
	// Actions make it, as in a drive.
	Actions circuit.Overlay
	// Declared is set for what the design declares as a `fault`.
	Declared bool
}

// Step is the fault as clauses of a step of a drive: "fail W3 open".
func (f *Fault) Step() string {
	var out []string
	for _, a := range f.Actions {
		switch {
		case a.Mend:
			out = append(out, "mend "+a.Thing.Path)
		case a.Mode == model.FaultSwapped:
			out = append(out, "swap "+a.Thing.Path+" with "+a.Other.Path)
		default:
			out = append(out, "fail "+a.Thing.Path+" "+string(a.Mode))
		}
	}
	return strings.Join(out, ", ")
}

// simple makes the fault of one thing.
func simple(kind model.ThingKind, index int, i *model.Info, mode model.FaultMode) Fault {
	return Fault{
		Words: i.Path + " " + mode.State(), Event: i.Path + " " + mode.Event(), Subject: i.Path, Place: i.Place,
		Actions: circuit.Overlay{{Thing: model.Thing{Kind: kind, Index: index, Path: i.Path}, Mode: mode, Place: i.Place}},
	}
}
