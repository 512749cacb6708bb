package circuit

import (
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"sync"
	"sync/atomic"

	"pintle/lang/model"
)

// Memo remembers decisions by everything that they turn on: the island, its numbers, what
// its switches have to do with each other, the question and the corner, but no names and
// none of the numbers that things have in a design. So designs that are alike in part, as
// one is to itself after an edit, or under another option, or with a fault elsewhere,
// share what was decided. It is safe for concurrent use, and bounded.
type Memo struct {
	mu            sync.Mutex
	known, before map[memoKey]kept
	nodes         int // of what is known
	hits, misses  atomic.Uint64
}

type memoKey [sha256.Size]byte

// kept is a decision, in local numbers, with how many states it took: that counts again for
// whom it is remembered, lest what is decided depends on what others asked before.
type kept struct {
	*Decision
	states int
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

// remembered is decide by way of the Memo. Questions about one island are remembered.
func (d *decider) remembered(decide func() (*Decision, error)) (*Decision, error) {
	key, ok := d.memoKey()
	if !ok {
		return decide()
	}
	l := local{d: d, island: d.islands[0]}
	if known := d.c.memo.get(key); known.Decision != nil && known.states <= d.most {
		d.states = known.states
		return l.global(known.Decision), nil
	}
	out, err := decide()
	if err != nil {
		return nil, err
	}
	if own, ok := l.local(out); ok && !d.spent {
		d.c.memo.put(key, kept{own, d.states})
	}
	return out, nil
}

// memoKey is what a decision turns on; false where it is not remembered.
func (d *decider) memoKey() (key memoKey, ok bool) {
	if d.c.memo == nil || d.q.Atom.Kind != model.AtomMeasure || len(d.islands) != 1 {
		return key, false
	}
	s := d.islands[0]
	print := d.c.print(s)
	b := append(make([]byte, 0, 200), print[:]...)
	b = append(b, byte(d.key.over), byte(d.q.Atom.Cmp), byte(d.q.Atom.Measure.Kind))
	for _, x := range [...]float64{d.q.Atom.Level.Nominal, d.q.Atom.Level.Min, d.q.Atom.Level.Max} {
		b = appendFloat(b, x)
	}
	element := func(e model.ElementID) {
		i, in := s.branch(e)
		ok = ok && in
		b = binary.AppendUvarint(b, uint64(i))
	}
	node := func(n model.NodeID) {
		i := d.c.localIn(s, n)
		ok = ok && i >= 0 && (n == d.c.design.Ground || d.c.at[n].island == int(s.id))
		b = binary.AppendVarint(b, int64(i))
	}
	ok = true
	m := &d.q.Atom.Measure
	b = binary.AppendUvarint(b, uint64(len(m.Windings)))
	measured(m, node, element)
	for _, w := range m.Windings {
		b = appendFloat(b, w.Turns)
	}
	b = append(b, flags(d.key.corner.cold))
	for _, set := range d.key.corner.settings() {
		if i, in := slices.BinarySearch(s.params, set.param); in {
			b = appendFloat(binary.AppendUvarint(b, uint64(i)), set.value)
		}
	}
	return sha256.Sum256(b), ok
}

// print is an island in its own numbers, as a digest. It is worked out once.
func (c *Circuit) print(s *island) memoKey {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.printed {
		return s.print
	}
	b := binary.AppendUvarint(nil, uint64(len(s.Nodes)))
	b = binary.AppendUvarint(b, uint64(len(s.Elements)))
	b = binary.AppendVarint(b, int64(s.ground))
	for _, id := range s.Elements {
		e, br := &c.elems[id], c.branch(s, id)
		b = append(b, byte(e.Type), byte(br.Kind), flags(e.OneWay, e.Metal, e.shorted))
		b = binary.AppendVarint(binary.AppendVarint(b, int64(br.A)), int64(br.B))
		for _, p := range [...]model.Param{e.Ohm, e.ColdOhm, e.Volts} {
			for _, x := range [...]float64{p.Nominal, p.Min, p.Max} {
				b = appendFloat(b, x)
			}
		}
		w := -1
		if of := c.switchOf[id]; of >= 0 {
			w = s.local[of]
		}
		b = binary.AppendVarint(b, int64(w))
	}
	for i, p := range c.params {
		if _, in := s.branch(p.Element); in {
			s.params = append(s.params, ParamID(i))
		}
	}
	b = binary.AppendUvarint(b, uint64(len(s.params)))
	for _, id := range s.params {
		p := c.params[id]
		at, _ := s.branch(p.Element)
		b = append(binary.AppendUvarint(b, uint64(at)), byte(p.Kind), flags(p.Volts))
		for _, x := range [...]float64{p.Nominal, p.Min, p.Max} {
			b = appendFloat(b, x)
		}
	}
	b = binary.AppendUvarint(b, uint64(len(s.Switches)))
	n := numbering{f: c.facts, of: map[string]int{}}
	for _, w := range s.Switches {
		b = n.cond(b, c.switches[w].Cond, 0)
	}
	s.print, s.printed = sha256.Sum256(b), true
	return s.print
}

func flags(bits ...bool) (out byte) {
	for i, set := range bits {
		if set {
			out |= 1 << i
		}
	}
	return out
}

// numbering writes conditions as far as knowledge regards them: what they ask about is
// numbered in the order in which it comes up.
type numbering struct {
	f  *facts
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

func (n *numbering) cond(to []byte, c *model.Cond, depth int) []byte {
	switch {
	case c == nil:
		return append(to, byte(model.CondTrue))
	case depth > deepest:
		return append(to, 0xff)
	case c.Op != model.CondAtom:
		to = binary.AppendUvarint(append(to, byte(c.Op)), uint64(len(c.Kids)))
		for _, k := range c.Kids {
			to = n.cond(to, k, depth+1)
		}
		return to
	}
	if under := n.f.named(c.Atom); under != nil {
		return n.cond(append(to, 0xfe), under, depth+1)
	}
	to = append(to, byte(c.Op))
	v, in, ok := n.f.mask(c.Atom)
	if !ok {
		return binary.AppendUvarint(append(to, 0), n.number("atom"+string(appendAtom(nil, c.Atom))))
	}
	var key [8]byte
	binary.LittleEndian.PutUint64(key[:], uint64(v))
	to = binary.AppendUvarint(append(to, 1), n.number("variable"+string(key[:])))
	return binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(to, n.f.full[v]), in)
}

// local carries decisions on questions about one island into its own numbers and back.
type local struct {
	d      *decider
	island *island
}

// local returns a decision in the numbers of the island: switches, parameters, and
// corners without what is set outside of it. It is false where the decision speaks of
// anything else.
func (l local) local(of *Decision) (out *Decision, ok bool) {
	ok = true
	out = l.copy(of,
		func(w Switch) Switch {
			i, in := l.island.local[w]
			ok = ok && in
			return Switch(i)
		},
		func(p ParamID) ParamID {
			i, in := slices.BinarySearch(l.island.params, p)
			ok = ok && in
			return ParamID(i)
		},
		func(k Corner) Corner {
			var all []setting
			for _, set := range k.settings() {
				if i, in := slices.BinarySearch(l.island.params, set.param); in {
					all = append(all, setting{ParamID(i), set.value})
				} else if v, fixed := l.d.key.corner.Value(set.param); !fixed || v != set.value {
					ok = false
				}
			}
			return k.withSettings(all)
		})
	return out, ok
}

// global is the way back.
func (l local) global(of *Decision) *Decision {
	return l.copy(of,
		func(w Switch) Switch { return l.island.Switches[w] },
		func(p ParamID) ParamID { return l.island.params[p] },
		func(k Corner) Corner {
			out := l.d.key.corner.WithCold(k.cold)
			for _, p := range l.island.params {
				if _, set := out.Value(p); set {
					out = out.without(p)
				}
			}
			for _, set := range k.settings() {
				out = out.With(l.island.params[set.param], set.value)
			}
			return out
		})
}

func (l local) copy(of *Decision, w func(Switch) Switch, p func(ParamID) ParamID, k func(Corner) Corner) *Decision {
	done := map[*Decision]*Decision{plain[No]: plain[No], plain[Yes]: plain[Yes]}
	of.Each(func(d *Decision) {
		if done[d] != nil {
			return
		}
		n := *d
		switch {
		case !d.IsLeaf():
			n.Switch, n.Open, n.Closed = w(d.Switch), done[d.Open], done[d.Closed]
		case d.Answer == Depends:
			if d.Param != NoParam {
				n.Param = p(d.Param)
			}
			n.Yes, n.No = k(d.Yes), k(d.No)
		}
		done[d] = &n
	})
	return done[of]
}
