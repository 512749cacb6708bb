package circuit

import (
	"math"
	"slices"

	"pintle/lang/model"
)

// Tri is an answer.
type Tri uint8

// The answers. Depends means that it is yes within the tolerances, supply range or
// warmth that were asked about, and no elsewhere in them. Undecided means that it
// could not be found out; it always comes with a reason.
const (
	No Tri = iota
	Yes
	Depends
	Undecided
)

func (t Tri) String() string {
	return [...]string{No: "no", Yes: "yes", Depends: "depends", Undecided: "undecided"}[t]
}

func triOf(b bool) Tri {
	if b {
		return Yes
	}
	return No
}

// QuestionID numbers a question.
type QuestionID int

// QuestionInfo is an electrical atom that the circuit can answer.
type QuestionInfo struct {
	Atom    model.Atom
	Islands []IslandID // that the answer may depend on, ascending
}

// Electrical reports whether an atom asks about the circuit.
func Electrical(k model.AtomKind) bool {
	switch k {
	case model.AtomLive, model.AtomGrounded, model.AtomFloating, model.AtomJoined, model.AtomMeasure:
		return true
	}
	return false
}

// Questions returns the questions known so far: first those that the design asks
// anywhere, then those registered.
func (c *Circuit) Questions() []QuestionInfo {
	c.mu.RLock()
	defer c.mu.RUnlock()
	return slices.Clone(c.questions)
}

// Question returns one question.
func (c *Circuit) Question(q QuestionID) QuestionInfo {
	c.mu.RLock()
	defer c.mu.RUnlock()
	return c.questions[q]
}

// Register makes a question of an atom; the same atom is the same question. It is
// false where the atom is not electrical or names what the design does not have.
func (c *Circuit) Register(a model.Atom) (QuestionID, bool) {
	if !c.answerable(a) {
		return 0, false
	}
	a.Measure = c.across(a.Measure)
	key := string(appendAtom(nil, a))
	c.mu.Lock()
	defer c.mu.Unlock()
	if q, ok := c.byKey[key]; ok {
		return q, true
	}
	q := QuestionID(len(c.questions))
	c.byKey[key] = q
	c.questions = append(c.questions, QuestionInfo{Atom: a, Islands: c.islandsOf(a)})
	return q, true
}

func (c *Circuit) answerable(a model.Atom) bool {
	n := func(i int) bool { return c.known(model.NodeID(i)) }
	e := func(id model.ElementID) bool { return id >= 0 && int(id) < len(c.elems) }
	switch a.Kind {
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		return n(a.Index)
	case model.AtomJoined:
		return n(a.Index) && n(a.Other)
	case model.AtomMeasure:
		switch a.Measure.Kind {
		case model.Volts, model.AbsVolts:
			return n(int(a.Measure.A)) && n(int(a.Measure.B))
		case model.Amps:
			return e(a.Measure.Element)
		case model.AmpereTurns:
			for _, w := range a.Measure.Windings {
				if !e(w.Element) {
					return false
				}
			}
			return true
		}
	}
	return false
}

// islandsOf lists the islands that an atom's nodes and elements lie in.
func (c *Circuit) islandsOf(a model.Atom) []IslandID {
	var out []IslandID
	node := func(n model.NodeID) {
		if i, ok := c.IslandOf(n); ok {
			out = append(out, i)
		}
	}
	element := func(id model.ElementID) {
		node(c.elems[id].A)
		node(c.elems[id].B)
	}
	switch a.Kind {
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		node(model.NodeID(a.Index))
	case model.AtomJoined:
		node(model.NodeID(a.Index))
		node(model.NodeID(a.Other))
	default:
		measured(&a.Measure, node, element)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// measured calls node or element for what a measure is taken at.
func measured(m *model.Measure, node func(model.NodeID), element func(model.ElementID)) {
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		node(m.A)
		node(m.B)
	case model.Amps:
		element(m.Element)
	case model.AmpereTurns:
		for _, w := range m.Windings {
			element(w.Element)
		}
	}
}

// registerAll makes questions of all electrical atoms of the design, in the order in
// which they stand in its tables.
func (c *Circuit) registerAll() {
	c.design.EachCond(func(cond *model.Cond) {
		cond.Atoms(func(k *model.Cond) { c.Register(k.Atom) })
	})
}

// hair is how near to its level a value must be to count as being there: relative to
// both, and in V, A or At. It covers the rounding of a solution, no more.
const hair = 1e-9

// margin is by how much a value is above the level, 0 where it is there but for
// rounding.
func margin(value, level float64) float64 {
	d := value - level
	if math.Abs(d) <= hair*max(1, math.Abs(value), math.Abs(level)) {
		return 0
	}
	return d
}

// IslandsOf lists the islands that a measure reads, ascending.
func (c *Circuit) IslandsOf(m model.Measure) []IslandID {
	return c.islandsOf(model.Atom{Kind: model.AtomMeasure, Measure: m})
}

// Near lists the switches of the part that a measure is taken in, ascending: those next to
// it, as far as no rail on which much hangs lies between.
func (c *Circuit) Near(m model.Measure) []Switch {
	q, ok := c.Register(model.Atom{Kind: model.AtomMeasure, Measure: m, Cmp: model.Above, Level: model.Exactly(0)})
	if !ok {
		return nil
	}
	d := c.newDecider(decisionKey{q, Nominal, 0})
	if len(d.islands) != 1 {
		return nil
	}
	w, err := c.workbenchOf(d.islands[0])
	if err != nil {
		return nil
	}
	figures := w.figuresOf(Nominal, 0)
	p, err := w.partOf(w.cut(c.facts.nothing(), figures.least, figures.volt), d, true)
	if err != nil || p == nil {
		return nil
	}
	return p.switches
}
