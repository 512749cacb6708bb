package fault

import "pintle/lang/model"

// Charts lists the charts of a design, by index, whose joins affect a requirement and are
// not tried as stuck: what it says despite any one fault says nothing of them. There are none for
// a requirement despite faults that it names.
func Charts(d *model.Design, r *model.Requirement) []int {
	if len(d.Charts) == 0 || r.With.Only != nil {
		return nil
	}
	var out []int
	cone := ConeOf(d, []*model.Cond{r.A, r.B}, ends(r)...)
	for i := range d.Charts {
		if d.Charts[i].Broken {
			continue
		}
		has := false
		for _, row := range d.Charts[i].Rows {
			for _, e := range row.Elements {
				has = has || cone.HoldsNode(d.Elements[e].A) || cone.HoldsNode(d.Elements[e].B)
			}
		}
		if has {
			out = append(out, i)
		}
	}
	return out
}
