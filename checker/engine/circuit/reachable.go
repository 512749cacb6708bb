package circuit

import (
	"context"
	"fmt"

	"pintle/lang/model"
)

// metal decides a question that asks for metal: what known metal reaches is reached,
// what even all maybe metal does not reach is not, and otherwise the nearest maybe
// metal on the way decides.
func (d *decider) metal(ctx context.Context, k *assignment, depth int) (*Decision, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	d.states++
	a := d.q.Atom
	n := model.NodeID(a.Index)
	yes := func(b bool) (*Decision, error) { return d.b.leaf(Leaf{Answer: triOf(b), Nominal: triOf(b)}), nil }
	var answer Tri
	var w Switch
	switch a.Kind {
	case model.AtomLive:
		answer, w = d.reaches(k, n, d.livePlace())
	case model.AtomGrounded:
		answer, w = d.reaches(k, n, d.groundPlace())
	case model.AtomJoined:
		answer, w = d.reaches(k, model.NodeID(a.Other), origin{start: []model.NodeID{n}, f: metalOnly})
	default: // floating: neither live nor grounded
		live, one := d.reaches(k, n, d.livePlace())
		grounded, two := d.reaches(k, n, d.groundPlace())
		switch {
		case live == Yes || grounded == Yes:
			answer = No
		case live == No && grounded == No:
			answer = Yes
		case live == Depends:
			answer, w = Depends, one
		default:
			answer, w = Depends, two
		}
	}
	if answer != Depends {
		return yes(answer == Yes)
	}
	if depth >= 2*maxSwitches || d.states >= d.mostMetal() {
		d.met = true
		return d.b.leaf(Leaf{
			Answer: Undecided, Nominal: Undecided,
			Why: fmt.Sprintf("more than %d ways through switches join it", depth),
		}), nil
	}
	return d.fork(k, w, func(k *assignment) (*Decision, error) { return d.metal(ctx, k, depth+1) })
}

// mostMetal is how many states a question that asks for metal may look at.
func (d *decider) mostMetal() int {
	if d.steps().vain.Load() > vainSteps {
		return fewMetal
	}
	return maxStates
}

// origin is where a spread through metal starts, and how it passes diodes. Supplies
// are starts with an element that must conduct.
type origin struct {
	start    []model.NodeID
	supplies []model.ElementID
	f        follow
}

func (d *decider) livePlace() origin {
	p := origin{f: forward}
	for i := range d.c.elems {
		if e := &d.c.elems[i]; e.Type == model.ElemSupply && !e.shorted && d.c.switchOf[i] != never {
			p.supplies = append(p.supplies, model.ElementID(i))
		}
	}
	return p
}

func (d *decider) groundPlace() origin { return origin{start: d.c.grounds(), f: backward} }

// reaches reports whether a spread reaches a node: Yes or No whatever the unknown
// switches do, else Depends with the first unknown switch on a way of fewest.
func (d *decider) reaches(k *assignment, to model.NodeID, p origin) (Tri, Switch) {
	c := d.c
	barred := model.NodeID(model.None)
	if p.f == forward {
		barred = c.design.Ground
	}
	type reached struct {
		n     model.NodeID
		first Switch // -1: none yet
	}
	seen := make([]bool, len(c.design.Nodes))
	var now, next []reached
	enter := func(n model.NodeID, e model.ElementID, first Switch) {
		if n == barred || seen[n] {
			return
		}
		switch w := c.switchOf[e]; {
		case w == never || w >= 0 && k.known[w] == No:
		case w == always || k.known[w] == Yes:
			seen[n] = true
			now = append(now, reached{n, first})
		case first < 0:
			next = append(next, reached{n, w})
		default:
			next = append(next, reached{n, first})
		}
	}
	for _, n := range p.start {
		seen[n] = true
		now = append(now, reached{n, -1})
	}
	for _, s := range p.supplies {
		enter(c.elems[s].B, s, -1)
	}
	for len(now) > 0 {
		for ; len(now) > 0; now = now[1:] {
			at := now[0]
			if at.n == to {
				if at.first < 0 {
					return Yes, -1
				}
				return Depends, at.first
			}
			for _, l := range c.metal[c.metalAt[at.n]:c.metalAt[at.n+1]] {
				if p.f.passes(&c.elems[l.element], at.n) {
					enter(l.to, l.element, at.first)
				}
			}
		}
		for _, r := range next {
			if !seen[r.n] {
				seen[r.n] = true
				now = append(now, r)
			}
		}
		next = nil
	}
	return No, -1
}
