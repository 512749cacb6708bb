package fault

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// ShortCurrent is what runs through a short to ground or to a feed in the states in which it
// joins a supply to its return, at nominal values with warm filaments.
type ShortCurrent struct {
	// Least and Most are the current of the short, in A, before anything opens: whatever
	// stands in its current path stands as it has to, and of the rest of the design once nothing and
	// once as much is switched on as can be together. Zero where there is no such state.
	Least, Most float64
	// Fuses carry the current of the short, in the order of the design.
	Fuses []FuseInShort
	// Opens are the fuses of which any may be the first to open, by path; see
	// circuit.FirstToOpen.
	Opens []string
	// Unsure is set where in some of these states no fuse surely opens.
	Unsure bool
}

// FuseInShort is a fuse in the current path of a short.
type FuseInShort struct {
	Path   string
	Rating float64 // A
	// Least and Most are the multiples of its rating that it carries.
	Least, Most float64
}

// Selective reports whether the same fuse is the first to open in every state.
func (c *ShortCurrent) Selective() bool { return len(c.Opens) == 1 && !c.Unsure }

// join takes in another short.
func (c *ShortCurrent) join(o *ShortCurrent) {
	if o.Most == 0 {
		return
	}
	if c.Most == 0 {
		*c = *o
		return
	}
	c.Least, c.Most, c.Unsure = min(c.Least, o.Least), max(c.Most, o.Most), c.Unsure || o.Unsure
	for _, f := range o.Opens {
		if !slices.Contains(c.Opens, f) {
			c.Opens = append(c.Opens, f)
		}
	}
	for _, f := range o.Fuses {
		at := slices.IndexFunc(c.Fuses, func(g FuseInShort) bool { return g.Path == f.Path })
		if at < 0 {
			c.Fuses = append(c.Fuses, f)
			continue
		}
		g := &c.Fuses[at]
		g.Least, g.Most = min(g.Least, f.Least), max(g.Most, f.Most)
	}
}

// note takes in what a state of a short shows.
func (s *shorts) note(x model.ElementID, sol *circuit.Solution, loads, first []circuit.FuseLoad) {
	amps := math.Abs(sol.Amps(x))
	state := ShortCurrent{Least: amps, Most: amps, Unsure: len(first) == 0}
	loads = slices.Clone(loads) // first is a part of them
	slices.SortFunc(loads, func(a, b circuit.FuseLoad) int { return a.Fuse - b.Fuse })
	for _, l := range loads {
		f := &s.d.Fuses[l.Fuse]
		state.Fuses = append(state.Fuses, FuseInShort{f.Path, f.Rating, l.Times, l.Times})
	}
	for _, l := range first {
		state.Opens = append(state.Opens, s.d.Fuses[l.Fuse].Path)
	}
	s.seen.join(&state)
}

// currentOf is the current of a short that an element makes. Errors: ErrWays, and those of the
// solver.
func currentOf(ctx context.Context, d *model.Design, c *circuit.Circuit, x model.ElementID) (*ShortCurrent, error) {
	s := newShorts(d, c, []join{{x, x}}, false)
	s.seen = &ShortCurrent{}
	if _, err := s.decide(ctx, c.Assume()); err != nil {
		return nil, err
	}
	slices.Sort(s.seen.Opens)
	return s.seen, nil
}

// short works out the current of a short and the fuses that may open first for it.
func (s *Sweep) short(ctx context.Context, row *Row) error {
	c, err := circuit.New(s.d, row.Faults[0].Actions)
	if err != nil {
		return nil
	}
	x := model.ElementID(len(s.d.Elements))
	for _, a := range row.Faults[0].Actions {
		if a.Thing.Kind == model.ThingElement && a.Mode == model.FaultShorted {
			x = model.ElementID(a.Thing.Index)
		}
	}
	if int(x) >= c.Elements() {
		return nil // nothing is joined: no short
	}
	got, err := currentOf(ctx, s.d, c, x)
	if errors.Is(err, ErrWays) {
		return nil
	}
	if err != nil {
		return err
	}
	row.Short = *got
	return nil
}

// WireProtection is what protects a wire against a short to ground at either end.
type WireProtection struct {
	Wire string
	Area float64 // mm2; 0: not stated
	ShortCurrent
	// Why says why it could not be worked out.
	Why string
}

// Protection lists for each wire that can feed a short to ground what runs through it then and
// which fuse opens.
func (s *Sweep) Protection(ctx context.Context, only func(wire string) bool) ([]WireProtection, error) {
	var out []WireProtection
	d := s.d
	if d.Ground == model.None {
		return nil, nil
	}
	for i := range d.Wires {
		w := &d.Wires[i]
		if w.Element == model.None || w.Broken || d.Elements[w.Element].Broken || only != nil && !only(w.Path) {
			continue
		}
		row := WireProtection{Wire: w.Path}
		if w.AreaSet {
			row.Area = w.Area
		}
		short := circuit.Overlay{{Thing: model.Thing{Kind: model.ThingElement, Index: int(w.Element), Path: w.Path}, Mode: model.FaultToGround}}
		added, err := circuit.Added(d, short)
		if err != nil || len(added) != 1 {
			continue
		}
		e := d.Elements[w.Element]
		for _, end := range [...]model.NodeID{e.A, e.B} {
			copied := *d
			x := added[0]
			x.A, x.B = d.Ground, end
			copied.Elements = append(slices.Clone(d.Elements), x)
			c, err := circuit.New(&copied, nil)
			if err != nil {
				return nil, err
			}
			got, err := currentOf(ctx, &copied, c, model.ElementID(len(d.Elements)))
			switch {
			case errors.Is(err, ErrWays):
				row.Why = cmp.Or(row.Why, err.Error())
			case err != nil:
				return nil, err
			default:
				row.join(got)
			}
		}
		if row.Most > 0 || row.Why != "" {
			slices.Sort(row.Opens)
			out = append(out, row)
		}
	}
	return out, nil
}
