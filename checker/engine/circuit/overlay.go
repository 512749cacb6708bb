package circuit

import (
	"errors"
	"fmt"
	"slices"

	"pintle/lang/model"
)

// Overlay is a set of faults, in the order in which they came. A mending action
// takes back the earlier ones on the same thing. Senders, passages and hoses may
// occur in it; they are no business of the circuit.
type Overlay []model.FaultAction

// Errors that can be told apart with errors.Is.
var (
	// ErrFault says that a fault cannot happen to the thing that it names.
	ErrFault = errors.New("circuit: no such fault")
	// ErrDesign says that a number in the design is not one that can be solved with.
	ErrDesign = errors.New("circuit: cannot be solved")
)

// faultOhm is the resistance of a short that a fault makes, in ohm: bare copper
// pressed on metal. Assumed; no source.
const faultOhm = 1e-3

// Standing returns the actions that are left when the mended ones are taken out.
func (o Overlay) Standing() Overlay {
	var out Overlay
	for _, a := range o {
		if a.Mend {
			out = slices.DeleteFunc(out, func(b model.FaultAction) bool {
				return b.Thing.Kind == a.Thing.Kind && b.Thing.Index == a.Thing.Index
			})
			continue
		}
		out = append(out, a)
	}
	return out
}

// Stuck tells of contacts and drivers that faults hold whether they stand made or on.
type Stuck map[model.Thing]bool

// Stuck lists what the standing faults hold.
func (o Overlay) Stuck() Stuck {
	out := Stuck{}
	for _, a := range o.Standing() {
		if a.Thing.Kind != model.ThingContact && a.Thing.Kind != model.ThingDriver {
			continue
		}
		switch a.Mode {
		case model.FaultStuckMade, model.FaultStuckOn:
			out[model.Thing{Kind: a.Thing.Kind, Index: a.Thing.Index}] = true
		case model.FaultStuckOpen, model.FaultStuckOff:
			out[model.Thing{Kind: a.Thing.Kind, Index: a.Thing.Index}] = false
		}
	}
	return out
}

// Of is what a condition comes to that says how a thing stands which is stuck; ok is false for
// any other condition.
func (s Stuck) Of(c *model.Cond) (is, ok bool) {
	of, made, ok := c.Standing()
	if !ok {
		return false, false
	}
	stuck, ok := s[model.Thing{Kind: of.Kind, Index: of.Index}]
	return stuck == made, ok
}

// element is one of the design's elements as the faults leave it.
type element struct {
	model.Element
	shorted bool // by a fault: plain metal, whatever it was
	removed bool // by a fault: an open circuit
}

// Added lists the elements that faults add to a design: the shorts that they make. It is what
// a Circuit with them holds behind those of the design, without the cost of making one. Errors
// are those of New for the faults.
func Added(d *model.Design, o Overlay) ([]model.Element, error) {
	c := &Circuit{design: d, elems: make([]element, len(d.Elements), len(d.Elements)+2)}
	for i, e := range d.Elements {
		c.elems[i].Element = e
	}
	if err := c.overlay(o); err != nil {
		return nil, err
	}
	var out []model.Element
	for _, e := range c.elems[len(d.Elements):] {
		out = append(out, e.Element)
	}
	return out, nil
}

func (c *Circuit) overlay(o Overlay) error {
	for _, a := range o.Standing() {
		if err := c.fault(a); err != nil {
			return err
		}
	}
	if stuck := o.Stuck(); len(stuck) > 0 { // what is made just where a stuck contact is
		for i := range c.elems {
			if is, ok := stuck.Of(c.elems[i].Closed); ok && is {
				c.elems[i].Closed = nil
			} else if ok {
				c.elems[i].Closed = model.False
			}
		}
	}
	return nil
}

func (c *Circuit) fault(a model.FaultAction) error {
	bad := func() error {
		return fmt.Errorf("%w: %s %s", ErrFault, a.Thing.Path, a.Mode)
	}
	d := c.design
	inside := func(n int) bool { return a.Thing.Index >= 0 && a.Thing.Index < n }
	switch a.Thing.Kind {
	case model.ThingElement:
		if !inside(len(d.Elements)) {
			return bad()
		}
		return c.elementFault(model.ElementID(a.Thing.Index), a)
	case model.ThingConnector:
		if !inside(len(d.Connectors)) {
			return bad()
		}
		switch a.Mode {
		case model.FaultOff, model.FaultOpen:
			for _, e := range d.Connectors[a.Thing.Index].WayElem {
				c.elems[e].removed = true
			}
			return nil
		case model.FaultSwapped:
			if a.Other.Kind != model.ThingConnector || a.Other.Index < 0 || a.Other.Index >= len(d.Connectors) {
				return bad()
			}
			c.swap(d.Connectors[a.Thing.Index].WayElem, d.Connectors[a.Other.Index].WayElem)
			return nil
		}
	case model.ThingContact:
		if !inside(len(d.Contacts)) {
			return bad()
		}
		switch a.Mode {
		case model.FaultStuckMade:
			c.stick(d.Contacts[a.Thing.Index], true)
			return nil
		case model.FaultStuckOpen:
			c.stick(d.Contacts[a.Thing.Index], false)
			return nil
		}
	case model.ThingDriver:
		if !inside(len(d.Drivers)) {
			return bad()
		}
		return c.elementFault(d.Drivers[a.Thing.Index].Element, a)
	default: // senders, passages and what else is no element
		return nil
	}
	return bad()
}

func (c *Circuit) elementFault(id model.ElementID, a model.FaultAction) error {
	e := &c.elems[id]
	switch a.Mode {
	case model.FaultOpen, model.FaultBlown, model.FaultOff:
		e.removed = true
	case model.FaultStuckOff, model.FaultStuckOpen:
		e.Closed = model.False
	case model.FaultStuckOn, model.FaultStuckMade:
		e.Closed = nil
	case model.FaultShorted:
		e.shorted, e.Metal, e.Closed = true, true, nil
		e.Ohm, e.ColdOhm, e.Volts = model.Exactly(faultOhm), model.Param{}, model.Param{}
		e.OneWay = false
	case model.FaultToGround:
		if c.design.Ground == model.None {
			return fmt.Errorf("%w: %s to ground: the design has no ground", ErrFault, a.Thing.Path)
		}
		c.short(id, c.design.Ground, a)
	case model.FaultToFeed:
		s := c.mainSupply()
		if s == model.None {
			return fmt.Errorf("%w: %s to feed: the design has no supply", ErrFault, a.Thing.Path)
		}
		c.short(id, c.design.Supplies[s].Plus, a)
	default:
		return fmt.Errorf("%w: %s %s", ErrFault, a.Thing.Path, a.Mode)
	}
	return nil
}

// mainSupply is the supply that a chafed wire most likely meets: the first one that
// is always there and can give and take, else the first that is always there, else
// the first.
func (c *Circuit) mainSupply() model.SupplyID {
	best, rank := model.SupplyID(model.None), -1
	for i, s := range c.design.Supplies {
		r := 0
		if s.While == nil {
			r = 1
			if !c.design.Elements[s.Element].OneWay {
				r = 2
			}
		}
		if r > rank {
			best, rank = model.SupplyID(i), r
		}
	}
	return best
}

// short adds the metal between an element and ground or a feed. It bites at end A,
// unless A is on that side already by metal that always conducts: then at B.
func (c *Circuit) short(id model.ElementID, to model.NodeID, a model.FaultAction) {
	e := c.elems[id]
	end := e.A
	if c.alwaysJoined(e.A, to, id) {
		end = e.B
	}
	c.elems = append(c.elems, element{Element: model.Element{
		Info: model.Info{
			Path: e.Path + " " + string(a.Mode), Name: e.Name, Kind: "fault",
			Place: a.Place, NamePlace: a.Place, Fit: e.Fit,
		},
		Type: model.ElemWire, A: to, B: end, Ohm: model.Exactly(faultOhm), Metal: true, Of: model.None,
	}})
}

// alwaysJoined reports whether two nodes are joined by metal that conducts as built, a fuse that
// has blown since included, other than one element.
func (c *Circuit) alwaysJoined(a, b model.NodeID, but model.ElementID) bool {
	seen := make([]bool, len(c.design.Nodes))
	seen[a] = true
	for changed := true; changed && !seen[b]; {
		changed = false
		for i := range c.elems {
			e := &c.elems[i]
			if model.ElementID(i) != but && e.Metal && (!e.removed && e.Closed == nil || e.Type == model.ElemFuse) && seen[e.A] != seen[e.B] {
				seen[e.A], seen[e.B], changed = true, true, true
			}
		}
	}
	return seen[b]
}

// swap lets the arriving half of each connector join the leaving half of the other,
// way by way. Ways that the other does not have stay open.
func (c *Circuit) swap(one, two []model.ElementID) {
	for i := range max(len(one), len(two)) {
		switch {
		case i >= len(two):
			c.elems[one[i]].removed = true
		case i >= len(one):
			c.elems[two[i]].removed = true
		default:
			x, y := &c.elems[one[i]], &c.elems[two[i]]
			x.B, y.B = y.B, x.B
		}
	}
}

// stick fixes a contact. A changeover is made when it is on its working throw; a
// contact of one throw is made when it is closed, whether it makes or breaks.
func (c *Circuit) stick(k model.Contact, made bool) {
	fix := func(e model.ElementID, closed bool) {
		if e == model.None {
			return
		}
		c.elems[e].Closed = nil
		if !closed {
			c.elems[e].Closed = model.False
		}
	}
	if k.Form == model.Break {
		fix(k.RestElem, made)
		return
	}
	fix(k.WorkElem, made)
	fix(k.RestElem, !made)
}
