package consequence

import (
	"slices"

	"pintle/checker/rule"
	"pintle/lang/model"
)

// speaking is what the design speaks of in a way that shows that it is there for a fault: what
// symptoms, claims `despite any one fault` and drives with faults name, what tell-tales tell of,
// and what these depend on.
type speaking struct {
	d        *model.Design
	p        *rule.Pass
	memories map[int]bool
	modes    map[[2]int]bool // machine, mode
	timers   map[int]bool
	beats    map[int]bool
	elements map[model.ElementID]bool
	seen     map[*model.Cond]bool
	symptom  bool // what is said now is a symptom
}

var speakings = rule.Share(func(p *rule.Pass) *speaking {
	d := p.Design
	s := &speaking{
		d: d, p: p, memories: map[int]bool{}, modes: map[[2]int]bool{}, timers: map[int]bool{}, beats: map[int]bool{},
		elements: map[model.ElementID]bool{}, seen: map[*model.Cond]bool{},
	}
	for i := range d.Notices {
		s.says(d.Notices[i].Shows)
	}
	for i := range d.Requirements {
		if r := &d.Requirements[i]; r.Despite && !r.Broken {
			s.says(r.A)
			s.says(r.B)
		}
	}
	for i := range d.Drives {
		steps := d.Drives[i].Steps
		if !slices.ContainsFunc(steps, func(t model.Step) bool { return len(t.Faults) > 0 }) {
			continue
		}
		for _, t := range steps {
			for _, see := range t.Sees {
				s.says(see.Cond)
			}
		}
	}
	// A symptom reports what is seen on a vehicle with a fault. That a motor runs away is no sign
	// that it is there for that.
	s.symptom = true
	for i := range d.Symptoms {
		s.says(d.Symptoms[i].Cond)
	}
	s.symptom = false
	for i := range d.Loads {
		if l := &d.Loads[i]; !l.Broken && tellTale(p, l) {
			s.element(l.Element)
		}
	}
	// What a driver tells a body that is known from the outside only is reported as well.
	for i := range d.Drivers {
		if k := &d.Drivers[i]; !k.Broken && leadsElsewhere(d, k.Pin) {
			s.says(k.When)
		}
	}
	return s
})

// tellTale reports whether a load is so small that it only tells of something.
func tellTale(p *rule.Pass, l *model.Load) bool {
	ohm := p.Design.Elements[l.Element].Ohm.Nominal
	return ohm > 0 && l.Rated*l.Rated/ohm <= p.Limits.TellTale*1.001
}

// leadsElsewhere reports whether metal that always conducts joins a node to a body that
// describes something only from the outside.
func leadsElsewhere(d *model.Design, from model.NodeID) bool {
	if !slices.ContainsFunc(d.Fits, func(f model.Fit) bool { return f.Elsewhere }) {
		return false
	}
	seen := map[model.NodeID]bool{from: true}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for f := d.Nodes[queue[0]].Info.Fit; f != model.None; f = d.Fits[f].Parent {
			if d.Fits[f].Elsewhere {
				return true
			}
		}
		for i := range d.Elements {
			e := &d.Elements[i]
			if (e.A == queue[0] || e.B == queue[0]) && e.Metal && e.Closed == nil {
				if next := e.A + e.B - queue[0]; !seen[next] {
					seen[next] = true
					queue = append(queue, next)
				}
			}
		}
	}
	return false
}

// says adds what a condition names where it is true, and what that depends on.
func (s *speaking) says(c *model.Cond) {
	if c == nil || s.seen[c] || !c.Known() {
		return
	}
	s.seen[c] = true
	switch c.Op {
	case model.CondNot:
		// That something is not so shows nothing of what would make it so.
		if k := c.Kids[0]; k.Op != model.CondAtom {
			s.says(k)
		}
	case model.CondAtom:
		s.names(&c.Atom)
	default:
		for _, k := range c.Kids {
			s.says(k)
		}
	}
}

func (s *speaking) names(a *model.Atom) {
	d := s.d
	switch a.Kind {
	case model.AtomMemory:
		s.memories[a.Index] = true
		for _, r := range d.Memories[a.Index].Rules {
			if slices.Contains(a.In, r.To) {
				s.says(r.When)
			}
		}
	case model.AtomMachine:
		m := &d.Machines[a.Index]
		for _, k := range a.In {
			s.modes[[2]int{a.Index, k}] = true
		}
		for _, t := range m.Transitions {
			if slices.Contains(a.In, t.To) {
				s.says(t.When)
			}
		}
	case model.AtomTimer:
		s.timers[a.Index] = true
		s.says(d.Timers[a.Index].Run)
	case model.AtomBeat:
		s.beats[a.Index] = true
		s.says(d.Beats[a.Index].While)
	case model.AtomEdge:
		s.says(d.Edges[a.Index].Of)
	case model.AtomCondition:
		s.says(d.Conditions[a.Index].Cond)
	case model.AtomResult:
		for _, row := range a.In {
			s.says(d.Results[a.Index].Rows[row].When)
		}
	case model.AtomMeasure:
		switch m := &a.Measure; {
		case a.Cmp != model.Above && a.Cmp != model.AtLeast:
		case m.Load != model.None && s.symptom && !tellTale(s.p, &d.Loads[m.Load]):
		case m.Load != model.None:
			s.element(d.Loads[m.Load].Element)
		case m.Element != model.None:
			s.element(m.Element)
		default:
			for i := range d.Coils {
				if k := &d.Coils[i]; k.A == m.A && k.B == m.B || k.A == m.B && k.B == m.A {
					s.element(k.Element)
				}
			}
		}
	}
}

// element adds a load or winding, and what the switches on its ways depend on.
func (s *speaking) element(id model.ElementID) {
	if id == model.None || s.elements[id] {
		return
	}
	s.elements[id] = true
	for _, k := range OwnWays(s.p, id) {
		s.says(s.d.Elements[k].Closed)
	}
}

// OwnWays lists the elements on the shortest ways from both ends of a load or winding to a feed
// and to ground, over metal and diodes only; nil where it has no such ways. The ends stand as
// they are written, else the other way round.
func OwnWays(p *rule.Pass, id model.ElementID) []model.ElementID {
	e, c := &p.Design.Elements[id], p.Circuit()
	metal := func(way []model.ElementID) bool {
		return !slices.ContainsFunc(way, func(k model.ElementID) bool {
			x := &p.Design.Elements[k]
			return !x.Metal && x.Type != model.ElemDiode
		})
	}
	// Nothing but metal is to be on the way, so what is not is left out.
	var but []model.ElementID
	for i := range p.Design.Elements {
		if x := &p.Design.Elements[i]; !x.Metal && x.Type != model.ElemDiode && x.Type != model.ElemSupply {
			but = append(but, model.ElementID(i))
		}
	}
	for _, ends := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
		feed, ok1 := c.FeedWay(ends[0], but...)
		ground, ok2 := c.GroundWay(ends[1], but...)
		if ok1 && ok2 && metal(feed) && metal(ground) {
			return append(append([]model.ElementID{id}, feed...), ground...)
		}
	}
	return nil
}

// MemoryMeant reports whether the design shows that a memory is there for a fault; the others
// report the same of a mode, a timer and a load or winding.
func MemoryMeant(p *rule.Pass, id model.MemoryID) bool { return speakings.Of(p).memories[int(id)] }

// ModeMeant is MemoryMeant of a mode.
func ModeMeant(p *rule.Pass, id model.MachineID, mode int) bool {
	return speakings.Of(p).modes[[2]int{int(id), mode}]
}

// ElementMeant is MemoryMeant of a load or winding; it has to have ways of its own to a feed and
// to ground, so that what a fault brings to it is not only what comes through the fault itself.
func ElementMeant(p *rule.Pass, id model.ElementID) bool {
	return speakings.Of(p).elements[id] && OwnWays(p, id) != nil
}
