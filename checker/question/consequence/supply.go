package consequence

import (
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
