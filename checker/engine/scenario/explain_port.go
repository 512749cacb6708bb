package scenario

import (
	"slices"

	"pintle/checker/engine/fluid"
	"pintle/lang/model"
)

// portCause reports what a port is, and which single passages and origins, were they the other
// way, would make it as wanted. Where no single one would, it tells by what way the port is
// fed or vented, or what of a way from an origin is shut.
func (x *explainer) portCause(c *model.Cond, want bool, depth int) {
	if !x.say(depth, c.Place, "%s", x.standing(c)) {
		return
	}
	told := 0
	for _, k := range x.flows() {
		other, err := fluid.Solve(x.ctx, x.fluid, threeValued(func(o *model.Cond) Truth {
			if o == k {
				return x.eval(o).not()
			}
			return x.eval(o)
		}))
		if err != nil {
			return
		}
		now := moment{plant: x.plant, ctx: x.ctx, s: x.s, paths: other}
		if now.port(&c.Atom) != truth(want) {
			continue
		}
		x.flow(k, depth+1)
		if told++; told == mostWide {
			return
		}
	}
	if told > 0 {
		return
	}
	p, ok := x.ports()
	if !ok {
		return
	}
	port := model.PortID(c.Atom.Index)
	switch {
	case p.Vented(port) == True:
		x.reached(port, x.fluid.Air(), depth+1)
	case p.Fed(port) == True:
		x.reached(port, x.present(), depth+1)
	default:
		x.shut(port, depth+1)
	}
}

// flows are the conditions of passages and origins, each once, of which it is known whether
// they are true.
func (x *explainer) flows() (out []*model.Cond) {
	add := func(c *model.Cond) {
		if c != nil && x.eval(c) != Unknown && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	for _, e := range x.fluid.Edges() {
		add(e.Cond)
	}
	for _, s := range x.fluid.Sources() {
		add(s.Cond)
	}
	return out
}

// flow tells of the passage or origin that has a condition how it is, and why.
func (x *explainer) flow(k *model.Cond, depth int) {
	is := x.eval(k) == True
	for _, e := range x.fluid.Edges() {
		if e.Cond == k {
			p := &x.design.Passages[e.Passage]
			if x.say(depth, p.NamePlace, "%s is %s", p.Path, [...]string{"shut", "open"}[b2i(is)]) {
				x.cond(k, !is, depth+1)
			}
			return
		}
	}
	for _, s := range x.fluid.Sources() {
		if s.Cond == k {
			o := &x.design.Origins[s.Origin]
			if x.say(depth, o.NamePlace, "%s is %s", o.Path, [...]string{"absent", "present"}[b2i(is)]) {
				x.cond(k, !is, depth+1)
			}
			return
		}
	}
}

// present are the ports of the origins that are present.
func (x *explainer) present() (out []model.PortID) {
	for _, s := range x.fluid.Sources() {
		if x.eval(s.Cond) == True {
			out = append(out, s.Port)
		}
	}
	return out
}

// reached tells by what open passages one of some ports is joined to a port: those that open
// and shut, and where there is none, where it begins.
func (x *explainer) reached(port model.PortID, from []model.PortID, depth int) {
	way, begins, ok := x.passages(port, from, func(c *model.Cond) bool { return x.eval(c) == True })
	if !ok {
		return
	}
	d := x.design
	told := false
	for _, e := range way {
		if e.Cond != nil {
			x.flow(e.Cond, depth)
			told = true
		}
	}
	if begins != port || !told {
		at := &d.Ports[begins]
		word := "is fed"
		if slices.Contains(x.fluid.Air(), begins) {
			word = "is open to air"
		}
		x.say(depth, at.NamePlace, "%s %s", at.Path, word)
	}
}

// shut reports what is shut on the way from an origin to a port, or that there is no way.
func (x *explainer) shut(port model.PortID, depth int) {
	d := x.design
	var from []model.PortID
	for _, s := range x.fluid.Sources() {
		from = append(from, s.Port)
	}
	way, begins, ok := x.passages(port, from, func(*model.Cond) bool { return true })
	if !ok {
		if _, against := x.fluid.WayAgainst(port); len(against) > 0 {
			p := &d.Passages[against[0]]
			x.say(depth, p.NamePlace, "%s passes from %s to %s only", p.Path, d.Ports[p.A].Path, d.Ports[p.B].Path)
		} else {
			x.say(depth, d.Ports[port].NamePlace, "no way leads from an origin to %s", d.Ports[port].Path)
		}
		return
	}
	for _, s := range x.fluid.Sources() {
		if s.Port == begins && s.Cond != nil && x.eval(s.Cond) == False {
			x.flow(s.Cond, depth)
		}
	}
	for _, e := range way {
		if e.Cond != nil && x.eval(e.Cond) == False {
			x.flow(e.Cond, depth)
		}
	}
}

// passages is the shortest way from one of some ports to a port through passages whose
// condition passes, and where it begins.
func (x *explainer) passages(to model.PortID, from []model.PortID, passes func(*model.Cond) bool) (way []fluid.Edge, begins model.PortID, ok bool) {
	via := map[model.PortID]fluid.Edge{}
	seen := map[model.PortID]bool{to: true}
	for queue := []model.PortID{to}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if slices.Contains(from, at) {
			for k := at; k != to; k = via[k].To {
				way = append(way, via[k])
			}
			return way, at, true
		}
		for _, e := range x.fluid.Edges() {
			if e.To == at && !seen[e.From] && (e.Cond == nil || passes(e.Cond)) {
				seen[e.From] = true
				via[e.From] = e
				queue = append(queue, e.From)
			}
		}
	}
	return nil, model.PortID(model.None), false
}
