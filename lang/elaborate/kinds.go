package elaborate

import (
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// kind is what elaboration makes of the statements of a kind, pass by pass; a field is nil
// where there is nothing to do.
type kind struct {
	table *table
	// declare gives a name its entity. Without it the name becomes a new thing of the table.
	declare func(b *builder, y *body, it *name.Item, d *name.Def) entity
	// wire returns false where the thing can't be placed in the design.
	wire   func(b *builder, y *body, it *name.Item, id int) bool
	decide func(b *builder, y *body, it *name.Item, id int)
	claim  func(b *builder, y *body, st *syntax.Stmt, d *name.Def)
	// controller is where a thing keeps the controller of its body.
	controller func(d *model.Design, id int32) *model.ControllerID
	// element is the one element of a thing that has one: what current runs through.
	element func(d *model.Design, id int32) model.ElementID
}

// table is a table of the model, for any kind of thing.
type table struct {
	info func(d *model.Design, id int32) *model.Info
	add  func(d *model.Design, i model.Info) int // a new thing, by its number
	// squeeze takes things out, and returns where the others moved.
	squeeze func(d *model.Design, gone map[int32]bool) []int32
}

// in is a table of the model whose new things are copies of blank.
func in[T any, P interface {
	*T
	Base() *model.Info
}](list func(*model.Design) *[]T, blank T) *table {
	return &table{
		info: func(d *model.Design, id int32) *model.Info { return P(&(*list(d))[id]).Base() },
		add: func(d *model.Design, i model.Info) int {
			l := list(d)
			*l = append(*l, blank)
			*P(&(*l)[len(*l)-1]).Base() = i
			return len(*l) - 1
		},
		squeeze: func(d *model.Design, gone map[int32]bool) []int32 { return squeeze(list(d), gone) },
	}
}

// kinds is what is known of each kind. It is filled by init: the passes themselves look
// things up in it.
var kinds [schema.Count]kind

func init() {
	const none = model.None
	type design = *model.Design
	type element = model.ElementID
	type controller = *model.ControllerID
	nodes := in(func(d design) *[]model.Node { return &d.Nodes }, model.Node{Connector: none})
	passages := in(func(d design) *[]model.Passage { return &d.Passages }, model.Passage{A: none, B: none})
	node := kind{table: nodes, declare: (*builder).declareNode}

	kinds = [schema.Count]kind{
		// The world.
		schema.Quantity: {table: in(func(d design) *[]model.Quantity { return &d.Quantities }, model.Quantity{}), declare: (*builder).declareQuantity},
		schema.Setting:  {table: in(func(d design) *[]model.Setting { return &d.Settings }, model.Setting{}), declare: (*builder).declareSetting},
		schema.Option:   {table: in(func(d design) *[]model.Option { return &d.Options }, model.Option{}), declare: (*builder).declareOption},
		schema.Ground:   node, schema.Node: node, schema.Pin: node, schema.Splice: node,
		schema.Supply: {
			table:   in(func(d design) *[]model.Supply { return &d.Supplies }, model.Supply{Element: none, Minus: none, Plus: none}),
			declare: (*builder).declareSupply, wire: (*builder).wireSupply, decide: (*builder).decideSupply,
			element: func(d design, id int32) element { return d.Supplies[id].Element },
		},
		schema.Origin: {
			table:   in(func(d design) *[]model.Origin { return &d.Origins }, model.Origin{}),
			declare: (*builder).declareOrigin, wire: (*builder).wireOrigin, decide: (*builder).decideOrigin,
		},

		// Joining things.
		schema.Wire: {
			table:   in(func(d design) *[]model.Wire { return &d.Wires }, model.Wire{Element: none, A: none, B: none}),
			declare: (*builder).declareWire, wire: (*builder).wireWire,
			element: func(d design, id int32) element { return d.Wires[id].Element },
		},
		schema.Connector: {
			table:   in(func(d design) *[]model.Connector { return &d.Connectors }, model.Connector{}),
			declare: (*builder).declareConnector, wire: (*builder).wireConnector,
		},
		schema.Hose:    {table: passages, declare: (*builder).declareHose, wire: (*builder).wireHose, decide: (*builder).decideHose},
		schema.Passage: {table: passages, wire: (*builder).wirePassage, decide: (*builder).decidePassage},

		// In a body.
		schema.Port: {
			table: in(func(d design) *[]model.Port { return &d.Ports }, model.Port{Origin: none}),
			wire:  (*builder).wirePort,
		},
		schema.Coil: {
			table: in(func(d design) *[]model.Coil { return &d.Coils },
				model.Coil{Element: none, A: none, B: none, Memory: none, Armature: none}),
			wire: (*builder).wireCoil, decide: (*builder).decideCoil,
			element: func(d design, id int32) element { return d.Coils[id].Element },
		},
		schema.Armature: {
			table:   in(func(d design) *[]model.Armature { return &d.Armatures }, model.Armature{Set: none, Release: none}),
			declare: (*builder).declareArmature, decide: (*builder).decideArmature,
		},
		schema.Contact: {
			table: in(func(d design) *[]model.Contact { return &d.Contacts },
				model.Contact{Common: none, Rest: none, Work: none, RestElem: none, WorkElem: none, By: none}),
			wire: (*builder).wireContact, decide: (*builder).decideContact,
			element: onlyThrow,
		},
		schema.Chart: {
			table: in(func(d design) *[]model.Chart { return &d.Charts }, model.Chart{Setting: none}),
			wire:  (*builder).wireChart,
		},
		schema.Load: {
			table:   in(func(d design) *[]model.Load { return &d.Loads }, model.Load{Element: none, A: none, B: none}),
			wire:    (*builder).wireLoad,
			element: func(d design, id int32) element { return d.Loads[id].Element },
		},
		schema.Resistor: {
			table:   in(func(d design) *[]model.Plain { return &d.Resistors }, model.Plain{Element: none}),
			wire:    (*builder).wireResistor,
			element: func(d design, id int32) element { return d.Resistors[id].Element },
		},
		schema.Diode: {
			table:   in(func(d design) *[]model.Plain { return &d.Diodes }, model.Plain{Element: none}),
			wire:    (*builder).wireDiode,
			element: func(d design, id int32) element { return d.Diodes[id].Element },
		},
		schema.Fuse: {
			table:   in(func(d design) *[]model.Fuse { return &d.Fuses }, model.Fuse{Element: none}),
			wire:    (*builder).wireFuse,
			element: func(d design, id int32) element { return d.Fuses[id].Element },
		},
		schema.Sender: {
			table: in(func(d design) *[]model.Sender { return &d.Senders }, model.Sender{Pin: none, Quantity: none}),
			wire:  (*builder).wireSender,
		},

		// Controllers.
		schema.Input: {
			table: in(func(d design) *[]model.Reading { return &d.Readings },
				model.Reading{Pin: none, CountsHigh: -1, Pull: none, Level: none, Quantity: none}),
			declare:    (*builder).declareInput,
			controller: func(d design, id int32) controller { return &d.Readings[id].Controller },
			wire:       (*builder).wireInput,
		},
		schema.Driver: {
			table:      in(func(d design) *[]model.Driver { return &d.Drivers }, model.Driver{Element: none, Pin: none, From: none}),
			controller: func(d design, id int32) controller { return &d.Drivers[id].Controller },
			wire:       (*builder).wireDriver, decide: (*builder).decideDriver,
			element: func(d design, id int32) element { return d.Drivers[id].Element },
		},

		// Deciding. Thresholds are decided before all others, as any condition may name them.
		schema.Threshold: {
			table:      in(func(d design) *[]model.Threshold { return &d.Thresholds }, model.Threshold{Quantity: none, Reading: none}),
			declare:    (*builder).declareThreshold,
			controller: func(d design, id int32) controller { return &d.Thresholds[id].Controller },
		},
		schema.Timer: {
			table:      in(func(d design) *[]model.Timer { return &d.Timers }, model.Timer{}),
			controller: func(d design, id int32) controller { return &d.Timers[id].Controller },
			decide:     (*builder).decideTimer,
		},
		schema.Beat: {
			table:      in(func(d design) *[]model.Beat { return &d.Beats }, model.Beat{}),
			controller: func(d design, id int32) controller { return &d.Beats[id].Controller },
			decide:     (*builder).decideBeat,
		},
		schema.Condition: {
			table:      in(func(d design) *[]model.Named { return &d.Conditions }, model.Named{}),
			controller: func(d design, id int32) controller { return &d.Conditions[id].Controller },
			decide:     (*builder).decideCondition,
		},
		schema.Result: {table: in(func(d design) *[]model.Result { return &d.Results }, model.Result{}), decide: (*builder).decideResult},
		schema.Modes: {
			table:      in(func(d design) *[]model.Machine { return &d.Machines }, model.Machine{}),
			controller: func(d design, id int32) controller { return &d.Machines[id].Controller },
			decide:     (*builder).decideModes,
		},
		schema.Bands: {
			table:  in(func(d design) *[]model.Bands { return &d.Bands }, model.Bands{Quantity: none, Reading: none, Memory: none}),
			decide: (*builder).decideBands,
		},

		// Claims.
		schema.Assume:  {claim: (*builder).assumption},
		schema.Require: {claim: (*builder).requirement},
		schema.Drive:   {claim: (*builder).drive},
		schema.Symptom: {claim: (*builder).symptom},
		schema.Noticed: {claim: (*builder).noticed},
		schema.Fault:   {claim: (*builder).fault},
	}
}
