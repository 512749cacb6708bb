package circuit

import (
	"encoding/binary"
	"slices"

	"pintle/checker/engine/circuit/dc"
	"pintle/checker/engine/circuit/extremes"
	"pintle/lang/model"
)

// partOf cuts out the part that a question is about, at all rails, or if wide is set only
// at those at which much meets. It is nil where there is none: where a measure is taken at
// rails alone.
func (w *boundNetwork) partOf(r *region, d *decider, wide bool) (*part, error) {
	m := &d.q.Atom.Measure
	inner := func(v dc.Node) bool { return v != w.ref && (r.side[v] == inner || wide && w.minor(r)[v]) }
	var seeds []dc.Node
	var must []dc.Node // nodes of the measure
	whole := true
	measured(m, func(n model.NodeID) {
		v := d.c.localIn(w.s, n)
		if v < 0 || n != d.c.design.Ground && d.c.at[n].island != int(w.s.id) {
			whole = false
			return
		}
		must = append(must, v)
		if inner(v) {
			seeds = append(seeds, v)
		}
	}, func(e model.ElementID) {
		i, ok := w.s.branch(e)
		if !ok || r.presence[i] == absent {
			whole = false // no current runs: others answer that
			return
		}
		b := &w.branches[i]
		switch {
		case inner(b.A):
			seeds = append(seeds, b.A)
		case inner(b.B):
			seeds = append(seeds, b.B)
		default:
			whole = false
		}
	})
	if !whole || len(seeds) == 0 {
		return nil, nil
	}
	return w.cutOut(r, inner, seeds, must)
}

// cutOut makes a part of what hangs together from some nodes through inner ones.
func (w *boundNetwork) cutOut(r *region, inner func(dc.Node) bool, seeds, must []dc.Node) (*part, error) {
	p := &part{number: map[dc.Node]dc.Node{}}
	net := dc.Network{}
	number := func(v dc.Node) dc.Node {
		n, ok := p.number[v]
		if !ok {
			n = dc.Node(net.Nodes)
			net.Nodes++
			p.number[v] = n
		}
		return n
	}
	p.zero = number(w.ref)
	seen := map[dc.Node]bool{}
	queue := slices.Clone(seeds)
	for ; len(queue) > 0; queue = queue[1:] {
		v := queue[0]
		if seen[v] {
			continue
		}
		seen[v] = true
		number(v)
		for _, i := range w.at[v] {
			if r.presence[i] == absent || slices.Contains(p.elements, int32(i)) {
				continue
			}
			p.elements = append(p.elements, int32(i))
			if s := w.c.switchOf[w.s.Elements[i]]; s >= 0 && !slices.Contains(p.switches, s) {
				p.switches = append(p.switches, s)
			}
			if len(p.switches) > ownSwitches {
				return nil, nil
			}
			if to := w.branches[i].A + w.branches[i].B - v; inner(to) {
				queue = append(queue, to)
			}
		}
	}
	slices.Sort(p.elements)
	slices.Sort(p.switches)
	terminal := func(v dc.Node) {
		if v != w.ref && !seen[v] && !slices.Contains(p.terminals, v) {
			p.terminals = append(p.terminals, v)
		}
	}
	key := make([]byte, 0, 4*len(p.elements))
	for _, i := range p.elements {
		key = binary.AppendUvarint(key, uint64(i))
		b := &w.branches[i]
		terminal(b.A)
		terminal(b.B)
		own := *b
		own.A, own.B, own.Switch = number(b.A), number(b.B), -1
		if s := w.c.switchOf[w.s.Elements[i]]; s >= 0 {
			own.Switch, _ = slices.BinarySearch(p.switches, s)
		}
		net.Branches = append(net.Branches, own)
	}
	key = append(key, 0xff)
	for _, v := range must {
		key = binary.AppendUvarint(key, uint64(v))
		number(v)
		terminal(v)
	}
	for _, v := range p.terminals {
		key = binary.AppendUvarint(key, uint64(v))
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if known := w.parts[string(key)]; known != nil {
		return known, nil
	}
	var meter extremes.Reading
	if len(must) == 2 {
		meter = extremes.Reading{Plus: p.number[must[0]], Minus: p.number[must[1]]}
	}
	ends := make([]dc.Node, len(p.terminals))
	for i, t := range p.terminals {
		ends[i] = p.number[t]
	}
	var err error
	if p.net, err = extremes.New(net, p.zero, ends, meter, meterOhm, &w.c.work.bounds); err != nil {
		return nil, err
	}
	w.parts[string(key)] = p
	return p, nil
}

// minor finds the rails that are taken for points inside a part: those at which only few
// switches meet, the ones with the fewest elements first.
func (w *boundNetwork) minor(r *region) []bool {
	if r.minor != nil {
		return r.minor
	}
	n := len(w.s.Nodes)
	minor := make([]bool, n)
	group := make([]int32, n) // of inner nodes and minor rails, by the lowest
	own := make([][]Switch, n)
	for v := range group {
		group[v] = int32(v)
	}
	root := func(v dc.Node) int32 {
		for group[v] != int32(v) {
			group[v] = group[group[v]]
			v = dc.Node(group[v])
		}
		return int32(v)
	}
	switchOf := func(i int) (Switch, bool) {
		s := w.c.switchOf[w.s.Elements[i]]
		return s, r.presence[i] == maybe
	}
	take := func(into []Switch, from []Switch) []Switch {
		for _, s := range from {
			if len(into) <= shareSwitches && !slices.Contains(into, s) {
				into = append(into, s)
			}
		}
		return into
	}
	for _, c := range r.components {
		first := int32(-1)
		for _, i := range c.elements {
			for _, v := range [...]dc.Node{w.branches[i].A, w.branches[i].B} {
				if r.side[v] != inner {
					continue
				}
				if first < 0 {
					first = root(v)
				}
				group[root(v)] = first
			}
			if s, ok := switchOf(int(i)); ok && first >= 0 {
				own[first] = take(own[first], []Switch{s})
			}
		}
	}
	var rails []dc.Node
	for v := range dc.Node(n) {
		if r.side[v] != inner && v != w.ref {
			rails = append(rails, v)
		}
	}
	slices.SortStableFunc(rails, func(a, b dc.Node) int { return len(w.at[a]) - len(w.at[b]) })
	for _, v := range rails {
		all := []Switch(nil)
		for _, i := range w.at[v] {
			if r.presence[i] == absent {
				continue
			}
			if s, ok := switchOf(i); ok {
				all = take(all, []Switch{s})
			}
			to := w.branches[i].A + w.branches[i].B - v
			if to != w.ref && (r.side[to] == inner || minor[to]) {
				all = take(all, own[root(to)])
			}
			if len(all) > shareSwitches {
				break
			}
		}
		if len(all) > shareSwitches {
			continue
		}
		minor[v] = true
		for _, i := range w.at[v] {
			to := w.branches[i].A + w.branches[i].B - v
			if r.presence[i] != absent && to != w.ref && (r.side[to] == inner || minor[to]) {
				group[root(to)] = root(v)
			}
		}
		own[root(v)] = all
	}
	r.minor = minor
	return minor
}
