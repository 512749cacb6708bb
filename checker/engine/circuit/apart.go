package circuit

import (
	"context"
	"encoding/binary"
	"slices"

	"pintle/lang/model"
)

// Apart lets what is asked be decided by cases: for each of some conditions, first where it
// does not hold and then where it does, each case by itself. It is called before anything is
// asked. Only conditions on one variable make cases: then all that is known in a case is known
// of variables, and circuits of which the same is known are alike. It changes no answer, but what each costs: a fault, or a fuse that may have blown,
// makes another circuit of a design, and where it is not known which of the two there is, the
// bounds of rails say little. The cases are also what circuits with different faults share.
func (c *Circuit) Apart(conds ...*model.Cond) {
	for _, x := range conds {
		w := Switch(len(c.switches))
		for i, known := range c.switches {
			if condKey(known.Cond) == condKey(x) {
				w = Switch(i)
			}
		}
		if int(w) == len(c.switches) {
			c.switches = append(c.switches, SwitchInfo{Cond: x})
		}
		c.apart = append(c.apart, w)
	}
	c.facts = newFacts(c.design, c.switches)
	c.apart = slices.DeleteFunc(c.apart, func(w Switch) bool {
		t := c.facts.terms[w]
		if t.op == model.CondNot {
			t = t.kids[0]
		}
		return t.op != model.CondAtom || t.v < 0
	})
}

// appendMasks writes all that is known of variables.
func (k *assignment) appendMasks(to []byte) []byte {
	for _, m := range k.masks {
		to = binary.AppendUvarint(to, m)
	}
	return to
}

// apart decides case by case.
func (d *decider) apart(ctx context.Context, k *assignment, cases []Switch) (*Decision, error) {
	for len(cases) > 0 && (k.known[cases[0]] != Depends || !d.turnsOn(k, cases[0])) {
		cases = cases[1:]
	}
	if len(cases) > 0 {
		return d.fork(k, cases[0], func(k *assignment) (*Decision, error) { return d.apart(ctx, k, cases[1:]) })
	}
	d.sound = len(d.c.apart) > 0 && !slices.ContainsFunc(d.c.apart, func(w Switch) bool { return k.known[w] == Yes })
	d.allow()
	d.giveUp, d.vain, d.climbs = 0, 0, 0
	states, corners := d.states, d.corners
	defer func() { d.count(ctx, states, corners) }()
	return d.remembered(k, func() (*Decision, error) { return d.decide(ctx, k) })
}

// turnsOn reports whether it may depend on a case how another switch of the scope stands.
func (d *decider) turnsOn(k *assignment, w Switch) bool {
	about := -1
	k.f.terms[w].each(func(v int) { about = v })
	found := false
	for _, s := range d.scope {
		if k.known[s] == Depends {
			k.rest(k.f.terms[s]).each(func(v int) { found = found || v == about })
		}
	}
	return found
}

// each calls f for the variables of a term.
func (t *term) each(f func(v int)) {
	if t.op == model.CondAtom && t.v >= 0 {
		f(t.v)
	}
	for _, kid := range t.kids {
		kid.each(f)
	}
}

// size counts the different parts of a term.
func (t *term) size() int {
	seen := map[*term]bool{}
	var walk func(t *term)
	walk = func(t *term) {
		if seen[t] {
			return
		}
		seen[t] = true
		for _, kid := range t.kids {
			walk(kid)
		}
	}
	walk(t)
	return len(seen)
}

// said reports whether all of a term could be read.
func (t *term) said() bool {
	return t != unknownTerm && t.op != model.CondUnknown && !slices.ContainsFunc(t.kids, func(kid *term) bool { return !kid.said() })
}

// rest is what is left of a term where what is known affects it.
func (k *assignment) rest(t *term) *term {
	switch k.eval(t) {
	case Yes:
		return &term{op: model.CondTrue}
	case No:
		return &term{op: model.CondFalse}
	}
	if len(t.kids) == 0 {
		return t
	}
	out := &term{op: t.op, v: t.v}
	for _, kid := range t.kids {
		if k.eval(kid) != Depends { // it would have decided, if it did
			continue
		}
		out.kids = append(out.kids, k.rest(kid))
	}
	if len(out.kids) == 1 && t.op != model.CondNot {
		return out.kids[0]
	}
	return out
}

// under is a decision as far as something is known.
func (d *Decision) under(k *assignment) *Decision {
	b := newBuilder()
	done := map[*Decision]*Decision{}
	var walk func(d *Decision) *Decision
	walk = func(d *Decision) *Decision {
		if d.IsLeaf() {
			return d
		}
		if out, ok := done[d]; ok {
			return out
		}
		var out *Decision
		switch k.known[d.Switch] {
		case Yes:
			out = walk(d.Closed)
		case No:
			out = walk(d.Open)
		default:
			out = b.branch(d.Switch, walk(d.Open), walk(d.Closed))
		}
		done[d] = out
		return out
	}
	return walk(d)
}
