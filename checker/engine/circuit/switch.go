package circuit

import (
	"encoding/binary"
	"math"

	"pintle/lang/model"
)

// Switch numbers a distinct condition under which elements conduct.
type Switch int

// SwitchInfo reports what a switch stands for. Structurally equal conditions are one
// switch, but for those in which something is unknown. Elements without a condition have none.
type SwitchInfo struct {
	Cond     *model.Cond
	Elements []model.ElementID // that conduct exactly while Cond is true
}

// Switches returns all switches, in the order of the elements that need them.
func (c *Circuit) Switches() []SwitchInfo { return c.switches }

// always marks an element without a switch, never one that cannot conduct.
const (
	always = Switch(-1)
	never  = Switch(-2)
)

// addSwitches gives every element its switch.
func (c *Circuit) addSwitches() {
	known := map[string]Switch{}
	c.switchOf = make([]Switch, len(c.elems))
	for i := range c.elems {
		e := &c.elems[i]
		cond := e.Closed
		if s := e.supplyOf(c.design); s != nil && !e.shorted {
			cond = both(cond, s.While)
		}
		switch {
		case e.removed || cond != nil && cond.Op == model.CondFalse:
			c.switchOf[i] = never
			continue
		case cond == nil || cond.Op == model.CondTrue:
			c.switchOf[i] = always
			continue
		}
		key := condKey(cond)
		if !cond.Known() { // what is not known of one need not be so of another
			key = string(binary.AppendUvarint([]byte(key), uint64(i)))
		}
		s, ok := known[key]
		if !ok {
			s = Switch(len(c.switches))
			known[key] = s
			c.switches = append(c.switches, SwitchInfo{Cond: cond})
		}
		c.switchOf[i] = s
		c.switches[s].Elements = append(c.switches[s].Elements, model.ElementID(i))
	}
}

// both is the conjunction of an element's condition and its supply's, which may be
// the same one.
func both(a, b *model.Cond) *model.Cond {
	switch {
	case a == nil:
		return b
	case b == nil || condKey(a) == condKey(b):
		return a
	}
	return model.And(a, b)
}

// condKey is equal for conditions that are built alike, wherever they stand.
func condKey(c *model.Cond) string { return string(appendCond(nil, c)) }

func appendCond(to []byte, c *model.Cond) []byte {
	if c == nil {
		return append(to, byte(model.CondTrue))
	}
	to = append(to, byte(c.Op))
	if c.Op == model.CondAtom {
		return appendAtom(to, c.Atom)
	}
	to = binary.AppendUvarint(to, uint64(len(c.Kids)))
	for _, k := range c.Kids {
		to = appendCond(to, k)
	}
	return to
}

// appendAtom writes just the fields that the atom's kind uses.
func appendAtom(to []byte, a model.Atom) []byte {
	to = append(to, byte(a.Kind))
	if a.Kind != model.AtomMeasure {
		to = binary.AppendVarint(to, int64(a.Index))
	}
	switch a.Kind {
	case model.AtomQuantity, model.AtomReading:
		to = append(to, byte(a.Cmp))
		to = appendText(to, a.Value.N.Key())
	case model.AtomEdge:
		to = append(to, byte(a.Edge))
	case model.AtomJoined:
		to = binary.AppendVarint(to, int64(a.Other))
	case model.AtomMeasure:
		to = append(to, byte(a.Cmp))
		to = appendMeasure(to, a.Measure)
		for _, x := range [...]float64{a.Level.Nominal, a.Level.Min, a.Level.Max} {
			to = appendFloat(to, x)
		}
	}
	to = binary.AppendUvarint(to, uint64(len(a.In)))
	for _, x := range a.In {
		to = binary.AppendVarint(to, int64(x))
	}
	return to
}

func appendMeasure(to []byte, m model.Measure) []byte {
	to = append(to, byte(m.Kind))
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		to = binary.AppendVarint(to, int64(m.A))
		to = binary.AppendVarint(to, int64(m.B))
	case model.Amps:
		to = binary.AppendVarint(to, int64(m.Element))
	case model.AmpereTurns:
		to = binary.AppendUvarint(to, uint64(len(m.Windings)))
		for _, w := range m.Windings {
			to = binary.AppendVarint(to, int64(w.Element))
			to = appendFloat(to, w.Turns)
		}
	}
	return to
}

func appendFloat(to []byte, x float64) []byte {
	return binary.LittleEndian.AppendUint64(to, math.Float64bits(x))
}

func appendText(to []byte, s string) []byte {
	return append(binary.AppendUvarint(to, uint64(len(s))), s...)
}
