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
	points = among(schema.Pin, schema.Node, schema.Ground, schema.Splice)
	ports  = among(schema.Port)
	fluids = among(schema.Port, schema.Origin)
	failed = among(schema.Wire, schema.Coil, schema.Load, schema.Resistor, schema.Diode, schema.Connector, schema.Hose,
		schema.Fuse, schema.Contact, schema.Driver, schema.Passage, schema.Sender)
	failedOrDeclared = among(schema.Wire, schema.Coil, schema.Load, schema.Resistor, schema.Diode, schema.Connector, schema.Hose,
		schema.Fuse, schema.Contact, schema.Driver, schema.Passage, schema.Sender, schema.Fault)
	carriers = among(schema.Wire, schema.Fuse, schema.Resistor, schema.Diode, schema.Load, schema.Coil, schema.Contact,
		schema.Driver, schema.Supply)
	asked = among(schema.Setting, schema.Option, schema.Quantity, schema.Coil, schema.Armature, schema.Contact, schema.Pin,
		schema.Node, schema.Ground, schema.Splice, schema.Load, schema.Port, schema.Origin, schema.Input, schema.Driver,
		schema.Timer, schema.Beat, schema.Threshold, schema.Condition, schema.Result, schema.Modes, schema.Bands)
	connectors = among(schema.Connector)
)

// formSorts say what the paths of clauses stand for; clauses with pins are not among
// them.
var formSorts = map[schema.FormID]sortOf{
	schema.HoseEnds:             fluids,
	schema.PassageEnds:          ports,
	schema.ConnectorInReach:     connectors,
	schema.StepSwap:             connectors,
	schema.FaultSwap:            connectors,
	schema.ArmatureMoved:        among(schema.Coil),
	schema.ArmatureMovedAgainst: among(schema.Coil),
	schema.ArmatureSet:          among(schema.Coil),
	schema.ArmatureReleased:     among(schema.Coil),
	schema.ContactBy:            among(schema.Coil, schema.Armature),
	schema.ChartFollows:         orTakes("setting", schema.Setting),
	schema.SenderTells:          orTakes("quantity", schema.Quantity),
	schema.BandsOver:            orTakes("quantity", schema.Quantity, schema.Input),
	schema.ThresholdSubject:     orTakes("quantity", schema.Quantity, schema.Input),
	schema.AssumeFalls:          among(schema.Quantity),
	schema.AssumeRises:          among(schema.Quantity),
	schema.AssumeMoves:          among(schema.Setting),
	schema.DriveWith:            among(schema.Option),
	schema.DriveFrom:            among(schema.Drive),
	schema.StepSetValue:         among(schema.Quantity, schema.Supply),
	schema.StepSetPosition:      among(schema.Setting),
	schema.StepRamp:             among(schema.Quantity),
	schema.StepFail:             failed,
	schema.StepMend:             failed,
	schema.FaultFail:            failed,
	schema.RequireDespiteBut:    failedOrDeclared,
	schema.NoticedFaults:        failedOrDeclared,
	schema.NoticedAny:           anything,
	schema.NoticedAnyBut:        anything,
	schema.NoticedSymptom:       among(schema.Symptom),
	schema.RequireDespiteNamed:  failedOrDeclared,
	schema.AcceptOn:             anything,
	schema.WireByArgument:       sizes,
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
	if e.Form != nil && e.Slot != nil {
		if f, ok := formSorts[e.Form.ID]; ok && (e.Slot.Type != schema.SlotPin || e.Form.ID == schema.HoseEnds || e.Form.ID == schema.PassageEnds) {
			return f
		}
	}
	return pinLike
}
