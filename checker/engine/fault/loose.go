package fault

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Loose reports what a controller reads from a loose wire: with something else there, the
// requirement would hold in spite of the fault.
type Loose struct {
	Fault   *Fault
	Reading model.ReadingID
	// Low or high is what it would have to read, of one that reads volts.
	High bool
	// CountsAs is what it would have to count as, of one that reads a sender.
	CountsAs unit.Value
}

// opens are the ways of failing that leave a wire loose.
var opens = []model.FaultMode{
	model.FaultOpen, model.FaultOff, model.FaultBlown, model.FaultStuckOpen, model.FaultStuckOff, model.FaultSilent,
}

// loosens reports whether a fault leaves a wire loose. A passage that is stuck open does not,
// though its way of failing has the name of a contact's.
func loosens(f *Fault) bool {
	return len(f.Actions) == 1 && slices.Contains(opens, f.Actions[0].Mode) && f.Actions[0].Thing.Kind != model.ThingPassage
}

// OpenMeansGo looks among the failures of a requirement for one in which a loose wire
// permits the violation: a reading of a controller that metal joins to what has come off,
// such that the requirement would hold in spite of the fault if the reading said one
// certain other thing while the fault is there. It is decided at nominal values.
func (s *Sweep) OpenMeansGo(ctx context.Context, r *model.Requirement, failures []Failure) (*Loose, error) {
	for i := range failures {
		f := &failures[i].Faults[0]
		if !loosens(f) {
			continue
		}
		w, err := s.inject(ctx, s.d, f, false)
		if err != nil {
			continue
		}
		for j := range s.d.Readings {
			if s.d.Readings[j].Broken || !w.floats(model.ReadingID(j)) {
				continue
			}
			if l, err := s.otherwise(ctx, r, f, model.ReadingID(j)); l != nil || err != nil {
				return l, err
			}
		}
	}
	return nil, nil
}

// hangs reports whether metal joins a reading, by whatever switches and not through ground
// or a supply, to what the fault takes off.
func (w *Faulted) floats(id model.ReadingID) bool {
	d := w.sound
	r := &d.Readings[id]
	for _, s := range w.changed.senders {
		if slices.Contains(r.Senders, model.SenderID(s)) {
			return true
		}
	}
	hub := func(n model.NodeID) bool {
		return n == d.Ground || slices.ContainsFunc(d.Supplies, func(s model.Supply) bool { return n == s.Plus || n == s.Minus })
	}
	u := newUnion(len(d.Nodes))
	for i := range d.Elements {
		if e := &d.Elements[i]; e.Metal && e.A >= 0 && e.B >= 0 && !hub(e.A) && !hub(e.B) {
			u.join(int(e.A), int(e.B))
		}
	}
	return r.Pin >= 0 && slices.ContainsFunc(w.changed.nodes, func(n model.NodeID) bool {
		return n >= 0 && int(n) < len(d.Nodes) && !hub(n) && u.find(int(n)) == u.find(int(r.Pin))
	}) && w.ownWire(r.Pin, hub)
}

// ownWire reports whether with the fault a pin is left with nothing but the stub of its own
// wire: no metal leads on from it to a supply or to ground, whatever the switches do, and
// nothing ends there that takes or gives a current but pulls. Only then is it the wire of the
// pin that has come loose; where a fault takes the feed off other things too, what the pin
// reads then is no matter of its pull.
func (w *Faulted) ownWire(pin model.NodeID, hub func(model.NodeID) bool) bool {
	d := w.sound
	c, err := circuit.New(d, w.Fault.Actions)
	if err != nil {
		return false
	}
	in := map[model.NodeID]bool{pin: true}
	for grown := true; grown; {
		grown = false
		for i := range d.Elements {
			e := &d.Elements[i]
			_, switched, conducts := c.SwitchOf(model.ElementID(i))
			if e.A < 0 || e.B < 0 || !switched && !conducts || in[e.A] == in[e.B] {
				continue
			}
			switch {
			case e.Type == model.ElemPull:
			case !e.Metal || hub(e.A) || hub(e.B):
				return false
			default:
				in[e.A], in[e.B], grown = true, true, true
			}
		}
	}
	return true
}

// otherwise asks whether the requirement would hold if the reading said something else
// while the fault is there.
func (s *Sweep) otherwise(ctx context.Context, r *model.Requirement, f *Fault, id model.ReadingID) (*Loose, error) {
	reading := &s.d.Readings[id]
	holds := func(d *model.Design, change func(*Faulted)) (bool, error) {
		w, err := s.inject(ctx, d, f, r.Form == model.Possible)
		if err != nil {
			return false, nil
		}
		if change != nil {
			change(w)
		}
		sys, err := s.opts.build(ctx, w, true)
		if err != nil {
			return false, err
		}
		v, _, err := sys.requirement(ctx, r, true)
		return v.Outcome == system.Holds, err
	}
	if !reading.Sender {
		if reading.Level == model.None {
			return nil, nil
		}
		for level := range 2 {
			ok, err := holds(s.d, func(w *Faulted) { w.force(reading.Level, level) })
			if err != nil {
				return nil, err
			}
			if ok {
				return &Loose{Fault: f, Reading: id, High: level == 1}, nil
			}
		}
		return nil, nil
	}
	if reading.Quantity == model.None || !reading.HasCountsAs {
		return nil, nil
	}
	q := &s.d.Quantities[reading.Quantity]
	for _, v := range [...]unit.Value{q.Lo, q.Hi} {
		d := *s.d
		d.Readings = slices.Clone(d.Readings)
		d.Readings[id].CountsAs = v
		ok, err := holds(&d, nil)
		if err != nil {
			return nil, err
		}
		if ok {
			return &Loose{Fault: f, Reading: id, CountsAs: v}, nil
		}
	}
	return nil, nil
}

// force keeps a memory in one state while the fault is there.
func (w *Faulted) force(id model.MemoryID, state int) {
	m := &w.Design.Memories[id]
	rules := []model.Rule{{To: state, When: w.Failed}}
	for _, r := range m.Rules {
		r.When = model.And(model.Not(w.Failed), r.When)
		rules = append(rules, r)
	}
	m.Rules = rules
}
