package circuit

import (
	"cmp"
	"math"
	"slices"

	"pintle/lang/model"
)

const (
	// FuseOpens is the multiple of its rating from which on a fuse surely opens: a blade
	// fuse within 5 s (ISO 8820-3, the longest time at 2.00 times the rating, seen
	// second-hand). At 1.10 times it holds for 100 h (same standard, from memory); between
	// the two it may do either, and is taken to hold.
	FuseOpens = 2.0
	// FuseSelective is how many times as high the multiple of one fuse has to be for it to
	// open before another one: the ratio of ratings at which fuses in series are taken to be
	// selective (common practice, no source for blade fuses).
	FuseSelective = 1.6
)

// FuseLoad is what a fuse carries in a state.
type FuseLoad struct {
	Fuse int     // index in Design.Fuses
	Amps float64 // A, a magnitude
	// Times is the multiple of the rating.
	Times float64
}

// FuseLoads lists the fuses that carry a current, the highest multiple of the rating
// first.
func (s *Solution) FuseLoads() []FuseLoad {
	var out []FuseLoad
	for i := range s.c.design.Fuses {
		f := &s.c.design.Fuses[i]
		if f.Broken || f.Element == model.None || f.Rating <= 0 || !s.Conducts(f.Element) {
			continue
		}
		if amps := math.Abs(s.Amps(f.Element)); amps > 0 {
			out = append(out, FuseLoad{i, amps, amps / f.Rating})
		}
	}
	slices.SortStableFunc(out, func(a, b FuseLoad) int { return cmp.Compare(b.Times, a.Times) })
	return out
}

// FirstToOpen lists those of some fuses, ordered as by FuseLoads, of which any may be the
// first to open: the one that carries the highest multiple of its rating, if that is enough
// to open it, and those that carry nearly as much and enough. Nil where none opens.
func FirstToOpen(loads []FuseLoad) []FuseLoad {
	return FirstOf(loads, func(i, j int) bool { return true })
}

// FirstOf is FirstToOpen where only some fuses are saved by another one that opens: rivals reports
// of which two, by index, that is so.
func FirstOf(loads []FuseLoad, rivals func(i, j int) bool) []FuseLoad {
	var out []FuseLoad
	for _, l := range loads {
		saved := slices.ContainsFunc(loads, func(o FuseLoad) bool {
			return l.Times*FuseSelective <= o.Times && rivals(l.Fuse, o.Fuse)
		})
		if l.Times >= FuseOpens && !saved {
			out = append(out, l)
		}
	}
	return out
}
