package extremes

import (
	"encoding/binary"
	"math"
)

// What one volt of each free axis does to the readings of a network depends on its
// resistances and on which diodes conduct, not on where the axes lie. So it is solved once
// and kept: in a search over the switches of the rest of an island one part is asked about
// many times, with other intervals of its terminals.

// unitResponse is what one volt of each free axis adds to the forms, with the largest current
// that it sends through what holds a terminal, in A per V.
type unitResponse struct {
	parts   [][]float64 // of each form, in the order of forms.each
	largest []float64   // per axis
}

// mostResponses is how many are kept before all are forgotten.
const mostResponses = 256

// responses fills the slopes of the forms, from what is kept or by solving with one volt of
// each axis in turn; solve sets those of an axis. It counts as if all were solved, so that the
// work that is counted does not depend on what was asked before.
func (b *box) responses(on []bool, ohm []float64, f *forms, solve func(j int, unit []float64) float64) []float64 {
	b.p.solves += len(b.free)
	key := b.responseKey(on, ohm)
	if r := b.p.units[key]; r != nil {
		i := 0
		f.each(func(x *form) {
			copy(x.a, r.parts[i])
			i++
		})
		return r.largest
	}
	r := &unitResponse{largest: make([]float64, len(b.free))}
	unit := make([]float64, len(b.emf))
	for j, axis := range b.free {
		for _, m := range axis.moves {
			unit[m.branch] = m.by
		}
		b.p.solved.Add(1)
		r.largest[j] = solve(j, unit)
		for _, m := range axis.moves {
			unit[m.branch] = 0
		}
	}
	f.each(func(x *form) { r.parts = append(r.parts, append([]float64(nil), x.a...)) })
	if b.p.units == nil || len(b.p.units) >= mostResponses {
		b.p.units = map[string]*unitResponse{}
	}
	b.p.units[key] = r
	return r.largest
}

// responseKey is all that the slopes of the forms depend on.
func (b *box) responseKey(on []bool, ohm []float64) string {
	key := make([]byte, 0, 16*len(b.p.branches))
	for i, x := range ohm {
		if !b.in.Has(i) {
			key = append(key, 0)
			continue
		}
		state := byte(1)
		if on[i] {
			state = 2
		}
		key = binary.LittleEndian.AppendUint64(append(key, state), math.Float64bits(x))
	}
	for _, axis := range b.free {
		key = binary.AppendUvarint(key, uint64(len(axis.moves)))
		for _, m := range axis.moves {
			key = binary.LittleEndian.AppendUint64(binary.AppendUvarint(key, uint64(m.branch)), math.Float64bits(m.by))
		}
	}
	key = binary.AppendVarint(binary.AppendVarint(key, int64(b.r.Plus)), int64(b.r.Minus))
	for _, t := range b.r.Terms {
		key = binary.LittleEndian.AppendUint64(binary.AppendUvarint(key, uint64(t.Branch)), math.Float64bits(t.Times))
	}
	if b.r.Terms == nil {
		key = append(key, 0)
	}
	return string(key)
}
