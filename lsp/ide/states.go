package ide

import (
	"pintle/lang/name"
	"pintle/lang/schema"
)

// state is a word that may stand behind `is`.
type state struct {
	word string
	doc  string
	def  *name.Def // of a word that the design makes up itself
}

// hardware lists what can be asked of the things that the language has words for; the
// same words as in chapter 2 of the reference.
var hardware = map[schema.ID][]state{
	schema.Coil:     {{word: "energised", doc: "it has pulled in"}, {word: "released", doc: "it has let go"}},
	schema.Armature: {{word: "energised", doc: "it has pulled in"}, {word: "released", doc: "it has let go"}},
	schema.Contact:  {{word: "made", doc: "it is closed, whichever form it has; a changeover is on its working throw"}, {word: "open", doc: "it conducts nothing; a changeover is on its resting throw"}},
	schema.Pin:      nodeStates,
	schema.Node:     nodeStates,
	schema.Ground:   nodeStates,
	schema.Splice:   nodeStates,
	schema.Port:     {{word: "fed", doc: "open passages and hoses join it to an origin that gives"}, {word: "vented", doc: "open passages and hoses join it to the air"}, {word: "neither", doc: "it is joined neither to an origin nor to the air"}},
	schema.Origin:   {{word: "fed", doc: "it gives"}, {word: "vented", doc: "it is joined to the air"}, {word: "neither", doc: "it neither gives nor is joined to the air"}},
	schema.Driver:   {{word: "on", doc: "its condition is true and its controller powered"}, {word: "off", doc: "it does not switch"}},
	schema.Fuse:     {{word: "blown", doc: "it has opened, and not been mended since"}},
	schema.Beat:     {{word: "on", doc: "in the half of the rhythm that is on"}, {word: "off", doc: "in the half that is off, or not beating"}},
	schema.Timer:    {{word: "running", doc: "its time is not over"}, {word: "done", doc: "its time is over"}, {word: "idle", doc: "it has not begun"}},
}

var nodeStates = []state{
	{word: "live", doc: "metal joins it to the plus of a supply that is present"},
	{word: "grounded", doc: "metal joins it to ground"},
	{word: "floating", doc: "metal joins it to neither"},
}

// statesOf lists what may stand behind `is` of a definition.
func statesOf(d *name.Def, numbered bool) []state {
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
		var out []state
		for _, m := range d.Inner.Defs {
			if m.Sort == name.Lost {
				continue
			}
			out = append(out, state{word: m.Name, doc: "a " + m.Word() + " of " + d.Name, def: m})
		}
		return out
	case schema.Input:
		if d.Stmt.Has(schema.InputReadsSender) {
			return nil
		}
		return []state{{word: "low", doc: "the last that it read was below its lower limit"}, {word: "high", doc: "the last that it read was above its upper limit"}}
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

var powered = []state{{word: "powered", doc: "it has its working voltage"}}

// compares tells whether a definition is compared with values.
func compares(d *name.Def) bool {
	if d == nil || d.Sort != name.Thing {
		return false
	}
	switch d.Kind {
	case schema.Quantity:
		return true
	case schema.Input:
		return d.Stmt.Has(schema.InputReadsSender)
	}
	return takes(d) == "quantity"
}
