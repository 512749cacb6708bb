package rootcause

import (
	"strconv"

	"pintle/lang/model"
)

// graph answers what the things of a design depend on. It is the static slice of a
// design: what a value is computed from, whatever the state.
type graph struct {
	d  *model.Design
	at [][]model.ElementID // by node
	// ends are the nodes at which a way ends: ground and the ends of supplies, but of those that
	// have to be excited over what ends there before they give anything.
	ends  []bool
	paths map[string]func(*slice)
	// claims are the same for requirements, bands, notices, symptoms and drives: a lamp and a
	// claim may have one name.
	claims map[string]func(*slice)
	work   int // things that slices have visited
	ports  [][]model.PassageID
}

func newGraph(d *model.Design) *graph {
	g := &graph{d: d, at: make([][]model.ElementID, len(d.Nodes)), ends: make([]bool, len(d.Nodes)), paths: map[string]func(*slice){}, claims: map[string]func(*slice){}, ports: make([][]model.PassageID, len(d.Ports))}
	end := func(n model.NodeID) {
		if n >= 0 {
			g.ends[n] = true
		}
	}
	end(d.Ground)
	for i := range d.Elements {
		e := &d.Elements[i]
		if e.Broken || e.A < 0 || e.B < 0 {
			continue
		}
		g.at[e.A] = append(g.at[e.A], model.ElementID(i))
		g.at[e.B] = append(g.at[e.B], model.ElementID(i))
		if e.Type == model.ElemSupply && !excited(d, e.Closed, 20) {
			end(e.A)
			end(e.B)
		}
	}
	for i := range d.Passages {
		k := &d.Passages[i]
		if !k.Broken && k.A >= 0 && k.B >= 0 {
			g.ports[k.A] = append(g.ports[k.A], model.PassageID(i))
			g.ports[k.B] = append(g.ports[k.B], model.PassageID(i))
		}
	}
	g.index()
	return g
}

// excited reports whether a condition depends on a threshold that measures volts or a current, as
// that of an alternator which gives once its rotor carries one. Named conditions are followed as
// deep as given.
func excited(d *model.Design, c *model.Cond, deep int) bool {
	found := false
	c.Atoms(func(a *model.Cond) {
		switch k := &a.Atom; k.Kind {
		case model.AtomMemory:
			if m := &d.Memories[k.Index]; m.MemKind == model.MemThreshold && d.Thresholds[m.Of].Measure != nil {
				found = true
			}
		case model.AtomCondition:
			found = found || deep > 0 && excited(d, d.Conditions[k.Index].Cond, deep-1)
		}
	})
	return found
}

// index says by path where a slice begins.
func (g *graph) index() {
	d := g.d
	add := func(path string, begin func(*slice)) {
		if path != "" && g.paths[path] == nil {
			g.paths[path] = begin
		}
	}
	for i := range d.Memories {
		add(d.Memories[i].Path, func(s *slice) { s.memory(i) })
	}
	for i := range d.Elements {
		add(d.Elements[i].Path, func(s *slice) { s.element(model.ElementID(i)) })
	}
	for i := range d.Contacts {
		k := &d.Contacts[i]
		add(k.Path, func(s *slice) {
			s.add(k.Path)
			s.cond(k.When)
			s.contact(k)
		})
	}
	for i := range d.Controllers {
		add(d.Controllers[i].Path, func(s *slice) { s.controller(model.ControllerID(i)) })
	}
	for i := range d.Readings {
		add(d.Readings[i].Path, func(s *slice) { s.reading(i) })
	}
	for i := range d.Ports {
		add(d.Ports[i].Path, func(s *slice) { s.port(model.PortID(i)) })
	}
	for i := range d.Nodes {
		add(d.Nodes[i].Path, func(s *slice) { s.add(d.Nodes[i].Path); s.node(model.NodeID(i), model.None) })
	}
	for i := range d.Machines {
		add(d.Machines[i].Path, func(s *slice) { s.machine(i) })
		for j := range d.Machines[i].Modes {
			add(d.Machines[i].Modes[j].Path, func(s *slice) { s.machine(i) })
		}
	}
	for i := range d.Timers {
		add(d.Timers[i].Path, func(s *slice) { s.timer(i) })
	}
	for i := range d.Results {
		add(d.Results[i].Path, func(s *slice) { s.result(i) })
	}
	for i := range d.Conditions {
		add(d.Conditions[i].Path, func(s *slice) { s.add(d.Conditions[i].Path); s.cond(d.Conditions[i].Cond) })
	}
	g.indexClaims()
}

// slice is what something depends on.
type slice struct {
	g   *graph
	has map[string]bool
	// near ends a slice where memory, a controller or the network begins: what a claim
	// speaks of itself.
	near bool
}

// slice is the slice of a thing, or of a claim, by its path.
func (g *graph) slice(path string, claim, near bool) *slice {
	s := &slice{g: g, has: map[string]bool{}, near: near}
	begin := g.paths[path]
	if of := g.claims[path]; of != nil && (claim || begin == nil) {
		begin = of
	}
	if begin != nil {
		begin(s)
	}
	return s
}

// add reports whether a thing is new to the slice.
func (s *slice) add(path string) bool {
	if path == "" {
		return true
	}
	s.g.work++
	if s.has[path] || s.g.work > mostWork {
		return false
	}
	s.has[path] = true
	return true
}

// once is the same for what has no path of its own.
func (s *slice) once(kind string, i int) bool { return s.add("\x00" + kind + strconv.Itoa(i)) }

func (s *slice) cond(c *model.Cond) {
	if c == nil {
		return
	}
	c.Atoms(func(c *model.Cond) { s.atom(&c.Atom) })
}

func (s *slice) atom(a *model.Atom) {
	d := s.g.d
	switch a.Kind {
	case model.AtomSetting:
		if !s.near {
			s.add(d.Settings[a.Index].Path)
			s.assumed(func(k *model.Assumption) bool { return k.Form == model.AssumeMoves && int(k.Setting) == a.Index })
		}
	case model.AtomQuantity:
		if !s.near {
			s.assumed(func(k *model.Assumption) bool {
				return (k.Form == model.AssumeRises || k.Form == model.AssumeFalls) && int(k.Quantity) == a.Index
			})
		}
	case model.AtomReading:
		s.reading(a.Index)
	case model.AtomMemory:
		s.memory(a.Index)
	case model.AtomMachine:
		s.machine(a.Index)
	case model.AtomTimer:
		s.timer(a.Index)
	case model.AtomBeat:
		b := &d.Beats[a.Index]
		if s.add(b.Path) && !s.near {
			s.cond(b.While)
			s.controller(b.Controller)
		}
	case model.AtomEdge:
		if s.once("edge", a.Index) {
			s.cond(d.Edges[a.Index].Of)
		}
	case model.AtomCondition:
		s.add(d.Conditions[a.Index].Path)
		if s.once("condition", a.Index) {
			s.cond(d.Conditions[a.Index].Cond)
		}
	case model.AtomResult:
		s.result(a.Index)
	case model.AtomBands:
		if b := &d.Bands[a.Index]; s.add(b.Path) {
			s.cond(b.While)
		}
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		s.add(d.Nodes[a.Index].Path)
		s.node(model.NodeID(a.Index), model.None)
	case model.AtomJoined:
		s.node(model.NodeID(a.Index), model.None)
		s.node(model.NodeID(a.Other), model.None)
	case model.AtomMeasure:
		s.measure(&a.Measure)
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		s.port(model.PortID(a.Index))
	case model.AtomFree:
		s.add(d.Elements[a.Index].Path)
	}
}

func (s *slice) measure(m *model.Measure) {
	if m.Element >= 0 {
		s.element(m.Element)
		return
	}
	for _, w := range m.Windings {
		s.element(w.Element)
	}
	if len(m.Windings) == 0 {
		s.node(m.A, model.None)
		s.node(m.B, model.None)
	}
}

func (s *slice) result(i int) {
	r := &s.g.d.Results[i]
	s.add(r.Path)
	if !s.once("result", i) {
		return
	}
	for k := range r.Rows {
		s.add(r.Rows[k].Path)
		s.cond(r.Rows[k].When)
	}
}

func (s *slice) machine(i int) {
	m := &s.g.d.Machines[i]
	s.add(m.Path)
	if !s.once("machine", i) || s.near {
		return
	}
	for k := range m.Modes {
		s.add(m.Modes[k].Path)
	}
	for k := range m.Transitions {
		s.cond(m.Transitions[k].When)
	}
	s.cond(m.Reset)
	s.controller(m.Controller)
}

func (s *slice) timer(i int) {
	t := &s.g.d.Timers[i]
	if t.Path != "" && !t.Lowered {
		s.add(t.Path)
	}
	if !s.once("timer", i) || s.near && !t.Lowered {
		return
	}
	s.cond(t.Run)
	s.cond(t.Stop)
	s.controller(t.Controller)
}

func (s *slice) memory(i int) {
	d := s.g.d
	m := &d.Memories[i]
	s.add(m.Path)
	if !s.once("memory", i) || s.near && m.MemKind != model.MemFollow {
		return
	}
	for _, r := range m.Rules {
		s.cond(r.When)
	}
	switch m.MemKind {
	case model.MemCoil:
		s.add(d.Coils[m.Of].Path)
		s.element(d.Coils[m.Of].Element)
	case model.MemArmature:
		for _, w := range d.Armatures[m.Of].Moved {
			s.element(d.Coils[w.Coil].Element)
		}
	case model.MemLevel:
		s.reading(m.Of)
	case model.MemThreshold:
		s.controller(d.Thresholds[m.Of].Controller)
	case model.MemPowered:
		s.controller(model.ControllerID(m.Of))
	}
}

func (s *slice) reading(i int) {
	r := &s.g.d.Readings[i]
	s.add(r.Path)
	if !s.once("reading", i) || s.near {
		return
	}
	s.controller(r.Controller)
	s.node(r.Pin, r.Pull)
	for _, k := range r.Senders {
		s.add(s.g.d.Senders[k].Path)
	}
}

func (s *slice) controller(id model.ControllerID) {
	if id < 0 || s.near {
		return
	}
	k := &s.g.d.Controllers[id]
	s.add(k.Path)
	if s.once("controller", int(id)) {
		s.node(k.Plus, k.Draw)
		s.node(k.Minus, k.Draw)
	}
}

func (s *slice) contact(k *model.Contact) {
	if k.By >= 0 {
		s.memory(int(k.By))
	}
	s.cond(k.Made)
}

func (s *slice) element(id model.ElementID) {
	if id < 0 {
		return
	}
	e := &s.g.d.Elements[id]
	s.add(e.Path)
	if !s.once("element", int(id)) || s.near {
		return
	}
	s.cond(e.Closed)
	s.node(e.A, id)
	s.node(e.B, id)
}

func (s *slice) port(id model.PortID) {
	d := s.g.d
	if id < 0 || !s.add(d.Ports[id].Path) || s.near {
		return
	}
	if o := d.Ports[id].Origin; o >= 0 {
		s.add(d.Origins[o].Path)
		s.cond(d.Origins[o].Present)
	}
	for _, k := range s.g.ports[id] {
		p := &d.Passages[k]
		s.add(p.Path)
		s.cond(p.Open)
		s.port(p.A + p.B - id)
	}
}

// Computed answers, of the claims of a design by their paths, which things they are computed
// from, whatever the state.
type Computed struct{ g *graph }

// NewComputed prepares to answer for a design.
func NewComputed(d *model.Design) *Computed { return &Computed{newGraph(d)} }

// From reports whether a claim is computed from a thing; both are named by their paths.
func (c *Computed) From(claim string) func(thing string) bool {
	c.g.work = 0
	has := c.g.slice(claim, true, false).has
	return func(thing string) bool { return has[thing] }
}
