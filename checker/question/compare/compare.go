// Package compare says exactly in what two designs behave differently.
//
// Both become one system of states that stand side by side ([product]): what is moved from outside
// they have in common, and what remembers is one variable where the same rules move it in both, and two where
// not. That system is explored to the end. What a result, a load, a mode, a coil, a driver, a fuse or
// an end of a fluid path is in the one and not in the other, in some state that is reached, is a
// difference, with the shortest moves that lead there and a drive that passes on the old design and
// fails on the new one. Where there is no such state, that is a proof.
//
// # What the comparison is over
//
// Inputs that both have move together, as far as both let them: a position or a stretch that only one has, a move that only
// one makes, is left out, and told as a difference of the inputs. Inputs that only one has move as
// they like. Options are compared combination by combination.
//
// Everything is first compared at nominal values with filaments warm, then with all supplies at the
// lower and at the upper ends of their ranges. Other tolerances are not followed.
//
// # Time
//
// Time is exact: a difference counts if it can last, however shortly. Where a timer is over in both
// at once, or modes step, and one design is merely the first in the order of steps in no time, that
// is none.
package compare

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Result is what came of comparing two designs.
type Result struct {
	Differences []Difference
	// Open are outputs of which it is undecided whether they differ.
	Open []Open
	// Gained and Lost are outputs that only one design has.
	Gained, Lost []Output
	// Inputs are what differs in what is moved from outside and in what is assumed of it.
	Inputs []string
	// Durations are timers and beats that last otherwise.
	Durations []string
	// Renamed are things that have another name now, and are otherwise compared as the same.
	Renamed []Rename
	// Changes are values and joins that are other ones. They need not change what the design does.
	Changes []Change
	// Outputs counts what was compared, Corners in how many corners; 0 where the two are the same to the last
	// word.
	Outputs, Corners int

	named *renaming
}

// Output is something that a design does.
type Output struct{ Kind, Name string }

// Open is an output of which it is undecided whether it differs.
type Open struct {
	Output
	Corner string
	Why    string
}

// Difference is one way in which an output is another than it was.
type Difference struct {
	Output
	// NewName is what it is called in the new design, where that is something else.
	NewName string
	// Was and Is are its states: "turning", "off". Empty: none that the other design does not have, too.
	Was, Is string
	Where
	// Corner is where the supplies stand, in words; empty: at nominal values.
	Corner string
	// Moves lead there.
	Moves []diag.Line
	// Drive passes on the old design and fails on the new one; DriveAfter is the same in the names of
	// the new one, where those are others. Both are empty where no drive shows it, and Note says why.
	Drive, DriveAfter string
	Note              string
	// As is the index of an earlier difference that is there in the very same states, or -1.
	As int
}

// NewName is a path of the old design, or a text with paths, in the names of the new one.
func (r *Result) NewName(text string) string {
	if r.named == nil {
		return text
	}
	return r.named.of(text)
}

// Same reports whether it is proved that both behave the same.
func (r *Result) Same() bool {
	return len(r.Differences)+len(r.Open)+len(r.Gained)+len(r.Lost)+len(r.Inputs)+len(r.Durations) == 0
}

// Designs compares two designs. Errors are those of the context and of engines that can't answer.
func Designs(old, new *rule.Pass) (out *Result, err error) {
	var inner error
	err = old.Ask(func(p *rule.Pass) {
		inner = new.Ask(func(q *rule.Pass) {
			var r *Result
			r, inner = compare(p, q)
			p.StopOn(inner)
			out = r
		})
		p.StopOn(inner)
	})
	return out, err
}

func compare(p, q *rule.Pass) (*Result, error) {
	out := &Result{}
	if Identical(p, q) {
		out.Outputs = len(outputsOf(p.Design))
		return out, nil
	}
	w := &work{p: p, q: q, out: out}
	named := renames(p.Protected().Design(), q.Protected().Design())
	w.named, out.named = named, named
	w.with = pairUp(named.a, named.b, named.of)
	out.Renamed = named.top()
	out.Changes = changes(named.a, named.b, w.with)
	a, b, err := sides(p, q, w.with)
	if err != nil {
		return nil, err
	}
	w.inputs(a, b)
	w.durations()
	if err := w.corner(a, b, ""); err != nil {
		return nil, err
	}
	return out, w.supplies(a, b)
}

// supplies compares with all supplies at the lower ends of the ranges that both designs have for
// them, then at the upper ends.
func (w *work) supplies(a, b *side) error {
	type ends struct{ lo, hi float64 }
	common := map[int]ends{}
	for i, j := range w.with.to[supplies] {
		if j == model.None {
			continue
		}
		x, y := &a.d.Supplies[i], &b.d.Supplies[j]
		if x.HasRange && y.HasRange && !x.Broken && !y.Broken {
			common[i] = ends{max(x.Lo.Float64(), y.Lo.Float64()), min(x.Hi.Float64(), y.Hi.Float64())}
		}
	}
	if len(common) == 0 {
		return nil
	}
	for _, high := range [...]bool{false, true} {
		k, l := circuit.Nominal, circuit.Nominal
		for i, j := range w.with.to[supplies] {
			e, ok := common[i]
			if !ok || e.lo > e.hi {
				continue
			}
			volts := e.lo
			if high {
				volts = e.hi
			}
			k = a.s.Circuit().WithSupply(k, model.SupplyID(i), volts)
			l = b.s.Circuit().WithSupply(l, model.SupplyID(j), volts)
		}
		x, err := a.at(w.p.Ctx, k)
		if err != nil {
			return err
		}
		y, err := b.at(w.p.Ctx, l)
		if err != nil {
			return err
		}
		if err := w.corner(x, y, a.s.Describe(k)); err != nil {
			return err
		}
	}
	return nil
}

// Identical reports whether two designs are read from the same texts, so that there is nothing to be
// compared.
func Identical(p, q *rule.Pass) bool {
	texts := func(p *rule.Pass) []string {
		out := []string{p.Root.Src.Text}
		for _, f := range p.Read.Files {
			out = append(out, f.Src.Text)
		}
		return out
	}
	return p.Root != nil && q.Root != nil && p.Read != nil && q.Read != nil && p.Design.Name == q.Design.Name && slices.Equal(texts(p), texts(q))
}

// work is the comparison of two designs.
type work struct {
	p, q  *rule.Pass
	named *renaming
	with  *pairs
	out   *Result

	groups []group
}

// corner compares two sides that stand in one corner, and adds what differs there and not before.
func (w *work) corner(a, b *side, corner string) error {
	before, after := a.outputs(), b.outputs()
	if err := a.prepare(before); err != nil {
		return err
	}
	if err := b.prepare(after); err != nil {
		return err
	}
	p, err := newProduct(w.p.Ctx, a, b, w.with)
	if err != nil {
		return err
	}
	w.out.Corners++
	paired := map[int]bool{}
	for i := range before {
		j := w.twin(&before[i], after)
		if j < 0 {
			if corner == "" {
				w.out.Lost = append(w.out.Lost, Output{before[i].kind, before[i].path})
			}
			continue
		}
		paired[j] = true
		got, err := p.judge(&before[i], &after[j])
		if err != nil {
			return err
		}
		if corner == "" {
			w.out.Outputs++
		}
		if err := w.add(p, got, corner); err != nil {
			return err
		}
	}
	for j := range after {
		if !paired[j] && corner == "" {
			w.out.Gained = append(w.out.Gained, Output{after[j].kind, after[j].path})
		}
	}
	return nil
}

// group is what differs in the same states.
type group struct {
	p    *product
	when *logic.Expr
	at   int // of its first difference
}

// mostGroups bounds the groups that a difference is held against.
const mostGroups = 16

// alike finds the earlier difference that is there in the same states; -1: none.
func (w *work) alike(p *product, when *logic.Expr) (int, error) {
	for _, g := range w.groups {
		if g.p != p {
			continue
		}
		v, err := p.ever(p.xor(g.when, when))
		if err != nil {
			return -1, err
		}
		if v.Outcome == reach.Holds {
			return g.at, nil
		}
	}
	if len(w.groups) < mostGroups {
		w.groups = append(w.groups, group{p, when, len(w.out.Differences)})
	}
	return -1, nil
}

// twin is the output of the new design that one of the old design is; -1: none.
func (w *work) twin(o *output, after []output) int {
	to := w.with.to[o.table][o.index]
	if to == model.None {
		return -1
	}
	for j := range after {
		if after[j].kind == o.kind && after[j].table == o.table && after[j].index == to {
			return j
		}
	}
	return -1
}

// add tells what came of comparing one output.
func (w *work) add(p *product, j *judged, corner string) error {
	of := Output{j.old.kind, j.old.path}
	for i := range w.out.Differences {
		if corner != "" && w.out.Differences[i].Output == of {
			return nil // told at nominal values
		}
	}
	for i := range j.found {
		f := &j.found[i]
		d := Difference{Output: of, Corner: corner}
		if j.new.path != j.old.path {
			d.NewName = j.new.path
		}
		if f.was >= 0 {
			d.Was = j.old.ways[f.was].name
		}
		if f.is >= 0 {
			d.Is = j.new.ways[f.is].name
		}
		var err error
		if d.Where, err = p.where(f.when); err != nil {
			return err
		}
		got, err := p.show(j, f, p.driveName(len(w.out.Differences)+1))
		if err != nil {
			return err
		}
		d.Moves, d.Drive, d.DriveAfter, d.Note = got.moves, got.drive, got.after, got.note
		if d.Drive == "" && f.raced {
			j.why = "which of several things that move at once is faster decides, and the two designs need not have the same order"
			continue
		}
		if d.Drive == "" && f.trace != nil && f.trace.Timed && p.timedApart(j.differ) {
			j.why = "it was found only at the very moment at which a time is over, where the order of what happens at once decides"
			continue
		}
		if d.As, err = w.alike(p, f.when); err != nil {
			return err
		}
		w.out.Differences = append(w.out.Differences, d)
	}
	if j.why != "" {
		w.out.Open = append(w.out.Open, Open{of, corner, j.why})
	}
	return nil
}
