package ide

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
)

// thing is an entry of a table of a design.
type thing struct {
	table table
	id    int
	sub   int // mode, row, band
	info  *model.Info
}

type table uint8

const (
	tableNode table = iota
	tableFit
	tableSupply
	tableLoad
	tableCoil
	tableArmature
	tableContact
	tableChart
	tableWire
	tableConnector
	tableController
	tableReading
	tableDriver
	tableSender
	tableThreshold
	tableResistor
	tableDiode
	tableFuse
	tablePort
	tableOrigin
	tablePassage
	tableQuantity
	tableSetting
	tableMachine
	tableMode
	tableTimer
	tableBeat
	tableCondition
	tableResult
	tableRow
	tableBands
	tableBand
	tableRequirement
	tableDrive
)

// eachThing calls f for everything in the tables of a design that has a name in the text.
func eachThing(d *model.Design, f func(thing)) {
	each := func(t table, n int, info func(int) *model.Info) {
		for i := range n {
			f(thing{table: t, id: i, info: info(i)})
		}
	}
	each(tableNode, len(d.Nodes), func(i int) *model.Info { return &d.Nodes[i].Info })
	each(tableFit, len(d.Fits), func(i int) *model.Info { return &d.Fits[i].Info })
	each(tableSupply, len(d.Supplies), func(i int) *model.Info { return &d.Supplies[i].Info })
	each(tableLoad, len(d.Loads), func(i int) *model.Info { return &d.Loads[i].Info })
	each(tableCoil, len(d.Coils), func(i int) *model.Info { return &d.Coils[i].Info })
	each(tableArmature, len(d.Armatures), func(i int) *model.Info { return &d.Armatures[i].Info })
	each(tableContact, len(d.Contacts), func(i int) *model.Info { return &d.Contacts[i].Info })
	each(tableChart, len(d.Charts), func(i int) *model.Info { return &d.Charts[i].Info })
	each(tableWire, len(d.Wires), func(i int) *model.Info { return &d.Wires[i].Info })
	each(tableConnector, len(d.Connectors), func(i int) *model.Info { return &d.Connectors[i].Info })
	each(tableReading, len(d.Readings), func(i int) *model.Info { return &d.Readings[i].Info })
	each(tableDriver, len(d.Drivers), func(i int) *model.Info { return &d.Drivers[i].Info })
	each(tableSender, len(d.Senders), func(i int) *model.Info { return &d.Senders[i].Info })
	each(tableThreshold, len(d.Thresholds), func(i int) *model.Info { return &d.Thresholds[i].Info })
	each(tableResistor, len(d.Resistors), func(i int) *model.Info { return &d.Resistors[i].Info })
	each(tableDiode, len(d.Diodes), func(i int) *model.Info { return &d.Diodes[i].Info })
	each(tableFuse, len(d.Fuses), func(i int) *model.Info { return &d.Fuses[i].Info })
	each(tablePort, len(d.Ports), func(i int) *model.Info { return &d.Ports[i].Info })
	each(tableOrigin, len(d.Origins), func(i int) *model.Info { return &d.Origins[i].Info })
	each(tablePassage, len(d.Passages), func(i int) *model.Info { return &d.Passages[i].Info })
	each(tableQuantity, len(d.Quantities), func(i int) *model.Info { return &d.Quantities[i].Info })
	each(tableSetting, len(d.Settings), func(i int) *model.Info { return &d.Settings[i].Info })
	each(tableTimer, len(d.Timers), func(i int) *model.Info { return &d.Timers[i].Info })
	each(tableBeat, len(d.Beats), func(i int) *model.Info { return &d.Beats[i].Info })
	each(tableCondition, len(d.Conditions), func(i int) *model.Info { return &d.Conditions[i].Info })
	each(tableRequirement, len(d.Requirements), func(i int) *model.Info { return &d.Requirements[i].Info })
	each(tableDrive, len(d.Drives), func(i int) *model.Info { return &d.Drives[i].Info })
	for i := range d.Machines {
		m := &d.Machines[i]
		f(thing{table: tableMachine, id: i, info: &m.Info})
		for j := range m.Modes {
			f(thing{table: tableMode, id: i, sub: j, info: &m.Modes[j].Info})
		}
	}
	for i := range d.Results {
		r := &d.Results[i]
		f(thing{table: tableResult, id: i, info: &r.Info})
		for j := range r.Rows {
			f(thing{table: tableRow, id: i, sub: j, info: &r.Rows[j].Info})
		}
	}
	for i := range d.Bands {
		b := &d.Bands[i]
		f(thing{table: tableBands, id: i, info: &b.Info})
		for j := range b.Bands {
			f(thing{table: tableBand, id: i, sub: j, info: &b.Bands[j].Info})
		}
	}
}

// instances lists what a definition came to in a design: one thing, or as many as the
// part that it stands in was put in place. Where the path by which it was named leads to
// some of them only, it is those.
func instances(d *model.Design, def *name.Def, path string) []thing {
	var all, named []thing
	eachThing(d, func(t thing) {
		if !samePlace(t.info.NamePlace, def.NamePlace) || lowered(d, t) {
			return
		}
		all = append(all, t)
		if p := t.info.Path; path != "" && (p == path || strings.HasSuffix(p, "."+path)) {
			named = append(named, t)
		}
	})
	if len(named) > 0 {
		return named
	}
	return all
}

// lowered tells whether something stands for words of a condition and was not declared.
func lowered(d *model.Design, t thing) bool { return t.table == tableTimer && d.Timers[t.id].Lowered }

func samePlace(a, b diag.Place) bool {
	return a.File != nil && b.File != nil && a.File.Name == b.File.Name && a.Start == b.Start
}

// designOf finds the first design in which a definition came to something: one of the
// vehicle if there is one, otherwise a bench.
func designOf(designs []*model.Design, def *name.Def, path string) (*model.Design, []thing) {
	for _, bench := range [...]bool{false, true} {
		for _, d := range designs {
			if d.Bench != bench {
				continue
			}
			if list := instances(d, def, path); len(list) > 0 {
				return d, list
			}
		}
	}
	return nil, nil
}

// elementOf is the two-terminal piece that a thing is, model.None where it is none.
func elementOf(d *model.Design, t thing) model.ElementID {
	switch t.table {
	case tableSupply:
		return d.Supplies[t.id].Element
	case tableLoad:
		return d.Loads[t.id].Element
	case tableCoil:
		return d.Coils[t.id].Element
	case tableWire:
		return d.Wires[t.id].Element
	case tableDriver:
		return d.Drivers[t.id].Element
	case tableResistor:
		return d.Resistors[t.id].Element
	case tableDiode:
		return d.Diodes[t.id].Element
	case tableFuse:
		return d.Fuses[t.id].Element
	case tableContact:
		c := &d.Contacts[t.id]
		if c.WorkElem != model.None {
			return c.WorkElem
		}
		return c.RestElem
	}
	return model.None
}
