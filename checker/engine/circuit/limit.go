package circuit

import (
	"cmp"
	"context"
	"sync/atomic"

	"pintle/checker/engine/budget"
)

// steps are those of Limit, and what was spent of them.
type steps struct {
	most, states, corners, vain atomic.Int64
	cut                         atomic.Bool // some decision was cut short by them
}

// DefaultSteps is the limit of a circuit that none is set for.
const DefaultSteps = 20_000_000

// Limit bounds the work that goes into questions that the bounds of rails do not decide, over
// all questions together. It bounds two things, each by itself: the states that are looked at,
// times the elements of their islands; and the corners of parts of islands that are solved,
// times the elements of these. When one is spent, what is still asked is decided by bounds or
// left undecided. Both are counted, so that they do not depend on the machine. 0 is
// DefaultSteps.
//
// Cases in which none of the conditions of Apart holds have a limit of their own, sound: circuits
// that differ in their faults have these in common, and a Memo decides them once for all.
func (c *Circuit) Limit(steps, sound int) {
	c.steps.most.Store(int64(steps))
	c.sound.most.Store(int64(sound))
}

// elements counts the elements of the islands of the question.
func (d *decider) elements() int {
	n := 1
	for _, i := range d.islands {
		n += len(i.Elements)
	}
	return n
}

// allow sets how many states the decision may look at from here on, and for how many elements
// it may solve for corners.
func (d *decider) allow() {
	d.spent, d.cut, d.met = false, false, false
	all := cmp.Or(d.steps().most.Load(), DefaultSteps)
	left := int(all - d.steps().states.Load())
	most := min(max(maxElements/d.elements(), fewStates), maxStates)
	if d.steps().vain.Load() > vainSteps {
		d.spent = true
		most = fewStates
	}
	if d.cap > 0 && d.cap < most {
		d.most, d.parted = d.states+d.cap, d.corners+maxCorners
		return
	}
	corners := maxCorners
	if most*d.elements() > left {
		d.spent = true
		most = max(left/d.elements(), leastStates)
	}
	if left := int(all - d.steps().corners.Load()); corners > left {
		d.spent = true
		corners = max(left, 0)
	}
	d.most, d.parted = d.states+most, d.corners+corners
}

// stopped notes that the decision may look at no more.
func (d *decider) stopped() {
	if d.spent {
		d.cut = true
		d.steps().cut.Store(true)
	}
}

// steps are those that the case that is decided counts.
func (d *decider) steps() *steps {
	if d.sound {
		return &d.c.sound
	}
	return &d.c.steps
}

// count adds what one case took, from so many states and corners on, to what is spent.
func (d *decider) count(ctx context.Context, states, corners int) {
	looked, solved := int64(d.states-states)*int64(d.elements()), int64(d.corners-corners)
	b := budget.From(ctx)
	b.Spend(budget.States, looked)
	b.Spend(budget.Corners, solved)
	if d.cap > 0 { // what Quick does not decide is decided again
		return
	}
	d.steps().states.Add(looked)
	d.steps().corners.Add(solved)
	if d.met {
		d.steps().vain.Add(looked) // corners are counted by other measures
	}
}
