package consequence

import (
	"slices"

	"pintle/checker/rule"
	"pintle/lang/model"
)

// Master returns the position of a setting in which it takes the feed (or the earth) off a
// winding, as the key or a master switch does; false where it has none.
//
// That is told from the circuit. In that position no current path through metal and diodes
// leads to the winding, those over contacts of the winding's own iron left out, and in another
// one does; the setting makes fewer contacts in it than elsewhere, and nothing springs back to it. What only starts a winding
// that then holds itself, as a door does that sets off an alarm, is no master: a master feeds a
// rail. So either something else loses its feed with the winding, or a switch that springs back
// starts it beyond the setting, or the rail is fed over a load or a resistor besides.
func Master(p *rule.Pass, id model.SettingID, m model.MemoryID) (position int, ok bool) {
	d, s := p.Design, &p.Design.Settings[id]
	springs := func(id model.SettingID, at int) bool {
		return slices.ContainsFunc(d.Settings[id].Springs, func(x model.Spring) bool { return x.From == at })
	}
	if s.Broken || len(s.Positions) < 2 {
		return 0, false
	}
	made := make([]int, len(s.Positions)) // how many contacts each position makes
	for i := range s.Positions {
		for k := range d.Elements {
			if c := d.Elements[k].Closed; c != nil && decidedBy(c, id, i) == isTrue {
				made[i]++
			}
		}
	}
	most, least := slices.Max(made), slices.Min(made)
	for i := range s.Positions {
		if springs(id, i) || slices.ContainsFunc(s.Springs, func(x model.Spring) bool { return x.To == i }) || made[i] != least || most == least {
			continue
		}
		for k := range d.Coils {
			c := &d.Coils[k]
			if c.Broken || c.Element == model.None || !movedBy(d, c, m) {
				continue
			}
			own := append(notMetal(d), contactsOf(d, m)...)
			open := opened(d, id, i)
			if !fedBut(p, c.Element, own) || fedBut(p, c.Element, append(slices.Clone(own), open...)) {
				continue
			}
			if alsoCut(p, c.Element, m, open) || startedBeyond(p, c.Element, own, id, springs) ||
				fedBut(p, c.Element, append(contactsOf(d, m), open...)) {
				return i, true
			}
		}
	}
	return 0, false
}

// movedBy reports whether a memory is that of the iron that a winding moves.
func movedBy(d *model.Design, c *model.Coil, m model.MemoryID) bool {
	return c.Memory == m || c.Armature != model.None && d.Armatures[c.Armature].Memory == m
}

// contactsOf lists the elements of the contacts that a memory moves.
func contactsOf(d *model.Design, m model.MemoryID) []model.ElementID {
	var out []model.ElementID
	for i := range d.Contacts {
		if k := &d.Contacts[i]; k.By == m {
			for _, e := range [...]model.ElementID{k.RestElem, k.WorkElem} {
				if e != model.None {
					out = append(out, e)
				}
			}
		}
	}
	return out
}

// notMetal lists what is no metal, diode or supply.
func notMetal(d *model.Design) []model.ElementID {
	var out []model.ElementID
	for i := range d.Elements {
		if x := &d.Elements[i]; !x.Metal && x.Type != model.ElemDiode && x.Type != model.ElemSupply {
			out = append(out, model.ElementID(i))
		}
	}
	return out
}

// opened lists the elements that a setting holds open in a position.
func opened(d *model.Design, id model.SettingID, position int) []model.ElementID {
	var out []model.ElementID
	for i := range d.Elements {
		if c := d.Elements[i].Closed; c != nil && decidedBy(c, id, position) == isFalse {
			out = append(out, model.ElementID(i))
		}
	}
	return out
}

// fedBut reports whether a current could run through an element from a supply to ground, over
// nothing of a list.
func fedBut(p *rule.Pass, id model.ElementID, but []model.ElementID) bool {
	e, c := &p.Design.Elements[id], p.Circuit()
	but = append(slices.Clone(but), id)
	for _, ends := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
		if _, ok := c.FeedWay(ends[0], but...); !ok {
			continue
		}
		if _, ok := c.GroundWay(ends[1], but...); ok {
			return true
		}
	}
	return false
}

// alsoCut reports whether some load, or a winding of another iron, loses its feed by metal
// together with a winding when some elements open.
func alsoCut(p *rule.Pass, but model.ElementID, m model.MemoryID, open []model.ElementID) bool {
	d, rest := p.Design, notMetal(p.Design)
	cut := func(id model.ElementID) bool {
		return id != model.None && id != but && fedBut(p, id, rest) && !fedBut(p, id, append(slices.Clone(rest), open...))
	}
	for i := range d.Loads {
		if l := &d.Loads[i]; !l.Broken && cut(l.Element) {
			return true
		}
	}
	for i := range d.Coils {
		if c := &d.Coils[i]; !c.Broken && !movedBy(d, c, m) && cut(c.Element) {
			return true
		}
	}
	return false
}

// startedBeyond reports whether a setting that springs back also takes the feed off a winding.
func startedBeyond(p *rule.Pass, e model.ElementID, own []model.ElementID, but model.SettingID, springs func(model.SettingID, int) bool) bool {
	for i := range p.Design.Settings {
		s := &p.Design.Settings[i]
		if model.SettingID(i) == but || len(s.Springs) == 0 {
			continue
		}
		for at := range s.Positions {
			if !springs(model.SettingID(i), at) && !fedBut(p, e, append(slices.Clone(own), opened(p.Design, model.SettingID(i), at)...)) {
				return true
			}
		}
	}
	return false
}

// truth is what is known of a condition.
type truth int8

const (
	isFalse   truth = -1
	isUnknown truth = 0
	isTrue    truth = 1
)

// decidedBy returns what a position of a setting alone makes of a condition.
func decidedBy(c *model.Cond, id model.SettingID, position int) truth {
	switch c.Op {
	case model.CondTrue:
		return isTrue
	case model.CondFalse:
		return isFalse
	case model.CondNot:
		return -decidedBy(c.Kids[0], id, position)
	case model.CondAnd, model.CondOr:
		// An "and" is as true as the least true of its parts, an "or" as the most true.
		out := decidedBy(c.Kids[0], id, position)
		for _, k := range c.Kids[1:] {
			if x := decidedBy(k, id, position); c.Op == model.CondAnd {
				out = min(out, x)
			} else {
				out = max(out, x)
			}
		}
		return out
	case model.CondAtom:
		if c.Atom.Kind != model.AtomSetting || model.SettingID(c.Atom.Index) != id {
			return isUnknown
		}
		if slices.Contains(c.Atom.In, position) {
			return isTrue
		}
		return isFalse
	}
	return isUnknown
}
