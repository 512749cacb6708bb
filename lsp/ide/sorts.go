package ide

import (
	"slices"

	"pintle/lang/kinds"
	"pintle/lang/name"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// fitness tells whether a definition may stand somewhere.
type fitness uint8

const (
	unfit   fitness = iota
	leads           // something behind its dot may
	suits           // it may itself
	suitsOn         // it may itself, and so may what is behind its dot
)

// sort tells what may stand in a slot.
type sortOf func(*name.Def) fitness

// Sorts of things that slots take.
var (
	points = among(kinds.Pin, kinds.Node, kinds.Ground, kinds.Splice)
	ports  = among(kinds.Port)
	fluids = among(kinds.Port, kinds.Origin)
	failed = among(kinds.Wire, kinds.Coil, kinds.Load, kinds.Resistor, kinds.Diode, kinds.Connector, kinds.Hose,
		kinds.Fuse, kinds.Contact, kinds.Driver, kinds.Passage, kinds.Sender)
	failedOrDeclared = among(kinds.Wire, kinds.Coil, kinds.Load, kinds.Resistor, kinds.Diode, kinds.Connector, kinds.Hose,
		kinds.Fuse, kinds.Contact, kinds.Driver, kinds.Passage, kinds.Sender, kinds.Fault)
	carriers = among(kinds.Wire, kinds.Fuse, kinds.Resistor, kinds.Diode, kinds.Load, kinds.Coil, kinds.Contact,
		kinds.Driver, kinds.Supply)
	asked = among(kinds.Setting, kinds.Option, kinds.Quantity, kinds.Coil, kinds.Armature, kinds.Contact, kinds.Pin,
		kinds.Node, kinds.Ground, kinds.Splice, kinds.Load, kinds.Port, kinds.Origin, kinds.Input, kinds.Driver,
		kinds.Timer, kinds.Beat, kinds.Threshold, kinds.Condition, kinds.Result, kinds.Modes, kinds.Bands)
	connectors = among(kinds.Connector)
)

// formSorts say what the paths of clauses stand for; clauses with pins are not among
// them.
var formSorts = map[kinds.FormID]sortOf{
	kinds.HoseEnds:             fluids,
	kinds.PassageEnds:          ports,
	kinds.ConnectorInReach:     connectors,
	kinds.StepSwap:             connectors,
	kinds.FaultSwap:            connectors,
	kinds.ArmatureMoved:        among(kinds.Coil),
	kinds.ArmatureMovedAgainst: among(kinds.Coil),
	kinds.ArmatureSet:          among(kinds.Coil),
	kinds.ArmatureReleased:     among(kinds.Coil),
	kinds.ContactBy:            among(kinds.Coil, kinds.Armature),
	kinds.ChartFollows:         orTakes("setting", kinds.Setting),
	kinds.SenderTells:          orTakes("quantity", kinds.Quantity),
	kinds.BandsOver:            orTakes("quantity", kinds.Quantity, kinds.Input),
	kinds.ThresholdSubject:     orTakes("quantity", kinds.Quantity, kinds.Input),
	kinds.AssumeFalls:          among(kinds.Quantity),
	kinds.AssumeRises:          among(kinds.Quantity),
	kinds.AssumeMoves:          among(kinds.Setting),
	kinds.DriveWith:            among(kinds.Option),
	kinds.DriveFrom:            among(kinds.Drive),
	kinds.StepSetValue:         among(kinds.Quantity, kinds.Supply),
	kinds.StepSetPosition:      among(kinds.Setting),
	kinds.StepRamp:             among(kinds.Quantity),
	kinds.StepFail:             failed,
	kinds.StepMend:             failed,
	kinds.FaultFail:            failed,
	kinds.RequireDespiteBut:    failedOrDeclared,
	kinds.NoticedFaults:        failedOrDeclared,
	kinds.NoticedAny:           anything,
	kinds.NoticedAnyBut:        anything,
	kinds.NoticedSymptom:       among(kinds.Symptom),
	kinds.RequireDespiteNamed:  failedOrDeclared,
	kinds.AcceptOn:             anything,
	kinds.WireByArgument:       sizes,
}

// among makes a sort of some kinds, and of what can lead to them.
func among(ids ...kinds.ID) sortOf {
	return func(d *name.Def) fitness {
		own := d.Sort == name.Thing && slices.Contains(ids, d.Kind)
		on := leadsOn(d) && (d.Sort != name.Thing || d.Kind != kinds.Connector && d.Kind != kinds.Supply)
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

// leadsOn tells whether there is something electrical or fluid behind the dot.
func leadsOn(d *name.Def) bool {
	switch {
	case d.Sort == name.Short:
		return true
	case d.Sort != name.Thing:
		return false
	}
	switch d.Kind {
	case kinds.Fit, kinds.Connector:
		return true
	case kinds.Supply:
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
	case d.Sort == name.Thing && d.Kind == kinds.Part:
		return suits
	}
	return unfit
}

// orTakes is among for kinds that a part may take as an argument.
func orTakes(argument string, ids ...kinds.ID) sortOf {
	own := among(ids...)
	return func(d *name.Def) fitness {
		if takes(d) == argument {
			return suits
		}
		return own(d)
	}
}

// condSubject is what a condition may begin with.
func condSubject(d *name.Def) fitness {
	switch t := takes(d); t {
	case "condition", "setting", "quantity":
		return suits
	}
	if d.Sort == name.Terminal {
		return suits
	}
	if f := asked(d); f != unfit {
		if f == leads && d.Kind == kinds.Fit && d.Inner != nil && d.Inner.Controller {
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
	if dim, ok := dimOf(d); ok && d.Kind == kinds.Takes && (dim == unit.Area || dim == unit.Length) {
		return suits
	}
	return unfit
}

// takes is the type of an argument as it is written; "" for anything else.
func takes(d *name.Def) string {
	if d.Sort != name.Thing || d.Kind != kinds.Takes || d.Stmt == nil {
		return ""
	}
	c := d.Stmt.Clause(kinds.TakesType)
	if c == nil {
		return ""
	}
	return c.Word("type").Text
}

// sortFor says what may stand where a path is wanted.
func sortFor(w *want) sortOf {
	if s := w.slot; s != nil {
		switch s.Role {
		case "through":
			return carriers
		case "every":
			return asked
		}
		if w.form != nil {
			if f, ok := formSorts[w.form.ID]; ok && (s.Type != kinds.SlotPin || w.form.ID == kinds.HoseEnds || w.form.ID == kinds.PassageEnds) {
				return f
			}
		}
	}
	return pinLike
}

// dimOf is what is measured by a definition that has a value.
func dimOf(d *name.Def) (unit.Dim, bool) {
	if d == nil || d.Sort != name.Thing || d.Stmt == nil {
		return 0, false
	}
	switch d.Kind {
	case kinds.Quantity:
		return valueDim(d.Stmt.Clause(kinds.QuantityRange), "range")
	case kinds.Supply:
		return unit.Voltage, true
	case kinds.Input:
		return valueDim(d.Stmt.Clause(kinds.InputCountsValue), "value")
	case kinds.Takes:
		if u, ok := unit.Lookup(takes(d)); ok && takes(d) != "" {
			return u.Dim, true
		}
	case kinds.Bands:
		if c := d.Stmt.Clause(kinds.BandsOver); c != nil {
			return dimOf(name.Resolve(d.In, c.Ref("quantity")))
		}
	case kinds.Threshold:
		if c := d.Stmt.Clause(kinds.ThresholdSubject); c != nil {
			switch s := c.Subject("subject"); s.Kind {
			case syntax.CurrentThrough:
				return unit.Current, true
			case syntax.VoltsAt, syntax.VoltsBetween:
				return unit.Voltage, true
			case syntax.SubjectRef:
				return dimOf(name.Resolve(d.In, s.A))
			}
		}
	}
	return 0, false
}

func valueDim(c *syntax.Clause, role string) (unit.Dim, bool) {
	if c == nil {
		return 0, false
	}
	q := c.Quantity(role)
	if q == nil || q.Param != nil && q.HiParam != nil {
		return 0, false
	}
	if q.Param != nil && q.Ranged {
		return q.Hi.Dim(), true
	}
	if q.Param != nil {
		return 0, false
	}
	return q.Value.Dim(), true
}
