package ide

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
)

// Thing is an entry of a table of a design.
type Thing struct {
	Table Table
	ID    int
	Sub   int // mode, row, band
	Info  *model.Info
}

type Table uint8

const (
	TableNode Table = iota
	TableFit
	TableSupply
	TableLoad
	TableCoil
	TableArmature
	TableContact
	TableChart
	TableWire
	TableConnector
	TableController
	TableReading
	TableDriver
	TableSender
	TableThreshold
	TableResistor
	TableDiode
	TableFuse
	TablePort
	TableOrigin
	TablePassage
	TableQuantity
	TableSetting
	TableMachine
	TableMode
	TableTimer
	TableBeat
	TableCondition
	TableResult
	TableRow
	TableBands
	TableBand
	TableRequirement
	TableDrive
)

// EachThing calls f for everything in the tables of a design that has a name in the text.
func EachThing(d *model.Design, f func(Thing)) {
	each := func(t Table, n int, info func(int) *model.Info) {
		for i := range n {
			f(Thing{Table: t, ID: i, Info: info(i)})
		}
	}
	each(TableNode, len(d.Nodes), func(i int) *model.Info { return &d.Nodes[i].Info })
	each(TableFit, len(d.Fits), func(i int) *model.Info { return &d.Fits[i].Info })
	each(TableSupply, len(d.Supplies), func(i int) *model.Info { return &d.Supplies[i].Info })
	each(TableLoad, len(d.Loads), func(i int) *model.Info { return &d.Loads[i].Info })
	each(TableCoil, len(d.Coils), func(i int) *model.Info { return &d.Coils[i].Info })
	each(TableArmature, len(d.Armatures), func(i int) *model.Info { return &d.Armatures[i].Info })
	each(TableContact, len(d.Contacts), func(i int) *model.Info { return &d.Contacts[i].Info })
	each(TableChart, len(d.Charts), func(i int) *model.Info { return &d.Charts[i].Info })
	each(TableWire, len(d.Wires), func(i int) *model.Info { return &d.Wires[i].Info })
	each(TableConnector, len(d.Connectors), func(i int) *model.Info { return &d.Connectors[i].Info })
	each(TableReading, len(d.Readings), func(i int) *model.Info { return &d.Readings[i].Info })
	each(TableDriver, len(d.Drivers), func(i int) *model.Info { return &d.Drivers[i].Info })
	each(TableSender, len(d.Senders), func(i int) *model.Info { return &d.Senders[i].Info })
	each(TableThreshold, len(d.Thresholds), func(i int) *model.Info { return &d.Thresholds[i].Info })
	each(TableResistor, len(d.Resistors), func(i int) *model.Info { return &d.Resistors[i].Info })
	each(TableDiode, len(d.Diodes), func(i int) *model.Info { return &d.Diodes[i].Info })
	each(TableFuse, len(d.Fuses), func(i int) *model.Info { return &d.Fuses[i].Info })
	each(TablePort, len(d.Ports), func(i int) *model.Info { return &d.Ports[i].Info })
	each(TableOrigin, len(d.Origins), func(i int) *model.Info { return &d.Origins[i].Info })
	each(TablePassage, len(d.Passages), func(i int) *model.Info { return &d.Passages[i].Info })
	each(TableQuantity, len(d.Quantities), func(i int) *model.Info { return &d.Quantities[i].Info })
	each(TableSetting, len(d.Settings), func(i int) *model.Info { return &d.Settings[i].Info })
	each(TableTimer, len(d.Timers), func(i int) *model.Info { return &d.Timers[i].Info })
	each(TableBeat, len(d.Beats), func(i int) *model.Info { return &d.Beats[i].Info })
	each(TableCondition, len(d.Conditions), func(i int) *model.Info { return &d.Conditions[i].Info })
	each(TableRequirement, len(d.Requirements), func(i int) *model.Info { return &d.Requirements[i].Info })
	each(TableDrive, len(d.Drives), func(i int) *model.Info { return &d.Drives[i].Info })
	for i := range d.Machines {
		m := &d.Machines[i]
		f(Thing{Table: TableMachine, ID: i, Info: &m.Info})
		for j := range m.Modes {
			f(Thing{Table: TableMode, ID: i, Sub: j, Info: &m.Modes[j].Info})
		}
	}
	for i := range d.Results {
		r := &d.Results[i]
		f(Thing{Table: TableResult, ID: i, Info: &r.Info})
		for j := range r.Rows {
			f(Thing{Table: TableRow, ID: i, Sub: j, Info: &r.Rows[j].Info})
		}
	}
	for i := range d.Bands {
		b := &d.Bands[i]
		f(Thing{Table: TableBands, ID: i, Info: &b.Info})
		for j := range b.Bands {
			f(Thing{Table: TableBand, ID: i, Sub: j, Info: &b.Bands[j].Info})
		}
	}
}

// instances lists what a definition came to in a design: one thing, or as many as the
// part that it stands in was put in place. Where the path by which it was named leads to
// some of them only, it is those.
func instances(d *model.Design, def *name.Def, path string) []Thing {
	var all, named []Thing
	EachThing(d, func(t Thing) {
		if !SamePlace(t.Info.NamePlace, def.NamePlace) || lowered(d, t) {
			return
		}
		all = append(all, t)
		if p := t.Info.Path; path != "" && (p == path || strings.HasSuffix(p, "."+path)) {
			named = append(named, t)
		}
	})
	if len(named) > 0 {
		return named
	}
	return all
}

// lowered reports whether something stands for words of a condition and was not declared.
func lowered(d *model.Design, t Thing) bool { return t.Table == TableTimer && d.Timers[t.ID].Lowered }

func SamePlace(a, b diag.Place) bool {
	return a.File != nil && b.File != nil && a.File.Name == b.File.Name && a.Start == b.Start
}

// DesignOf finds the first design in which a definition came to something: one of the
// vehicle if there is one, otherwise a bench.
func DesignOf(designs []*model.Design, def *name.Def, path string) (*model.Design, []Thing) {
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

// ElementOf is the two-terminal piece that a thing is, model.None where it is none.
func ElementOf(d *model.Design, t Thing) model.ElementID {
	switch t.Table {
	case TableSupply:
		return d.Supplies[t.ID].Element
	case TableLoad:
		return d.Loads[t.ID].Element
	case TableCoil:
		return d.Coils[t.ID].Element
	case TableWire:
		return d.Wires[t.ID].Element
	case TableDriver:
		return d.Drivers[t.ID].Element
	case TableResistor:
		return d.Resistors[t.ID].Element
	case TableDiode:
		return d.Diodes[t.ID].Element
	case TableFuse:
		return d.Fuses[t.ID].Element
	case TableContact:
		c := &d.Contacts[t.ID]
		if c.WorkElem != model.None {
			return c.WorkElem
		}
		return c.RestElem
	}
	return model.None
}
