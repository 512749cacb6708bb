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

// names lists what the things of a table are called, by index.
func names(d *model.Design, t table) []string {
	switch t {
	case settings:
		return paths(d.Settings, func(x *model.Setting) *model.Info { return &x.Info })
	case quantities:
		return paths(d.Quantities, func(x *model.Quantity) *model.Info { return &x.Info })
	case memories:
		return paths(d.Memories, func(x *model.Memory) *model.Info { return &x.Info })
	case machines:
		return paths(d.Machines, func(x *model.Machine) *model.Info { return &x.Info })
	case timers:
		return paths(d.Timers, func(x *model.Timer) *model.Info { return &x.Info })
	case beats:
		return paths(d.Beats, func(x *model.Beat) *model.Info { return &x.Info })
	case edges:
		out := make([]string, len(d.Edges))
		for i := range d.Edges {
			out[i] = d.Words(d.Edges[i].Of)
		}
		return out
	case results:
		return paths(d.Results, func(x *model.Result) *model.Info { return &x.Info })
	case loads:
		return paths(d.Loads, func(x *model.Load) *model.Info { return &x.Info })
	case ports:
		return paths(d.Ports, func(x *model.Port) *model.Info { return &x.Info })
	case elements:
		return paths(d.Elements, func(x *model.Element) *model.Info { return &x.Info })
	case nodes:
		return paths(d.Nodes, func(x *model.Node) *model.Info { return &x.Info })
	case wires:
		return paths(d.Wires, func(x *model.Wire) *model.Info { return &x.Info })
	case fuses:
		return paths(d.Fuses, func(x *model.Fuse) *model.Info { return &x.Info })
	case supplies:
		return paths(d.Supplies, func(x *model.Supply) *model.Info { return &x.Info })
	case drivers:
		return paths(d.Drivers, func(x *model.Driver) *model.Info { return &x.Info })
	case requirements:
		return paths(d.Requirements, func(x *model.Requirement) *model.Info { return &x.Info })
	case bands:
		return paths(d.Bands, func(x *model.Bands) *model.Info { return &x.Info })
	case readings:
		return paths(d.Readings, func(x *model.Reading) *model.Info { return &x.Info })
	case senders:
		return paths(d.Senders, func(x *model.Sender) *model.Info { return &x.Info })
	case conditions:
		return paths(d.Conditions, func(x *model.Named) *model.Info { return &x.Info })
	case resistors:
		return paths(d.Resistors, func(x *model.Plain) *model.Info { return &x.Info })
	case diodes:
		return paths(d.Diodes, func(x *model.Plain) *model.Info { return &x.Info })
	case coils:
		return paths(d.Coils, func(x *model.Coil) *model.Info { return &x.Info })
	case assumptions:
		return paths(d.Assumptions, func(x *model.Assumption) *model.Info { return &x.Info })
	case passages:
		return paths(d.Passages, func(x *model.Passage) *model.Info { return &x.Info })
	case fits:
		return paths(d.Fits, func(x *model.Fit) *model.Info { return &x.Info })
	}
	return nil
}

func paths[T any](list []T, of func(*T) *model.Info) []string {
	out := make([]string, len(list))
	for i := range list {
		out[i] = of(&list[i]).Path
	}
	return out
}

// pairUp pairs the things of two designs by their names, after names of the old one were
// replaced by those that its things have in the new one. Of several of one name the first is
// paired with the first, and so on.
func pairUp(a, b *model.Design, renamed func(table, string) string) *pairs {
	p := &pairs{}
	for t := range tables {
		there := map[string]int{}
		after := numbered(names(b, t))
		for i, name := range after {
			there[name] = i
		}
		before := names(a, t)
		for i := range before {
			before[i] = renamed(t, before[i])
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
