package compare

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// table says which table of a design a thing stands in.
type table uint8

const (
	settings table = iota
	quantities
	memories
	machines
	timers
	beats
	edges
	results
	loads
	ports
	elements
	nodes
	wires
	fuses
	supplies
	drivers
	requirements
	bands
	readings
	senders
	conditions
	resistors
	diodes
	coils
	assumptions
	passages
	fits
	tables // their number
)

// pairs says which thing of the old design is which of the new one: in each table, by the index
// in the old design, the index in the new one, or model.None.
type pairs struct {
	to   [tables][]int
	from [tables][]int
}

// infos are the names and places of the things of a table, by index; none of edges.
func infos(d *model.Design, t table) []*model.Info {
	switch t {
	case settings:
		return infosOf(d.Settings, func(i int) *model.Info { return &d.Settings[i].Info })
	case quantities:
		return infosOf(d.Quantities, func(i int) *model.Info { return &d.Quantities[i].Info })
	case memories:
		return infosOf(d.Memories, func(i int) *model.Info { return &d.Memories[i].Info })
	case machines:
		return infosOf(d.Machines, func(i int) *model.Info { return &d.Machines[i].Info })
	case timers:
		return infosOf(d.Timers, func(i int) *model.Info { return &d.Timers[i].Info })
	case beats:
		return infosOf(d.Beats, func(i int) *model.Info { return &d.Beats[i].Info })
	case results:
		return infosOf(d.Results, func(i int) *model.Info { return &d.Results[i].Info })
	case loads:
		return infosOf(d.Loads, func(i int) *model.Info { return &d.Loads[i].Info })
	case ports:
		return infosOf(d.Ports, func(i int) *model.Info { return &d.Ports[i].Info })
	case elements:
		return infosOf(d.Elements, func(i int) *model.Info { return &d.Elements[i].Info })
	case nodes:
		return infosOf(d.Nodes, func(i int) *model.Info { return &d.Nodes[i].Info })
	case wires:
		return infosOf(d.Wires, func(i int) *model.Info { return &d.Wires[i].Info })
	case fuses:
		return infosOf(d.Fuses, func(i int) *model.Info { return &d.Fuses[i].Info })
	case supplies:
		return infosOf(d.Supplies, func(i int) *model.Info { return &d.Supplies[i].Info })
	case drivers:
		return infosOf(d.Drivers, func(i int) *model.Info { return &d.Drivers[i].Info })
	case requirements:
		return infosOf(d.Requirements, func(i int) *model.Info { return &d.Requirements[i].Info })
	case bands:
		return infosOf(d.Bands, func(i int) *model.Info { return &d.Bands[i].Info })
	case readings:
		return infosOf(d.Readings, func(i int) *model.Info { return &d.Readings[i].Info })
	case senders:
		return infosOf(d.Senders, func(i int) *model.Info { return &d.Senders[i].Info })
	case conditions:
		return infosOf(d.Conditions, func(i int) *model.Info { return &d.Conditions[i].Info })
	case resistors:
		return infosOf(d.Resistors, func(i int) *model.Info { return &d.Resistors[i].Info })
	case diodes:
		return infosOf(d.Diodes, func(i int) *model.Info { return &d.Diodes[i].Info })
	case coils:
		return infosOf(d.Coils, func(i int) *model.Info { return &d.Coils[i].Info })
	case assumptions:
		return infosOf(d.Assumptions, func(i int) *model.Info { return &d.Assumptions[i].Info })
	case passages:
		return infosOf(d.Passages, func(i int) *model.Info { return &d.Passages[i].Info })
	case fits:
		return infosOf(d.Fits, func(i int) *model.Info { return &d.Fits[i].Info })
	}
	return nil
}

func infosOf[T any](list []T, of func(int) *model.Info) []*model.Info {
	out := make([]*model.Info, len(list))
	for i := range list {
		out[i] = of(i)
	}
	return out
}

// names lists what the things of a table are called, by index. An edge is called by what it is of.
func names(d *model.Design, t table) []string {
	var out []string
	if t == edges {
		for i := range d.Edges {
			out = append(out, d.Words(d.Edges[i].Of))
		}
	}
	for _, i := range infos(d, t) {
		out = append(out, i.Path)
	}
	return out
}

// pairUp pairs the things of two designs by their names, after names of the old one were
// replaced by those that its things have in the new one. Of several of one name the first is
// paired with the first, and so on.
func pairUp(a, b *model.Design, renamed func(string) string) *pairs {
	p := &pairs{}
	for t := range tables {
		there := map[string]int{}
		after := numbered(names(b, t))
		for i, name := range after {
			there[name] = i
		}
		before := names(a, t)
		for i := range before {
			before[i] = renamed(before[i])
		}
		p.to[t], p.from[t] = nowhere(len(before)), nowhere(len(after))
		for i, name := range numbered(before) {
			if j, ok := there[name]; ok {
				p.to[t][i], p.from[t][j] = j, i
			}
		}
	}
	return p
}

func nowhere(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = model.None
	}
	return out
}

// numbered puts numbers behind names that occur more than once.
func numbered(list []string) []string {
	out := make([]string, len(list))
	times := map[string]int{}
	for i, name := range list {
		times[name]++
		out[i] = fmt.Sprintf("%s#%d", name, times[name])
	}
	return out
}

// role is the role that plays in the old system what plays one in the new; false where nothing
// does.
func (p *pairs) role(r system.Role) (system.Role, bool) {
	tableOf := map[system.RoleKind]table{
		system.RoleSetting: settings, system.RoleQuantity: quantities, system.RoleMemory: memories,
		system.RoleMachine: machines, system.RoleDisowner: machines, system.RoleTimer: timers, system.RoleTimerHelp: timers,
		system.RoleBeat: beats, system.RoleBeatHalf: beats, system.RoleEdge: edges, system.RoleFree: elements, system.RoleShorted: readings,
	}
	t, ok := tableOf[r.Kind]
	if !ok || r.Index < 0 || r.Index >= len(p.from[t]) || p.from[t][r.Index] == model.None {
		return system.Role{}, false
	}
	r.Index = p.from[t][r.Index]
	return r, true
}
