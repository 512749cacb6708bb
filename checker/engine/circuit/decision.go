package circuit

import (
	"slices"

	"pintle/lang/model"
)

// Freedom is a set of the things that a design leaves open.
type Freedom uint8

// What may be left open.
const (
	OverSupply Freedom = 1 << iota
	OverTolerance
	OverWarmth

	OverAll = OverSupply | OverTolerance | OverWarmth
)

// Decision is the answer to one question as a function of the switches: a diagram
// of decisions, each on one switch. Decisions do not change and parts of them are
// shared, so that a caller may remember by pointer what it made of one. States that
// cannot be, because conditions exclude one another, may get any answer.
type Decision struct {
	// Switch that decides, with what follows; Switch is negative at a leaf.
	Switch       Switch
	Open, Closed *Decision
	// At a leaf.
	Leaf
}

// Leaf is an answer.
type Leaf struct {
	Answer Tri
	// Nominal is the answer in the corner that was asked about; it is the Answer
	// unless that is Depends.
	Nominal Tri
	// Why is the reason of Undecided, for people.
	Why string
	// On reports what a Depends depends on, and Param what it depends on most.
	On    Freedom
	Param ParamID
	// Yes and No are corners that show each answer of a Depends.
	Yes, No Corner
}

// IsLeaf reports whether the decision is an answer.
func (d *Decision) IsLeaf() bool { return d.Switch < 0 }

// At walks to the leaf of a state.
func (d *Decision) At(closed func(Switch) bool) *Decision {
	for !d.IsLeaf() {
		if closed(d.Switch) {
			d = d.Closed
		} else {
			d = d.Open
		}
	}
	return d
}

// settled reports whether all answers are Yes or No.
func (d *Decision) settled() bool {
	return !slices.ContainsFunc(d.Leaves(), func(d *Decision) bool { return d.Answer > Yes })
}

// Each calls f once for each distinct part of the decision, parts before wholes.
func (d *Decision) Each(f func(*Decision)) {
	seen := map[*Decision]bool{}
	var walk func(*Decision)
	walk = func(d *Decision) {
		if seen[d] {
			return
		}
		seen[d] = true
		if !d.IsLeaf() {
			walk(d.Open)
			walk(d.Closed)
		}
		f(d)
	}
	walk(d)
}

// Switches returns the switches that the answer depends on, ascending.
func (d *Decision) Switches() []Switch {
	var out []Switch
	d.Each(func(d *Decision) {
		if !d.IsLeaf() {
			out = append(out, d.Switch)
		}
	})
	slices.Sort(out)
	return slices.Compact(out)
}

// Leaves returns the distinct leaves, in the order in which a walk that takes open
// before closed meets them.
func (d *Decision) Leaves() []*Decision {
	var out []*Decision
	d.Each(func(d *Decision) {
		if d.IsLeaf() {
			out = append(out, d)
		}
	})
	return out
}

// Cond writes where the decision's leaves are accepted, as a condition over the
// conditions of the switches.
func (c *Circuit) Cond(d *Decision, accept func(*Leaf) bool) *model.Cond {
	done := map[*Decision]*model.Cond{}
	d.Each(func(d *Decision) {
		switch {
		case d.IsLeaf() && accept(&d.Leaf):
			done[d] = model.True
		case d.IsLeaf():
			done[d] = model.False
		default:
			w := c.switches[d.Switch].Cond
			done[d] = model.Or(
				model.And(w, done[d.Closed]),
				model.And(model.Not(w), done[d.Open]),
			)
		}
	})
	return done[d]
}

// builder makes decisions of which equal ones are one.
type builder struct {
	leaves   map[Leaf]*Decision
	branches map[branchKey]*Decision
}

type branchKey struct {
	w            Switch
	open, closed *Decision
}

func newBuilder() *builder {
	return &builder{leaves: map[Leaf]*Decision{}, branches: map[branchKey]*Decision{}}
}

// plain are the leaves of answers that depend on nothing: most by far, and the same ones
// in every decision.
var plain = [...]*Decision{
	No:  {Switch: -1, Leaf: Leaf{Answer: No, Nominal: No}},
	Yes: {Switch: -1, Leaf: Leaf{Answer: Yes, Nominal: Yes}},
}

func (b *builder) leaf(l Leaf) *Decision {
	if l.Answer <= Yes {
		return plain[l.Answer]
	}
	if d, ok := b.leaves[l]; ok {
		return d
	}
	d := &Decision{Switch: -1, Leaf: l}
	b.leaves[l] = d
	return d
}

// branch decides on a switch. A side that cannot be is nil and leaves the other.
func (b *builder) branch(w Switch, open, closed *Decision) *Decision {
	switch {
	case open == nil || open == closed:
		return closed
	case closed == nil:
		return open
	}
	key := branchKey{w, open, closed}
	if d, ok := b.branches[key]; ok {
		return d
	}
	d := &Decision{Switch: w, Open: open, Closed: closed}
	b.branches[key] = d
	return d
}
