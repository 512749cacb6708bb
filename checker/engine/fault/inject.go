package fault

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/lang/model"
)

// Faulted is a design into which one fault is injected as something that may come from outside.
type Faulted struct {
	Fault  *Fault
	Design *model.Design
	// Failed is where the fault is there.
	Failed *model.Cond
	// Shorted is where a supply is, or was before, shorted with no fuse in the way that surely
	// opens; nil where the fault can't bring that about.
	Shorted *model.Cond
	// Unprotected is where the fault shorts a supply and no fuse opens: the current flows on;
	// nil where that can't be.
	Unprotected *model.Cond

	sound      *model.Design
	trigger    model.ElementID
	latch      model.MemoryID
	stuck      []model.QuantityID
	changed    touched
	protection *protection
	rewrites   []*rewriter   // of what is asked, in the order in which they were done
	mark       string        // behind the names of what is injected, where there are several faults
	parts      []*Faulted    // of two faults: each by itself
	apart      []*model.Cond // by which circuits with the fault differ from the sound one
	cut        bool          // a short that no fuse opens counts as Shorted
}

// touched is what a fault changes.
type touched struct {
	nodes   []model.NodeID // at which an element was changed or added
	ports   []model.PortID
	senders []int
}

// Names of what is injected; no name of the language holds a "!".
const (
	triggerName = "fault!"
	latchName   = "failure!"
	burnName    = "burn!"
)

// Inject makes a design in which a fault comes at any time, or, with always, has been there
// from the start. The design is not changed. Errors: circuit.ErrFault and fluid.ErrFault
// for a fault that its thing can't have, circuit.ErrDesign, ErrWays.
func Inject(d *model.Design, f *Fault, always bool) (*Faulted, error) {
	p, err := protectionOf(context.Background(), d, nil)
	if err != nil {
		return nil, err
	}
	return inject(context.Background(), d, p, f, always)
}

// inject is Inject for a design of which it is known which fuses may open.
func inject(ctx context.Context, d *model.Design, p *protection, f *Fault, always bool) (*Faulted, error) {
	return injectCut(ctx, d, p, f, always, false)
}

// injectCut is inject; with cut, what comes after a short that no fuse opens is left out.
func injectCut(ctx context.Context, d *model.Design, p *protection, f *Fault, always, cut bool) (*Faulted, error) {
	w, faulty, joins, err := bare(d, p, f, always, "")
	if err != nil {
		return nil, err
	}
	w.cut = cut
	if err := w.protect(ctx, faulty, joins); err != nil {
		return nil, err
	}
	w.hold()
	return w, nil
}

// hold lets what is asked of contacts and drivers that are stuck be as the faults have it.
func (w *Faulted) hold() {
	for _, part := range w.each() {
		if stuck := part.Fault.Actions.Stuck(); len(stuck) > 0 {
			w.rewrite(&rewriter{known: map[*model.Cond]*model.Cond{}, stuck: stuck, since: part.Failed})
		}
	}
}

// bare injects in a fault without the fuses that open for it. It returns the circuit with the
// fault too, and the elements that join more than they did.
func bare(d *model.Design, p *protection, f *Fault, always bool, mark string) (*Faulted, *circuit.Circuit, []join, error) {
	faulty, err := circuit.New(d, f.Actions)
	if err != nil {
		return nil, nil, nil, err
	}
	faulty.Share(p.memo)
	if _, err := fluid.New(d, f.Actions); err != nil {
		return nil, nil, nil, err
	}
	copied := *d
	w := &Faulted{Fault: f, Design: &copied, sound: d, protection: p, mark: mark}
	copied.Elements = slices.Clone(d.Elements)
	copied.Nodes = slices.Clone(d.Nodes)
	copied.Memories = slices.Clone(d.Memories)
	w.event(always)
	joins := w.electrical(faulty)
	w.fluids()
	w.senders()
	return w, faulty, joins, nil
}

// event adds what lets the fault come.
func (w *Faulted) event(always bool) {
	d := w.Design
	w.latch = model.MemoryID(len(d.Memories))
	m := model.Memory{
		Info: w.info(latchName+w.mark, "fault"), MemKind: model.MemBand, States: []string{"sound", "failed"}, Of: model.None,
	}
	w.Failed = &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(w.latch), In: []int{1}}}
	w.apart = []*model.Cond{w.Failed}
	w.trigger = model.None
	if always {
		m.Start = 1
	} else {
		w.trigger = model.ElementID(len(d.Elements))
		free := &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomFree, Index: int(w.trigger)}}
		d.Elements = append(d.Elements, model.Element{
			Info: w.info(triggerName+w.mark, "fault"), Type: model.ElemWire, A: w.node(), B: w.node(), Ohm: model.Exactly(1),
			Closed: free, Sometimes: true, Metal: true, Of: model.None,
		})
		m.Rules = []model.Rule{{From: []int{0}, To: 1, When: free}}
	}
	d.Memories = append(d.Memories, m)
}

func (w *Faulted) info(path, kind string) model.Info {
	return model.Info{Path: path, Name: path, Kind: kind, Place: w.Fault.Place, NamePlace: w.Fault.Place, Fit: model.None}
}

// node adds a node that nothing else is joined to.
func (w *Faulted) node() model.NodeID {
	d := w.Design
	d.Nodes = append(d.Nodes, model.Node{Info: w.info(triggerName, "node"), Connector: model.None})
	return model.NodeID(len(d.Nodes) - 1)
}

// electrical injects in what the fault changes of the circuit, element by element, and
// lists the elements that then join more than they did.
func (w *Faulted) electrical(faulty *circuit.Circuit) (joins []join) {
	d := w.Design
	shorted := map[model.ElementID]bool{}
	for _, a := range w.Fault.Actions.Standing() {
		if a.Thing.Kind == model.ThingElement && a.Mode == model.FaultShorted {
			shorted[model.ElementID(a.Thing.Index)] = true
		}
	}
	open, bypass := map[model.ElementID]bool{}, map[model.ElementID]model.ElementID{}
	add := func(id model.ElementID, e model.Element, cond *model.Cond) {
		e.Closed, e.Sometimes = cond, false
		d.Elements = append(d.Elements, e)
		joins = append(joins, join{id, model.ElementID(len(d.Elements) - 1)})
		w.changed.nodes = append(w.changed.nodes, e.A, e.B)
	}
	for i := range w.sound.Elements {
		id := model.ElementID(i)
		was, is := &w.sound.Elements[i], faulty.Element(id)
		_, switched, conducts := faulty.SwitchOf(id)
		never := !switched && !conducts
		at := &d.Elements[i]
		switch {
		case shorted[id]:
			bypass[id] = model.ElementID(len(d.Elements))
			is.Type, is.Of, is.Limit = model.ElemWire, model.None, model.Param{} // plain metal, whatever it was: a diode conducts both ways
			add(id, is, w.Failed)
		case is.A != was.A || is.B != was.B:
			at.Closed = both(at.Closed, model.Not(w.Failed))
			w.changed.nodes = append(w.changed.nodes, was.A, was.B)
			if !never {
				add(id, is, both(was.Closed, w.Failed))
			}
		case never && !(was.Closed != nil && was.Closed.Op == model.CondFalse):
			at.Closed = both(at.Closed, model.Not(w.Failed))
			w.changed.nodes = append(w.changed.nodes, was.A, was.B)
			open[id] = true
		case was.Closed != nil && is.Closed == nil:
			at.Closed = model.Or(was.Closed, w.Failed)
			at.Sometimes = false
			joins = append(joins, join{id, id})
			w.changed.nodes = append(w.changed.nodes, was.A, was.B)
		}
	}
	for i := len(w.sound.Elements); i < faulty.Elements(); i++ {
		id := model.ElementID(i)
		e := faulty.Element(id)
		e.Info = w.info(triggerName, "fault")
		add(id, e, w.Failed)
	}
	w.measures(open, bypass)
	return joins
}

// both is the conjunction of two conditions of which the first may be nil, for always.
func both(a, b *model.Cond) *model.Cond {
	if a == nil {
		return b
	}
	return model.And(a, b)
}

// measures puts what is measured at the things that fail as package circuit does: an open
// winding or filament gets no volts of its own, whatever stands at its terminals, and the
// current through a shorted one is that of the short.
func (w *Faulted) measures(open map[model.ElementID]bool, bypass map[model.ElementID]model.ElementID) {
	r := &rewriter{known: map[*model.Cond]*model.Cond{}, atom: func(c *model.Cond) *model.Cond {
		m := &c.Atom.Measure
		if c.Atom.Kind != model.AtomMeasure {
			return nil
		}
		switch {
		case m.Kind == model.AbsVolts && open[m.Element]:
			if zero(c.Atom.Cmp, c.Atom.Level.Nominal) {
				return model.Or(w.Failed, c)
			}
			return model.And(model.Not(w.Failed), c)
		case m.Kind == model.Amps:
			if by, ok := bypass[m.Element]; ok {
				there := *c
				there.Atom.Measure.Element = by
				return model.Or(model.And(w.Failed, &there), model.And(model.Not(w.Failed), c))
			}
		}
		return nil
	}}
	if len(open)+len(bypass) > 0 {
		w.rewrite(r)
	}
}

// rewrite puts what is asked otherwise, everywhere in the design.
func (w *Faulted) rewrite(r *rewriter) {
	r.design(w.Design)
	w.rewrites = append(w.rewrites, r)
}

// Of is a condition of the sound design as it is asked of the injected one: what is measured at
// a thing that fails is measured otherwise.
func (w *Faulted) Of(c *model.Cond) *model.Cond {
	for _, r := range w.rewrites {
		c = r.cond(c)
	}
	return c
}

// zero reports whether nothing at all compares so with a level.
func zero(c model.Cmp, level float64) bool {
	switch c {
	case model.Below:
		return 0 < level
	case model.AtMost:
		return 0 <= level
	case model.Above:
		return 0 > level
	}
	return 0 >= level
}

// fluids injects in what the fault does to passages and hoses.
func (w *Faulted) fluids() {
	d := w.Design
	last := map[int]model.FaultMode{}
	var order []int
	for _, a := range w.Fault.Actions.Standing() {
		if a.Thing.Kind == model.ThingPassage {
			if _, ok := last[a.Thing.Index]; !ok {
				order = append(order, a.Thing.Index)
			}
			last[a.Thing.Index] = a.Mode
		}
	}
	if order == nil {
		return
	}
	d.Passages, d.Ports = slices.Clone(d.Passages), slices.Clone(d.Ports)
	for _, i := range order {
		p := &d.Passages[i]
		w.changed.ports = append(w.changed.ports, p.A, p.B)
		switch last[i] {
		case model.FaultStuckOpen:
			if p.Open != nil {
				p.Open = model.Or(p.Open, w.Failed)
			}
		case model.FaultStuckShut:
			p.Open = both(p.Open, model.Not(w.Failed))
		default: // off: both ends are open to air
			a, b := p.A, p.B
			p.Open = both(p.Open, model.Not(w.Failed))
			air := model.PortID(len(d.Ports))
			d.Ports = append(d.Ports, model.Port{
				Info: w.info(triggerName, "port"), Medium: d.Ports[a].Medium, OpenToAir: true, Origin: model.None,
			})
			for _, end := range [...]model.PortID{a, b} {
				d.Passages = append(d.Passages, model.Passage{
					Info: w.info(triggerName, "passage"), A: air, B: end, Open: w.Failed, OneWay: true,
				})
			}
		}
	}
}

// senders injects in what the fault does to senders: their pins are joined to what reads
// them only as long as they tell something.
func (w *Faulted) senders() {
	d := w.Design
	last := map[int]model.FaultMode{}
	for _, a := range w.Fault.Actions.Standing() {
		if a.Thing.Kind == model.ThingSender {
			last[a.Thing.Index] = a.Mode
		}
	}
	if len(last) == 0 {
		return
	}
	d.Senders, d.Readings = slices.Clone(d.Senders), slices.Clone(d.Readings)
	for i := range w.sound.Senders {
		mode, fails := last[i]
		s := &w.sound.Senders[i]
		if !fails || s.Pin == model.None {
			continue
		}
		w.changed.senders = append(w.changed.senders, i)
		d.Senders[i].Pin = w.behind(s.Pin, model.Not(w.Failed))
		if mode != model.FaultStuck || s.Quantity == model.None {
			continue
		}
		other := *s
		other.Pin, other.Quantity = w.behind(s.Pin, w.Failed), w.frozen(s)
		id := model.SenderID(len(d.Senders))
		d.Senders = append(d.Senders, other)
		for j := range d.Readings {
			if slices.Contains(d.Readings[j].Senders, model.SenderID(i)) {
				d.Readings[j].Senders = append(slices.Clone(d.Readings[j].Senders), id)
			}
		}
	}
}

// behind adds a node that is joined to another one while a condition holds.
func (w *Faulted) behind(n model.NodeID, while *model.Cond) model.NodeID {
	d := w.Design
	new := w.node()
	d.Elements = append(d.Elements, model.Element{
		Info: w.info(triggerName, "fault"), Type: model.ElemWire, A: new, B: n, Ohm: model.Exactly(1e-3),
		Closed: while, Metal: true, Of: model.None,
	})
	w.changed.nodes = append(w.changed.nodes, n)
	return new
}

// frozen adds the value at which a sender sticks: it may be any, and once the sender is
// stuck it does not move.
func (w *Faulted) frozen(s *model.Sender) model.QuantityID {
	d := w.Design
	q := d.Quantities[s.Quantity]
	q.Info = w.info("what "+s.Path+" is stuck at", "quantity")
	q.Rate = 0
	id := model.QuantityID(len(d.Quantities))
	d.Quantities = append(slices.Clone(d.Quantities), q)
	d.Assumptions = slices.Clone(d.Assumptions)
	for _, form := range [...]model.AssumptionKind{model.AssumeRises, model.AssumeFalls} {
		d.Assumptions = append(d.Assumptions, model.Assumption{
			Info: w.info(triggerName+" "+form.String(), "assume"), Form: form, Quantity: id, Setting: model.None,
			Cond: model.Not(w.Failed),
		})
	}
	w.stuck = append(w.stuck, id)
	return id
}
