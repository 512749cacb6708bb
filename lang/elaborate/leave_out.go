package elaborate

import (
	"pintle/lang/schema"
	"slices"

	"pintle/lang/model"
)

// leaveOut takes the things that could not be placed in the design out of its tables,
// so that everything in a table has its nodes and elements. It runs after the wiring,
// before anything but the wiring has numbers of what is in the tables.
func (b *builder) leaveOut() {
	if len(b.failed) == 0 {
		return
	}
	gone := map[schema.ID]map[int32]bool{}
	for _, x := range b.failed {
		w := sharing(x.kind)
		if gone[w] == nil {
			gone[w] = map[int32]bool{}
		}
		gone[w][x.id] = true
	}
	moved := map[schema.ID][]int32{}
	for k := range kinds {
		id := schema.ID(k)
		if len(gone[id]) > 0 {
			moved[id] = kinds[k].table.squeeze(b.d, gone[id])
		}
	}

	for _, y := range b.bodies {
		for i := range y.ents {
			x := &y.ents[i]
			if to := moved[sharing(x.kind)]; to != nil {
				x.id = to[x.id]
			}
		}
	}
	if to := moved[schema.Wire]; to != nil {
		for _, g := range b.wires {
			for i, id := range g {
				g[i] = int(to[id])
			}
		}
	}
	if to := moved[schema.Supply]; to != nil {
		b.terminal = squeezed(b.terminal, to)
	}
	for _, w := range [...]schema.ID{schema.Coil, schema.Contact, schema.Driver} {
		if to := moved[w]; to != nil {
			b.sources[w] = squeezed(b.sources[w], to)
		}
	}
	b.renumber(moved)
}

// sharing is the kind that names the table of a thing: hoses are passages.
func sharing(w schema.ID) schema.ID {
	if w == schema.Hose {
		return schema.Passage
	}
	return w
}

// squeeze removes what is gone from a table, and returns where the rest moved: -1 for what
// is gone itself.
func squeeze[T any](list *[]T, gone map[int32]bool) []int32 {
	to := make([]int32, len(*list))
	next := int32(0)
	for i := range to {
		if gone[int32(i)] {
			to[i] = -1
			continue
		}
		to[i] = next
		next++
	}
	*list = squeezed(*list, to)
	return to
}

func squeezed[T any](list []T, to []int32) []T {
	out := list[:0]
	for i := range list {
		if i < len(to) && to[i] >= 0 {
			out = append(out, list[i])
		}
	}
	return out
}

// ofElement is the table that Of of an element of the type indexes.
var ofElement = map[model.ElementType]schema.ID{
	model.ElemWire: schema.Wire, model.ElemContact: schema.Contact, model.ElemChart: schema.Chart, model.ElemCoil: schema.Coil, model.ElemLoad: schema.Load,
	model.ElemResistor: schema.Resistor, model.ElemDiode: schema.Diode, model.ElemFuse: schema.Fuse, model.ElemSupply: schema.Supply,
	model.ElemDriver: schema.Driver, model.ElemPull: schema.Input,
}

// renumber follows what moved in elements, memories and armatures.
func (b *builder) renumber(moved map[schema.ID][]int32) {
	m := b.d
	for i := range m.Elements {
		e := &m.Elements[i]
		if to := moved[ofElement[e.Type]]; to != nil {
			e.Of = int(to[e.Of])
		}
	}
	if to := moved[schema.Input]; to != nil {
		for i := range m.Memories {
			mem := &m.Memories[i]
			if mem.MemKind != model.MemLevel {
				continue
			}
			mem.Of = int(to[mem.Of])
			mem.Broken = mem.Broken || mem.Of < 0
		}
	}
	to := moved[schema.Coil]
	if to == nil {
		return
	}
	for i := range m.Armatures {
		a := &m.Armatures[i]
		coil := func(id model.CoilID) model.CoilID {
			if id == model.None {
				return id
			}
			a.Broken = a.Broken || to[id] < 0
			return model.CoilID(to[id])
		}
		a.Set, a.Release = coil(a.Set), coil(a.Release)
		for j := range a.Moved {
			a.Moved[j].Coil = coil(a.Moved[j].Coil)
		}
		a.Moved = slices.DeleteFunc(a.Moved, func(w model.Winding) bool { return w.Coil == model.None })
	}
}
