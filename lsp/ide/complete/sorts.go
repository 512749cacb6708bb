package complete

import (
	"slices"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// fitness reports whether a definition may stand somewhere.
type fitness uint8

const (
	unfit   fitness = iota
	leads           // something behind its dot may
	suits           // it may itself
	suitsOn         // it may itself, and so may what is behind its dot
)

// sort reports what may stand in a slot.
type sortOf func(*name.Def) fitness

// Sorts of things that slots take.
var (
	points   = among(schema.Pin, schema.Node, schema.Ground, schema.Splice)
	carriers = among(schema.Wire, schema.Fuse, schema.Resistor, schema.Diode, schema.Load, schema.Coil, schema.Contact,
		schema.Driver, schema.Supply)
	asked = among(schema.Setting, schema.Option, schema.Quantity, schema.Coil, schema.Armature, schema.Contact, schema.Pin,
		schema.Node, schema.Ground, schema.Splice, schema.Load, schema.Port, schema.Origin, schema.Input, schema.Driver,
		schema.Timer, schema.Beat, schema.Threshold, schema.Condition, schema.Result, schema.Modes, schema.Bands)
)

// slotSort is what may stand in a slot by the kinds that the schema gives for it.
func slotSort(s *schema.Slot) sortOf {
	if len(s.Names) == 0 {
		return anything
	}
	for _, id := range [...]schema.ID{schema.Quantity, schema.Setting} {
		if slices.Contains(s.Names, id) { // an argument of a part may stand for it
			return orTakes(id.String(), s.Names...)
		}
	}
	return among(s.Names...)
}

// among makes a sort of some kinds, and of what can lead to them.
func among(ids ...schema.ID) sortOf {
	return func(d *name.Def) fitness {
		own := d.Sort == name.Thing && slices.Contains(ids, d.Kind)
		on := leadsOn(d) && (d.Sort != name.Thing || d.Kind != schema.Connector && d.Kind != schema.Supply)
		switch {
		case own && on:
			return suitsOn
		case own:
			return suits
		case on:
			return leads
		}
		return unfit
	}
}

// leadsOn reports whether there is something electrical or fluid behind the dot.
func leadsOn(d *name.Def) bool {
	switch {
	case d.Sort == name.Short:
		return true
	case d.Sort != name.Thing:
		return false
	}
	switch d.Kind {
	case schema.Fit, schema.Connector:
		return true
	case schema.Supply:
		return d.Inner != nil
	}
	return false
}

// pinLike is what wires end at.
func pinLike(d *name.Def) fitness {
	if d.Sort == name.Terminal {
		return suits
	}
	if f := points(d); f != unfit {
		return f
	}
	if leadsOn(d) {
		return leads
	}
	return unfit
}

func anything(d *name.Def) fitness {
	switch {
	case d.Sort == name.Short:
		return leads
	case leadsOn(d):
		return suitsOn
	}
	return suits
}

func isPart(d *name.Def) fitness {
	switch {
	case d.Sort == name.Short:
		return leads
	case d.Sort == name.Thing && d.Kind == schema.Part:
		return suits
	}
	return unfit
}

// orTakes is among for kinds that a part may take as an argument.
func orTakes(argument string, ids ...schema.ID) sortOf {
	own := among(ids...)
	return func(d *name.Def) fitness {
		if ide.Takes(d) == argument {
			return suits
		}
		return own(d)
	}
}

// condSubject is what a condition may begin with.
func condSubject(d *name.Def) fitness {
	switch t := ide.Takes(d); t {
	case "condition", "setting", "quantity":
		return suits
	}
	if d.Sort == name.Terminal {
		return suits
	}
	if f := asked(d); f != unfit {
		if f == leads && d.Kind == schema.Fit && d.Inner != nil && d.Inner.Controller {
			return suitsOn
		}
		return f
	}
	if leadsOn(d) {
		return leads
	}
	return unfit
}

// sizes are arguments of a part that hold a cross-section or a length.
func sizes(d *name.Def) fitness {
	if dim, ok := ide.DimOf(d); ok && d.Kind == schema.Takes && (dim == unit.Area || dim == unit.Length) {
		return suits
	}
	return unfit
}

// sortFor says what may stand where a path is expected.
func sortFor(e *syntax.Expected) sortOf {
	switch s := e.Subject; {
	case s == nil:
	case s.Kind == syntax.CurrentThrough:
		return carriers
	case s.Kind == syntax.SubjectEvery:
		return asked
	default:
		return pinLike
	}
	switch {
	case e.Form == nil || e.Slot == nil:
	case e.Form.ID == schema.WireByArgument:
		return sizes
	case e.Slot.Type == schema.SlotRef || len(e.Slot.Names) > 0:
		return slotSort(e.Slot)
	}
	return pinLike
}
