package circuit

import (
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"sync"
	"sync/atomic"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// Memo remembers decisions by everything that they depend on: the island, its numbers, what
// its switches have to do with each other, the question and the corner, but no names and
// none of the numbers that things have in a design. So designs that are alike in part, as
// one is to itself after an edit, or under another option, or with a fault elsewhere,
// share what was decided. It is safe for concurrent use, and bounded.
type Memo struct {
	mu            sync.Mutex
	known, before map[memoKey]kept
	nodes         int // of what is known
	// drawn are draws of components, before those of earlier.
	drawn, drawnBefore map[string]*draws
	hits, misses       atomic.Uint64
}

type memoKey [sha256.Size]byte

// kept is a decision, in local numbers, with how many states and corners it took: that counts
// again for whom it is remembered, lest what is decided depends on what others asked before.
type kept struct {
	*Decision
	states, corners int
}

// maxMemo is how many parts of decisions a Memo holds before it forgets those that were
// not asked for since it last did.
const maxMemo = 1 << 17

// NewMemo makes an empty one.
func NewMemo() *Memo { return &Memo{known: map[memoKey]kept{}} }

// Counts returns how many decisions were found in it, and how many were not.
func (m *Memo) Counts() (hits, misses uint64) { return m.hits.Load(), m.misses.Load() }

func (m *Memo) get(key memoKey) kept {
	m.mu.Lock()
	d, ok := m.known[key]
	if !ok {
		if d = m.before[key]; d.Decision != nil {
			m.enter(key, d)
		}
	}
	m.mu.Unlock()
	if d.Decision == nil {
		m.misses.Add(1)
	} else {
		m.hits.Add(1)
	}
	return d
}

func (m *Memo) put(key memoKey, d kept) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.enter(key, d)
}

func (m *Memo) enter(key memoKey, d kept) {
	if m.nodes >= maxMemo {
		m.known, m.before, m.nodes = map[memoKey]kept{}, m.known, 0
	}
	m.known[key] = d
	d.Each(func(*Decision) { m.nodes++ })
}

// Share makes a circuit take from a Memo, and give to it, what is decided. It is called
// before anything is asked. Nil is no Memo.
func (c *Circuit) Share(m *Memo) { c.memo = m }

// remembered is decide through the Memo. Questions about one island are remembered.
func (d *decider) remembered(k *assignment, decide func() (*Decision, error)) (*Decision, error) {
	key, l, ok := d.memoKey(k)
	if !ok {
		return decide()
	}
	states, corners := d.states, d.corners
	if known := d.c.memo.get(key); known.Decision != nil && states+known.states <= d.most && corners+known.corners <= d.parted {
		d.states, d.corners = states+known.states, corners+known.corners
		return l.global(known.Decision), nil
	}
	out, err := decide()
	if err != nil {
		return nil, err
	}
	own, ok := l.local(out)
	if !ok {
		return out, nil
	}
	if !d.cut && (d.key.over == 0 || !d.steps().cut.Load()) { // what depends on other questions is not kept
		d.c.memo.put(key, kept{own, d.states - states, d.corners - corners})
	}
	return l.global(own), nil // the same whether it was remembered or not
}

// memoKey is what a decision depends on where something is known, and how it is reported in numbers
// of its own; false where it is not remembered.
func (d *decider) memoKey(k *assignment) (key memoKey, l local, ok bool) {
	if d.c.memo == nil || d.q.Atom.Kind != model.AtomMeasure || len(d.islands) != 1 {
		return key, l, false
	}
	s := d.islands[0]
	p := d.c.print(s, k)
	l = local{d: d, p: p}
	b := append(make([]byte, 0, 200), p.print[:]...)
	b = append(b, byte(d.key.over), byte(d.q.Atom.Cmp), byte(d.q.Atom.Measure.Kind))
	for _, x := range [...]float64{d.q.Atom.Level.Nominal, d.q.Atom.Level.Min, d.q.Atom.Level.Max} {
		b = appendFloat(b, x)
	}
	ok = true
	element := func(e model.ElementID) {
		i, in := s.branch(e)
		ok = ok && in
		n, there := int32(-1), false
		if in {
			if n = p.element[i]; n >= 0 {
				there = true
			}
		}
		b = binary.AppendVarint(append(b, flags(there)), int64(n))
	}
	extra := map[dc.Node]int{} // nodes at which nothing ends that is there
	node := func(n model.NodeID) {
		i := d.c.localIn(s, n)
		ok = ok && i >= 0 && (n == d.c.design.Ground || d.c.at[n].island == int(s.id))
		if !ok {
			return
		}
		at := int(p.node[i])
		if at < 0 {
			if _, known := extra[i]; !known {
				extra[i] = p.nodes + len(extra)
			}
			at = extra[i]
		}
		b = binary.AppendVarint(b, int64(at))
	}
	m := &d.q.Atom.Measure
	b = binary.AppendUvarint(b, uint64(len(m.Windings)))
	measured(m, node, element)
	for _, w := range m.Windings {
		b = appendFloat(b, w.Turns)
	}
	b = append(b, flags(d.key.corner.cold))
	for _, set := range d.key.corner.settings() {
		if i, in := slices.BinarySearch(p.params, set.param); in {
			b = appendFloat(binary.AppendUvarint(b, uint64(i)), set.value)
		}
	}
	return sha256.Sum256(b), l, ok
}

// printed is an island in numbers of its own, as far as what is known leaves it: without
// elements that can't conduct.
type printed struct {
	print    memoKey
	node     []int32 // per node of the island; -1: nothing ends there
	nodes    int
	element  []int32  // per element of the island; -1: it can't conduct
	switches []Switch // what is not known, of those that stand alike the one that asks least
	number   map[Switch]int
	params   []ParamID // of its elements, ascending
}

// print is an island with a digest. It is worked out once for what is known.
func (c *Circuit) print(s *island, k *assignment) *printed {
	s.mu.Lock()
	defer s.mu.Unlock()
	known := make([]byte, 0, len(k.masks))
	known = k.appendMasks(known)
	if p := s.printed[string(known)]; p != nil {
		return p
	}
	p := &printed{node: make([]int32, len(s.Nodes)), element: make([]int32, len(s.Elements)), number: map[Switch]int{}}
	for i := range p.node {
		p.node[i] = -1
	}
	var b []byte
	node := func(n dc.Node) {
		if n >= 0 && p.node[n] < 0 {
			p.node[n] = int32(p.nodes)
			p.nodes++
		}
		b = binary.AppendVarint(b, int64(p.node[n]))
	}
	if s.ground >= 0 {
		node(s.ground)
	}
	b = append(b, flags(s.ground >= 0))
	n := numbering{k: k, of: map[string]int{}}
	alike := map[string]int{}
	count := int32(0)
	for i, id := range s.Elements {
		w := c.switchOf[id]
		if p.element[i] = -1; w >= 0 && k.known[w] == No {
			continue
		}
		p.element[i] = count
		count++
		e, br := &c.elems[id], c.branch(s, id)
		b = append(b, byte(e.Type), byte(br.Kind), flags(e.OneWay, e.Metal, e.shorted))
		node(br.A)
		node(br.B)
		for _, p := range [...]model.Param{e.Ohm, e.ColdOhm, e.Volts} {
			for _, x := range [...]float64{p.Nominal, p.Min, p.Max} {
				b = appendFloat(b, x)
			}
		}
		at := -1
		if w >= 0 && k.known[w] == Depends {
			t := k.rest(c.facts.terms[w])
			text := n.term(nil, t)
			if !t.said() { // what is not known of one need not be so of another
				text = binary.AppendUvarint(text, uint64(i))
			}
			var known bool
			if at, known = alike[string(text)]; !known {
				at = len(p.switches)
				alike[string(text)] = at
				p.switches = append(p.switches, w)
				b = append(b, text...)
			} else if c.facts.terms[w].size() < c.facts.terms[p.switches[at]].size() {
				p.switches[at] = w
			}
			p.number[w] = at
		}
		b = binary.AppendVarint(b, int64(at))
	}
	for i, q := range c.params {
		if at, in := s.branch(q.Element); in && p.element[at] >= 0 {
			p.params = append(p.params, ParamID(i))
			b = append(binary.AppendUvarint(b, uint64(p.element[at])), byte(q.Kind), flags(q.Volts))
			for _, x := range [...]float64{q.Nominal, q.Min, q.Max} {
				b = appendFloat(b, x)
			}
		}
	}
	p.print = sha256.Sum256(b)
	if s.printed == nil || len(s.printed) >= maxPrints {
		s.printed = map[string]*printed{}
	}
	s.printed[string(known)] = p
	return p
}

// maxPrints is how many prints of an island are remembered before all are forgotten.
const maxPrints = 64

func flags(bits ...bool) (out byte) {
	for i, set := range bits {
		if set {
			out |= 1 << i
		}
	}
	return out
}

// numbering writes terms as far as an assignment regards them: what they ask about is
// numbered in the order in which it comes up.
type numbering struct {
	k  *assignment
	of map[string]int
}

func (n *numbering) number(key string) uint64 {
	i, ok := n.of[key]
	if !ok {
		i = len(n.of)
		n.of[key] = i
	}
	return uint64(i)
}

func (n *numbering) term(to []byte, t *term) []byte {
	switch {
	case t.op != model.CondAtom:
		to = binary.AppendUvarint(append(to, byte(t.op)), uint64(len(t.kids)))
		for _, k := range t.kids {
			to = n.term(to, k)
		}
		return to
	case t == unknownTerm:
		return append(to, 0xff)
	case t.v < 0:
		return binary.AppendUvarint(append(to, byte(t.op), 0), n.number("atom"+t.atom))
	}
	var key [8]byte
	binary.LittleEndian.PutUint64(key[:], uint64(t.v))
	to = binary.AppendUvarint(append(to, byte(t.op), 1), n.number("variable"+string(key[:])))
	return binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(to, n.k.masks[t.v]), t.in)
}

// local carries decisions on questions about one island into its own numbers and back.
type local struct {
	d *decider
	p *printed
}

// local returns a decision in the numbers of the island: switches, parameters, and
// corners without what is set outside of it. It is false where the decision speaks of
// anything else.
func (l local) local(of *Decision) (out *Decision, ok bool) {
	ok = true
	out = l.copy(newBuilder(), of,
		func(w Switch) Switch {
			i, in := l.p.number[w]
			ok = ok && in
			return Switch(i)
		},
		func(p ParamID) ParamID {
			i, in := slices.BinarySearch(l.p.params, p)
			ok = ok && in
			return ParamID(i)
		},
		func(k Corner) Corner {
			var all []setting
			for _, set := range k.settings() {
				if i, in := slices.BinarySearch(l.p.params, set.param); in {
					all = append(all, setting{ParamID(i), set.value})
				} else if v, fixed := l.d.key.corner.Value(set.param); !fixed || v != set.value {
					ok = false
				}
			}
			return k.withSettings(all)
		})
	return out, ok
}

// global is the way back. Parts that are equal to others of the decider's are one with them.
func (l local) global(of *Decision) *Decision {
	return l.copy(l.d.b, of,
		func(w Switch) Switch { return l.p.switches[w] },
		func(p ParamID) ParamID { return l.p.params[p] },
		func(k Corner) Corner {
			out := l.d.key.corner.WithCold(k.cold)
			for _, p := range l.p.params {
				if _, set := out.Value(p); set {
					out = out.without(p)
				}
			}
			for _, set := range k.settings() {
				out = out.With(l.p.params[set.param], set.value)
			}
			return out
		})
}

func (l local) copy(b *builder, of *Decision, w func(Switch) Switch, p func(ParamID) ParamID, k func(Corner) Corner) *Decision {
	done := map[*Decision]*Decision{}
	of.Each(func(d *Decision) {
		if !d.IsLeaf() {
			done[d] = b.branch(w(d.Switch), done[d.Open], done[d.Closed])
			return
		}
		n := d.Leaf
		if d.Answer == Depends {
			if d.Param != NoParam {
				n.Param = p(d.Param)
			}
			n.Yes, n.No = k(d.Yes), k(d.No)
		}
		done[d] = b.leaf(n)
	})
	return done[of]
}
