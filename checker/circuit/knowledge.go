package circuit

import (
	"slices"

	"pintle/lang/model"
)

// Knowledge is what a partial choice of switches says about the rest. Conditions on
// one setting, armature or mode exclude or imply one another: a changeover is never
// on both throws, a key never in two positions.
type knowledge struct {
	f     *facts
	known []Tri    // per switch: No open, Yes closed, Depends unknown
	masks []uint64 // per variable: values that it may still have
}

// facts are what knowledge is about: the variables with finitely many values that
// the conditions of switches ask about.
type facts struct {
	design *model.Design
	conds  []*model.Cond // per switch
	vars   map[variable]int
	full   []uint64
	users  [][]Switch // per variable: switches that ask about it
}

type variable struct {
	kind  model.AtomKind
	index int
}

const maxValues = 64

func newFacts(d *model.Design, switches []SwitchInfo) *facts {
	f := &facts{design: d, vars: map[variable]int{}}
	for w, s := range switches {
		f.conds = append(f.conds, s.Cond)
		f.collect(s.Cond, Switch(w), 0)
	}
	return f
}

// deepest bounds how far named conditions are looked through, in case they go round.
const deepest = 100

func (f *facts) collect(c *model.Cond, w Switch, depth int) {
	if c == nil || depth > deepest {
		return
	}
	if c.Op == model.CondAtom {
		if under := f.named(c.Atom); under != nil {
			f.collect(under, w, depth+1)
			return
		}
		n := f.values(c.Atom)
		if n < 2 {
			return
		}
		v := variable{c.Atom.Kind, c.Atom.Index}
		i, ok := f.vars[v]
		if !ok {
			i = len(f.full)
			f.vars[v] = i
			f.full = append(f.full, 1<<n-1)
			f.users = append(f.users, nil)
		}
		if u := f.users[i]; len(u) == 0 || u[len(u)-1] != w {
			f.users[i] = append(u, w)
		}
		return
	}
	for _, k := range c.Kids {
		f.collect(k, w, depth+1)
	}
}

// named returns what a named condition says.
func (f *facts) named(a model.Atom) *model.Cond {
	if a.Kind == model.AtomCondition && a.Index >= 0 && a.Index < len(f.design.Conditions) {
		return f.design.Conditions[a.Index].Cond
	}
	return nil
}

// values returns how many values the subject of an atom has, 0 where it is not kept
// track of.
func (f *facts) values(a model.Atom) int {
	d, n, i := f.design, 0, a.Index
	if i < 0 {
		return 0
	}
	switch a.Kind {
	case model.AtomSetting:
		if i < len(d.Settings) {
			n = len(d.Settings[i].Positions)
		}
	case model.AtomMemory:
		if i < len(d.Memories) {
			n = len(d.Memories[i].States)
		}
	case model.AtomMachine:
		if i < len(d.Machines) {
			n = len(d.Machines[i].Modes)
		}
	case model.AtomTimer:
		n = 3
	case model.AtomBeat:
		n = 2
	}
	if n >= maxValues {
		return 0
	}
	return n
}

func (f *facts) mask(a model.Atom) (v int, in uint64, ok bool) {
	v, ok = f.vars[variable{a.Kind, a.Index}]
	if !ok {
		return 0, 0, false
	}
	for _, x := range a.In {
		if x >= 0 && x < maxValues {
			in |= 1 << x
		}
	}
	return v, in & f.full[v], true
}

func (f *facts) nothing() *knowledge {
	k := &knowledge{f: f, known: make([]Tri, len(f.conds)), masks: slices.Clone(f.full)}
	for i := range k.known {
		k.known[i] = Depends
	}
	return k
}

// with returns what is known once a switch is closed or open as well, or nil where
// that cannot be.
func (k *knowledge) with(w Switch, closed bool) *knowledge {
	if k.known[w] != Depends {
		if k.known[w] == triOf(closed) {
			return k
		}
		return nil
	}
	n := &knowledge{f: k.f, known: slices.Clone(k.known), masks: slices.Clone(k.masks)}
	n.known[w] = triOf(closed)
	if !n.assume(k.f.conds[w], closed, 0) {
		return nil
	}
	for v, m := range n.masks {
		if m == k.masks[v] {
			continue
		}
		for _, u := range k.f.users[v] {
			t := n.eval(k.f.conds[u], 0)
			switch {
			case t == Depends:
			case n.known[u] == Depends:
				n.known[u] = t
			case n.known[u] != t:
				return nil
			}
		}
	}
	return n
}

// assume narrows the masks to those in which a condition may have a value; false
// where there is none.
func (k *knowledge) assume(c *model.Cond, value bool, depth int) bool {
	if depth > deepest {
		return true
	}
	switch c.Op {
	case model.CondTrue:
		return value
	case model.CondFalse:
		return !value
	case model.CondNot:
		return k.assume(c.Kids[0], !value, depth+1)
	case model.CondAtom:
		if under := k.f.named(c.Atom); under != nil {
			return k.assume(under, value, depth+1)
		}
		v, in, ok := k.f.mask(c.Atom)
		if !ok {
			return true
		}
		if !value {
			in = k.f.full[v] &^ in
		}
		k.masks[v] &= in
		return k.masks[v] != 0
	case model.CondAnd, model.CondOr:
		if value == (c.Op == model.CondAnd) {
			for _, kid := range c.Kids {
				if !k.assume(kid, value, depth+1) {
					return false
				}
			}
			return true
		}
		return k.eval(c, depth+1) != triOf(!value)
	}
	return true
}

// eval is the value of a condition as far as the masks tell: Depends where they do
// not.
func (k *knowledge) eval(c *model.Cond, depth int) Tri {
	if c == nil {
		return Yes
	}
	if depth > deepest {
		return Depends
	}
	switch c.Op {
	case model.CondTrue:
		return Yes
	case model.CondFalse:
		return No
	case model.CondNot:
		switch k.eval(c.Kids[0], depth+1) {
		case Yes:
			return No
		case No:
			return Yes
		}
	case model.CondAtom:
		if under := k.f.named(c.Atom); under != nil {
			return k.eval(under, depth+1)
		}
		if v, in, ok := k.f.mask(c.Atom); ok {
			switch m := k.masks[v]; {
			case m&^in == 0:
				return Yes
			case m&in == 0:
				return No
			}
		}
	case model.CondAnd, model.CondOr:
		absorbing := triOf(c.Op == model.CondOr)
		all := true
		for _, kid := range c.Kids {
			switch k.eval(kid, depth+1) {
			case absorbing:
				return absorbing
			case Depends:
				all = false
			}
		}
		if all {
			return triOf(c.Op == model.CondAnd)
		}
	}
	return Depends
}

// open counts how many of some switches are unknown.
func (k *knowledge) open(switches []Switch) int {
	n := 0
	for _, w := range switches {
		if k.known[w] == Depends {
			n++
		}
	}
	return n
}
