package circuit

import (
	"fmt"
	"sync"
	"sync/atomic"

	"pintle/lang/model"
)

// Circuit is the electrical side of one design with one set of faults. It does not
// change, apart from questions being added and solutions being remembered, and is
// safe for concurrent use.
type Circuit struct {
	design   *model.Design
	faults   Overlay
	elems    []element // the design's, then those that faults add
	switchOf []Switch  // per element
	switches []SwitchInfo
	apart    []Switch // what is told apart first, see Apart
	metal    []leg    // all metal and diodes, by node
	metalAt  []int    // per node: first leg; one more at the end

	params   []ParamInfo
	paramsOf [][]ParamID // per element
	islands  []*island
	at       []place // per node

	mu        sync.RWMutex
	questions []QuestionInfo
	byKey     map[string]QuestionID

	facts     *facts
	memo      *Memo
	decisions decisions
	statesMu  sync.Mutex
	states    map[string]*allStates // by the islands
	work      struct{ solves, bounds atomic.Uint64 }
	steps     steps // see Limit
	sound     steps // of cases in which none of the conditions of Apart holds
}

// New prepares a design for solving. Errors: ErrFault for a fault that its thing
// cannot have, ErrDesign for numbers that no circuit has (a negative resistance).
func New(d *model.Design, faults Overlay) (*Circuit, error) {
	c := &Circuit{design: d, faults: faults, byKey: map[string]QuestionID{}}
	c.elems = make([]element, len(d.Elements), len(d.Elements)+2)
	for i, e := range d.Elements {
		if !c.known(e.A) || !c.known(e.B) {
			return nil, fmt.Errorf("%w: %s has an end that is no node", ErrDesign, e.Path)
		}
		c.elems[i].Element = e
	}
	if err := c.addParams(); err != nil {
		return nil, err
	}
	c.paramsOf = make([][]ParamID, len(c.elems), len(c.elems)+2)
	for p := range c.params {
		of := c.params[p].Element
		c.paramsOf[of] = append(c.paramsOf[of], ParamID(p))
	}
	if err := c.overlay(faults); err != nil {
		return nil, err
	}
	c.paramsOf = append(c.paramsOf, make([][]ParamID, len(c.elems)-len(c.paramsOf))...) // what faults add is exact
	c.addSwitches()
	c.facts = newFacts(d, c.switches)
	c.addMetal()
	if err := c.addIslands(); err != nil {
		return nil, err
	}
	c.registerAll()
	return c, nil
}

func (c *Circuit) known(n model.NodeID) bool { return n >= 0 && int(n) < len(c.design.Nodes) }

// Design returns the design, without the faults.
func (c *Circuit) Design() *model.Design { return c.design }

// Faults returns the overlay that the circuit was made with.
func (c *Circuit) Faults() Overlay { return c.faults }

// Elements returns the number of elements: those of the design and, behind them,
// the shorts that faults make.
func (c *Circuit) Elements() int { return len(c.elems) }

// Element returns an element as the faults leave it. A removed one keeps its values.
func (c *Circuit) Element(e model.ElementID) model.Element { return c.elems[e].Element }

// SwitchOf returns the switch of an element; ok is false where it has none, and then
// conducts reports whether it always or never conducts.
func (c *Circuit) SwitchOf(e model.ElementID) (s Switch, ok, conducts bool) {
	s = c.switchOf[e]
	return s, s >= 0, s == always
}

// Stats counts the work done so far.
type Stats struct {
	Solves uint64 // networks solved, not counting those remembered
	Bounds uint64 // bounding networks solved
	// States and Corners are what was spent of the two that Limit bounds.
	States, Corners uint64
}

// Stats returns the counters.
func (c *Circuit) Stats() Stats {
	s := Stats{
		Solves: c.work.solves.Load(), Bounds: c.work.bounds.Load(),
		States:  uint64(c.steps.states.Load() + c.sound.states.Load()),
		Corners: uint64(c.steps.corners.Load() + c.sound.corners.Load()),
	}
	for _, i := range c.islands {
		s.Solves += i.net.Stats().Solves
	}
	return s
}
