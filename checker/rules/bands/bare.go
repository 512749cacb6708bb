package bands

import (
	"fmt"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// deepest bounds how far named conditions are looked through, in case they go round.
const deepest = 20

// bareComparisons reports what contacts and drivers compare with a quantity directly, or
// through a named condition, and what modes go to and fro by. What a threshold, a timer, a
// result or a band makes of a comparison comes with what these keep.
func bareComparisons(p *rule.Pass) {
	d := p.Design
	told := map[*model.Cond]bool{}
	for i := range d.Contacts {
		if k := &d.Contacts[i]; !k.Broken {
			bareIn(p, &k.Info, k.When, told)
		}
	}
	for i := range d.Drivers {
		if k := &d.Drivers[i]; !k.Broken {
			bareIn(p, &k.Info, k.When, told)
		}
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		if m.Broken {
			continue
		}
		for j := range m.Transitions {
			for k := j + 1; k < len(m.Transitions); k++ {
				toAndFro(p, m, &m.Transitions[j], &m.Transitions[k])
			}
		}
	}
}

// bareIn reports the comparisons in one condition under which something conducts.
func bareIn(p *rule.Pass, on *model.Info, when *model.Cond, told map[*model.Cond]bool) {
	if when == nil || !when.Known() {
		return
	}
	var found []*model.Cond
	eachAtom(p.Design, when, deepest, func(c *model.Cond) {
		if q, ok := subject(p.Design, &c.Atom); ok && !told[c] && trembles(p.Design, q) {
			found = append(found, c)
		}
	})
	if found == nil || !turns(p, when) {
		return
	}
	for _, c := range found {
		if told[c] || !turns(p, c) {
			continue
		}
		told[c] = true
		p.Report(diag.Finding{
			Place:   c.Place,
			Subject: on.Path,
			Message: fmt.Sprintf("%s switches at one value, %s, with no dead band", on.Path, p.Design.Words(c)),
			Help:    "let a threshold decide that clears a little below where it sets (or above, on the way down)",
		})
	}
}

// eachAtom calls f for the atoms of a condition and of those that it names.
func eachAtom(d *model.Design, c *model.Cond, deep int, f func(*model.Cond)) {
	c.Atoms(func(c *model.Cond) {
		if c.Atom.Kind == model.AtomCondition && deep > 0 {
			eachAtom(d, d.Conditions[c.Atom.Index].Cond, deep-1, f)
			return
		}
		f(c)
	})
}

// subject is the quantity that an atom compares with a value.
func subject(d *model.Design, a *model.Atom) (model.QuantityID, bool) {
	switch a.Kind {
	case model.AtomQuantity:
		return model.QuantityID(a.Index), true
	case model.AtomReading:
		q := d.Readings[a.Index].Quantity
		return q, q != model.None
	}
	return model.None, false
}

// trembles reports whether a quantity moves both ways by itself. One that assumptions let rise
// and fall only while something on the vehicle acts, as a window or a crane is moved, stands
// still otherwise.
func trembles(d *model.Design, q model.QuantityID) bool {
	rises, falls := true, true
	for i := range d.Assumptions {
		a := &d.Assumptions[i]
		if a.Quantity == q && !a.Broken {
			rises = rises && a.Form != model.AssumeRises
			falls = falls && a.Form != model.AssumeFalls
		}
	}
	return rises || falls
}

// turns reports whether a condition holds at times, and at times does not.
func turns(p *rule.Pass, c *model.Cond) bool {
	for _, is := range [...]system.Condition{system.On(c), system.Not(system.On(c))} {
		got, err := p.System().PossibleHere(p.Ctx, is)
		p.StopOn(err)
		if got.Outcome != system.Holds {
			return false
		}
	}
	return true
}

// toAndFro reports two transitions, there and back, by one quantity with nothing between the
// values at which they are taken.
func toAndFro(p *rule.Pass, m *model.Machine, a, b *model.Transition) {
	if !slices.Contains(a.From, b.To) || !slices.Contains(b.From, a.To) || a.To == b.To || !a.When.Known() || !b.When.Known() {
		return
	}
	there, restA := conjuncts(p.Design, a.When)
	back, restB := conjuncts(p.Design, b.When)
	for _, x := range there {
		for _, y := range back {
			qx, ok1 := subject(p.Design, &x.Atom)
			qy, ok2 := subject(p.Design, &y.Atom)
			if !ok1 || !ok2 || qx != qy || !trembles(p.Design, qx) || rising(x) == rising(y) || !x.Atom.Value.N.Equal(y.Atom.Value.N) {
				continue
			}
			got, err := p.System().PossibleHere(p.Ctx, system.All(restA, restB))
			p.StopOn(err)
			if got.Outcome != system.Holds {
				continue // something else keeps them apart
			}
			p.Report(diag.Finding{
				Place:   b.Place,
				Subject: m.Path,
				Message: fmt.Sprintf("%s goes from %s to %s and back at one value, %s, with no dead band",
					m.Path, m.Modes[b.To].Name, m.Modes[a.To].Name, x.Atom.Value),
				Help:    "let it go back at a slightly different value",
				Related: []diag.Related{{Place: a.Place, Note: "it came by this"}},
			})
			return
		}
	}
}

func rising(c *model.Cond) bool { return c.Atom.Cmp == model.Above || c.Atom.Cmp == model.AtLeast }

// conjuncts are the comparisons that have to hold for a condition to hold, the opposite of one
// that must not hold among them, and what else has to.
func conjuncts(d *model.Design, c *model.Cond) (compared []*model.Cond, rest system.Condition) {
	var others []system.Condition
	var walk func(c *model.Cond, deep int)
	walk = func(c *model.Cond, deep int) {
		switch {
		case c == nil:
		case c.Op == model.CondAnd:
			for _, k := range c.Kids {
				walk(k, deep)
			}
		case c.Op == model.CondAtom && c.Atom.Kind == model.AtomCondition && deep > 0:
			walk(d.Conditions[c.Atom.Index].Cond, deep-1)
		case c.Op == model.CondAtom && compares(&c.Atom):
			compared = append(compared, c)
		case c.Op == model.CondNot && c.Kids[0].Op == model.CondAtom && compares(&c.Kids[0].Atom):
			opposite := *c.Kids[0]
			opposite.Atom.Cmp = [...]model.Cmp{
				model.Below: model.AtLeast, model.AtMost: model.Above, model.Above: model.AtMost, model.AtLeast: model.Below,
			}[opposite.Atom.Cmp]
			compared = append(compared, &opposite)
		case !speaksOfEdges(d, c, deepest):
			others = append(others, system.On(c))
		}
	}
	walk(c, deepest)
	return compared, system.All(others...)
}

func compares(a *model.Atom) bool { return a.Kind == model.AtomQuantity || a.Kind == model.AtomReading }

// speaksOfEdges reports whether a condition asks what begins, ends or stays, which only the
// machines can read.
func speaksOfEdges(d *model.Design, c *model.Cond, deep int) bool {
	found := false
	eachAtom(d, c, deep, func(c *model.Cond) {
		found = found || c.Atom.Kind == model.AtomEdge || c.Atom.Kind == model.AtomResult
	})
	return found
}
