package elaborate

import (
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
	gone := map[what]map[int32]bool{}
	for _, x := range b.failed {
		w := table(x.what)
		if gone[w] == nil {
			gone[w] = map[int32]bool{}
		}
		gone[w][x.id] = true
	}
	m := b.d
	moved := map[what][]int32{}
	squeeze(moved, gone, aWire, &m.Wires)
	squeeze(moved, gone, aSupply, &m.Supplies)
	squeeze(moved, gone, aCoil, &m.Coils)
	squeeze(moved, gone, aContact, &m.Contacts)
	squeeze(moved, gone, aChart, &m.Charts)
	squeeze(moved, gone, aLoad, &m.Loads)
	squeeze(moved, gone, aResistor, &m.Resistors)
	squeeze(moved, gone, aDiode, &m.Diodes)
	squeeze(moved, gone, aFuse, &m.Fuses)
	squeeze(moved, gone, aSender, &m.Senders)
	squeeze(moved, gone, anInput, &m.Readings)
	squeeze(moved, gone, aDriver, &m.Drivers)
	squeeze(moved, gone, aPassage, &m.Passages)

	for _, y := range b.bodies {
		for i := range y.ents {
			x := &y.ents[i]
			if to := moved[table(x.what)]; to != nil {
				x.id = to[x.id]
			}
		}
	}
	if to := moved[aWire]; to != nil {
		for _, g := range b.wires {
			for i, id := range g {
				g[i] = int(to[id])
			}
		}
	}
	if to := moved[aSupply]; to != nil {
		b.terminal = squeezed(b.terminal, to)
	}
	for _, w := range [...]what{aCoil, aContact, aDriver} {
		if to := moved[w]; to != nil {
			b.sources[w] = squeezed(b.sources[w], to)
		}
	}
	b.renumber(moved)
}

// table is the kind that names the table of a thing: hoses are passages.
func table(w what) what {
	if w == aHose {
		return aPassage
	}
	return w
}

// squeeze removes what is gone from a table and notes where the rest moved, -1 for what
// is gone itself.
func squeeze[T any](moved map[what][]int32, gone map[what]map[int32]bool, w what, list *[]T) {
	if len(gone[w]) == 0 {
		return
	}
	to := make([]int32, len(*list))
	next := int32(0)
	for i := range to {
		if gone[w][int32(i)] {
			to[i] = -1
			continue
		}
		to[i] = next
		next++
	}
	moved[w] = to
	*list = squeezed(*list, to)
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
var ofElement = map[model.ElementType]what{
	model.ElemWire: aWire, model.ElemContact: aContact, model.ElemChart: aChart, model.ElemCoil: aCoil, model.ElemLoad: aLoad,
	model.ElemResistor: aResistor, model.ElemDiode: aDiode, model.ElemFuse: aFuse, model.ElemSupply: aSupply,
	model.ElemDriver: aDriver, model.ElemPull: anInput,
}

// renumber follows what moved in elements, memories and armatures.
func (b *builder) renumber(moved map[what][]int32) {
	m := b.d
	for i := range m.Elements {
		e := &m.Elements[i]
		if to := moved[ofElement[e.Type]]; to != nil {
			e.Of = int(to[e.Of])
		}
	}
	if to := moved[anInput]; to != nil {
		for i := range m.Memories {
			mem := &m.Memories[i]
			if mem.MemKind != model.MemLevel {
				continue
			}
			mem.Of = int(to[mem.Of])
			mem.Broken = mem.Broken || mem.Of < 0
		}
	}
	to := moved[aCoil]
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
