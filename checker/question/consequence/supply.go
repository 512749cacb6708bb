package consequence

import (
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// LooseEnds are the ends of a supply at which nothing else ends and that nothing asks
// about, its minus first. What was meant to be fed by such a supply never runs.
func LooseEnds(p *rule.Pass, id model.SupplyID) []model.NodeID {
	d := p.Design
	s := &d.Supplies[id]
	if d.Bench || len(d.Incomplete) > 0 || s.Broken {
		return nil
	}
	var out []model.NodeID
	for _, n := range [...]model.NodeID{s.Minus, s.Plus} {
		if n != d.Ground && n != model.None && d.Nodes[n].Kind != "pin" && !d.Nodes[n].Broken && joins(d, n) == 1 && !Asked(p)[n] {
			out = append(out, n)
		}
	}
	return out
}

var neverPresent = rule.Share(func(p *rule.Pass) []model.ElementID {
	var out []model.ElementID
	for i := range p.Design.Supplies {
		s := &p.Design.Supplies[i]
		if s.Broken || s.While == nil || !s.While.Known() || Restless(p, system.On(s.While)) {
			continue
		}
		got, err := p.System().Never(p.Ctx, system.On(s.While))
		p.StopOn(err)
		if got.Outcome == system.Holds && !got.NominalOnly {
			out = append(out, s.Element)
		}
	}
	return out
})

// NeverPresent lists the elements of the supplies that give nothing in any reachable state: as
// an alternator that nothing excites. No current of theirs explains anything.
func NeverPresent(p *rule.Pass) []model.ElementID { return neverPresent.Of(p) }

// BarePin reports whether a node is a pin of a fit at which nothing from outside of that fit ends,
// and of which nothing is asked.
func BarePin(p *rule.Pass, n model.NodeID) bool { return barePins.Of(p)[n] }

var barePins = rule.Share(func(p *rule.Pass) []bool {
	d := p.Design
	out := make([]bool, len(d.Nodes))
	for i := range d.Nodes {
		k := &d.Nodes[i]
		out[i] = k.Kind == "pin" && k.Fit != model.None && !k.Broken && !d.Fits[k.Fit].Elsewhere && len(d.Incomplete) == 0 && !d.Bench
	}
	for i := range d.Elements {
		e := &d.Elements[i]
		for _, n := range [...]model.NodeID{e.A, e.B} {
			if n >= 0 && out[n] && !inside(d, e.Fit, d.Nodes[n].Fit) {
				out[n] = false
			}
		}
	}
	return out
})

// inside reports whether a fit is another one or lies in it.
func inside(d *model.Design, fit, in model.FitID) bool {
	for ; fit != model.None && fit != in; fit = d.Fits[fit].Parent {
	}
	return fit == in
}

// joins counts the elements that end at a node.
func joins(d *model.Design, n model.NodeID) int {
	count := 0
	for i := range d.Elements {
		if d.Elements[i].A == n || d.Elements[i].B == n {
			count++
		}
	}
	return count
}

var asked = rule.Share(func(p *rule.Pass) []bool {
	d := p.Design
	out := make([]bool, len(d.Nodes))
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			switch a := &c.Atom; a.Kind {
			case model.AtomLive, model.AtomGrounded, model.AtomFloating:
				out[a.Index] = true
			case model.AtomJoined:
				out[a.Index], out[a.Other] = true, true
			case model.AtomMeasure:
				if m := a.Measure; m.Kind == model.Volts || m.Kind == model.AbsVolts {
					out[m.A], out[m.B] = true, true
				}
			}
		})
	})
	for i := range d.Requirements {
		if r := &d.Requirements[i]; r.Form == model.Apart && !r.Broken {
			out[r.X], out[r.Y] = true, true
		}
	}
	return out
})

// Asked marks the nodes of which the design asks whether they are live or grounded, or
// what volts they have.
func Asked(p *rule.Pass) []bool { return asked.Of(p) }
