package ide

import (
	"pintle/lang/name"
	"pintle/lang/schema"
)

// State is a word that may stand behind `is`.
type State struct {
	Word string
	Doc  string
	Def  *name.Def // of a word that the design makes up itself
}

// hardware lists what can be asked of the things that the language has words for; the
// same words as in chapter 2 of the reference.
var hardware = map[schema.ID][]State{
	schema.Coil:     {{Word: "energised", Doc: "it has pulled in"}, {Word: "released", Doc: "it has let go"}},
	schema.Armature: {{Word: "energised", Doc: "it has pulled in"}, {Word: "released", Doc: "it has let go"}},
	schema.Contact:  {{Word: "made", Doc: "it is closed, whichever form it has; a changeover is on its working throw"}, {Word: "open", Doc: "it conducts nothing; a changeover is on its resting throw"}},
	schema.Pin:      nodeStates,
	schema.Node:     nodeStates,
	schema.Ground:   nodeStates,
	schema.Splice:   nodeStates,
	schema.Port:     {{Word: "fed", Doc: "open passages and hoses join it to an origin that gives"}, {Word: "vented", Doc: "open passages and hoses join it to the air"}, {Word: "neither", Doc: "it is joined neither to an origin nor to the air"}},
	schema.Origin:   {{Word: "fed", Doc: "it gives"}, {Word: "vented", Doc: "it is joined to the air"}, {Word: "neither", Doc: "it neither gives nor is joined to the air"}},
	schema.Driver:   {{Word: "on", Doc: "its condition is true and its controller powered"}, {Word: "off", Doc: "it does not switch"}},
	schema.Fuse:     {{Word: "blown", Doc: "it has opened, and not been mended since"}},
	schema.Beat:     {{Word: "on", Doc: "in the half of the rhythm that is on"}, {Word: "off", Doc: "in the half that is off, or not beating"}},
	schema.Timer:    {{Word: "running", Doc: "its time is not over"}, {Word: "done", Doc: "its time is over"}, {Word: "idle", Doc: "it has not begun"}},
}

var nodeStates = []State{
	{Word: "live", Doc: "metal joins it to the plus of a supply that is present"},
	{Word: "grounded", Doc: "metal joins it to ground"},
	{Word: "floating", Doc: "metal joins it to neither"},
}

// StatesOf lists what may stand behind `is` of a definition.
func StatesOf(d *name.Def, numbered bool) []State {
	if d == nil {
		return nil
	}
	switch {
	case d.Sort == name.Terminal, d.Sort == name.Way, d.Sort == name.Thing && d.Kind == schema.Connector && numbered:
		return nodeStates
	case d.Sort != name.Thing:
		return nil
	}
	switch d.Kind {
	case schema.Setting, schema.Option, schema.Modes, schema.Result, schema.Bands, schema.Load:
		if d.Inner == nil {
			return nil
		}
		var out []State
		for _, m := range d.Inner.Defs {
			if m.Sort == name.Lost {
				continue
			}
			out = append(out, State{Word: m.Name, Doc: "a " + m.Word() + " of " + d.Name, Def: m})
		}
		return out
	case schema.Input:
		if d.Stmt.Has(schema.InputReadsSender) {
			return nil
		}
		return []State{{Word: "low", Doc: "the last that it read was below its lower limit"}, {Word: "high", Doc: "the last that it read was above its upper limit"}}
	case schema.Fit:
		if d.Inner != nil && d.Inner.Controller {
			return powered
		}
		if part := name.PartOf(d); part != nil && part.Inner.Controller {
			return powered
		}
		return nil
	}
	return hardware[d.Kind]
}

var powered = []State{{Word: "powered", Doc: "it has its working voltage"}}

// Compares reports whether a definition is compared with values.
func Compares(d *name.Def) bool {
	if d == nil || d.Sort != name.Thing {
		return false
	}
	switch d.Kind {
	case schema.Quantity:
		return true
	case schema.Input:
		return d.Stmt.Has(schema.InputReadsSender)
	}
	return Takes(d) == "quantity"
}
