package circuit

import (
	"slices"

	"pintle/lang/model"
)

// An assignment is what a partial choice of switches says about the rest. Conditions on
// one setting, armature or mode exclude or imply one another: a changeover is never
// on both throws, a key never in two positions.
type assignment struct {
	f     *facts
	known []Tri    // per switch: No open, Yes closed, Depends unknown
	masks []uint64 // per variable: values that it may still have
}

// facts are what an assignment is about: the variables with finitely many values that
// the conditions of switches ask about.
type facts struct {
	design *model.Design
	terms  []*term // per switch: its condition
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
		f.collect(s.Cond, Switch(w), 0)
	}
	made := map[*model.Cond]*term{}
	for _, s := range switches {
		f.terms = append(f.terms, f.term(s.Cond, made, 0))
	}
	return f
}

// term is a condition with its names and variables looked up: what is known is put to the
// same few conditions over and over.
type term struct {
	op   model.CondOp
	v    int    // of an atom: the variable, -1 where it is not kept track of
	in   uint64 // the values of it that make the atom true
	atom string // of one that is not kept track of: which it is
	kids []*term
}

// unsaid is a term of which nothing is known.
var unknownTerm = &term{op: model.CondAtom, v: -1}

// term looks up what stands in a condition. Of one that goes round nothing is known.
func (f *facts) term(c *model.Cond, made map[*model.Cond]*term, depth int) *term {
	switch {
	case c == nil:
		return &term{op: model.CondTrue}
	case depth > deepest:
		return unknownTerm
	}
	if t := made[c]; t != nil {
		return t
	}
	if c.Op == model.CondAtom {
		if under := f.named(c.Atom); under != nil {
			t := f.term(under, made, depth+1)
			made[c] = t
			return t
		}
	}
	t := &term{op: c.Op, v: -1}
	made[c] = unknownTerm // while it is looked up
	if c.Op == model.CondAtom {
		if v, in, ok := f.mask(c.Atom); ok {
			t.v, t.in = v, in
		} else {
			t.atom = string(appendAtom(nil, c.Atom))
		}
	}
	for _, k := range c.Kids {
		t.kids = append(t.kids, f.term(k, made, depth+1))
	}
	made[c] = t
	return t
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

func (f *facts) nothing() *assignment {
	k := &assignment{f: f, known: make([]Tri, len(f.terms)), masks: slices.Clone(f.full)}
	for i := range k.known {
		k.known[i] = Depends
	}
	return k
}

// with returns what is known once a switch is closed or open as well, or nil where
// that cannot be.
func (k *assignment) with(w Switch, closed bool) *assignment {
	if k.known[w] != Depends {
		if k.known[w] == triOf(closed) {
			return k
		}
		return nil
	}
	n := &assignment{f: k.f, known: slices.Clone(k.known), masks: slices.Clone(k.masks)}
	n.known[w] = triOf(closed)
	if !n.assume(k.f.terms[w], closed) {
		return nil
	}
	for v, m := range n.masks {
		if m == k.masks[v] {
			continue
		}
		for _, u := range k.f.users[v] {
			t := n.eval(k.f.terms[u])
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
func (k *assignment) assume(c *term, value bool) bool {
	switch c.op {
	case model.CondTrue:
		return value
	case model.CondFalse:
		return !value
	case model.CondNot:
		return k.assume(c.kids[0], !value)
	case model.CondAtom:
		if c.v < 0 {
			return true
		}
		in := c.in
		if !value {
			in = k.f.full[c.v] &^ in
		}
		k.masks[c.v] &= in
		return k.masks[c.v] != 0
	case model.CondAnd, model.CondOr:
		if value == (c.op == model.CondAnd) {
			for _, kid := range c.kids {
				if !k.assume(kid, value) {
					return false
				}
			}
			return true
		}
		var open *term // the one that is not known, if there is but one
		for _, kid := range c.kids {
			switch k.eval(kid) {
			case triOf(value):
				return true
			case Depends:
				if open != nil {
					return true
				}
				open = kid
			}
		}
		return open != nil && k.assume(open, value)
	}
	return true
}

// eval is the value of a condition as far as the masks tell: Depends where they do
// not.
func (k *assignment) eval(c *term) Tri {
	switch c.op {
	case model.CondTrue:
		return Yes
	case model.CondFalse:
		return No
	case model.CondNot:
		switch k.eval(c.kids[0]) {
		case Yes:
			return No
		case No:
			return Yes
		}
	case model.CondAtom:
		if c.v >= 0 {
			switch m := k.masks[c.v]; {
			case m&^c.in == 0:
				return Yes
			case m&c.in == 0:
				return No
			}
		}
	case model.CondAnd, model.CondOr:
		absorbing := triOf(c.op == model.CondOr)
		all := true
		for _, kid := range c.kids {
			switch k.eval(kid) {
			case absorbing:
				return absorbing
			case Depends:
				all = false
			}
		}
		if all {
			return triOf(c.op == model.CondAnd)
		}
	}
	return Depends
}

// open counts how many of some switches are unknown.
func (k *assignment) open(switches []Switch) int {
	n := 0
	for _, w := range switches {
		if k.known[w] == Depends {
			n++
		}
	}
	return n
}
