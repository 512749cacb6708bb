package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// The reference: the meaning of a System, state by state, written without any
// of the engine's own code and with conditions of its own.

type cond struct {
	op   byte // 'v' value in set, 'n' not, '&', '|', '1'
	v    int
	set  map[int]bool
	kids []*cond
}

func (c *cond) eval(s string) bool {
	switch c.op {
	case 'v':
		return c.set[int(s[c.v])]
	case 'n':
		return !c.kids[0].eval(s)
	case '&':
		for _, k := range c.kids {
			if !k.eval(s) {
				return false
			}
		}
		return true
	case '|':
		for _, k := range c.kids {
			if k.eval(s) {
				return true
			}
		}
		return false
	}
	return true
}

func (c *cond) expr(sp *logic.Space) *logic.Expr {
	kids := make([]*logic.Expr, len(c.kids))
	for i, k := range c.kids {
		kids[i] = k.expr(sp)
	}
	switch c.op {
	case 'v':
		var set logic.Set
		for x := range c.set {
			set = set.Union(logic.SetOf(x))
		}
		return sp.In(logic.Var(c.v), set)
	case 'n':
		return sp.Not(kids[0])
	case '&':
		return sp.And(kids...)
	case '|':
		return sp.Or(kids...)
	}
	return sp.True()
}

type refRule struct {
	from map[int]bool
	to   int
	when *cond
}

type refMove struct {
	from, to int
	guard    *cond
	least    int64
}

type refVar struct {
	kind    VarKind
	size    int
	initial []int
	moves   []refMove // inputs
	rules   []refRule // hardware, machines
	cond    *cond     // clocks, beats, edges
	off     bool      // clocks: OffDelay
	span    Span      // clocks, beats
}

type refSystem struct {
	vars       []refVar
	invariants []*cond
}

func set(s string, v, x int) string {
	b := []byte(s)
	b[v] = byte(x)
	return string(b)
}

// micro lists every single change of settling.
func (r *refSystem) micro(s string) []string {
	var out []string
	for i, v := range r.vars {
		x := int(s[i])
		switch v.kind {
		case Hardware:
			for _, rule := range v.rules {
				if rule.from[x] && rule.to != x && rule.when.eval(s) {
					out = append(out, set(s, i, rule.to))
					break
				}
			}
		case Timing:
			run := v.cond.eval(s)
			switch {
			case !v.off && run && x == 0:
				out = append(out, set(s, i, 1))
			case !v.off && !run && x != 0:
				out = append(out, set(s, i, 0))
			case v.off && run && x != 2:
				out = append(out, set(s, i, 2))
			case v.off && !run && x == 2:
				out = append(out, set(s, i, 1))
			}
		case Beating:
			if x == 1 && !v.cond.eval(s) {
				out = append(out, set(s, i, 0))
			}
		}
	}
	return out
}

// settle lists all states passed through and those at rest.
func (r *refSystem) settle(from ...string) (through, rest map[string]bool) {
	through, rest = map[string]bool{}, map[string]bool{}
	stack := slices.Clone(from)
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if through[s] {
			continue
		}
		through[s] = true
		next := r.micro(s)
		if len(next) == 0 {
			rest[s] = true
		}
		stack = append(stack, next...)
	}
	return through, rest
}

func (r *refSystem) step(s string) string {
	out := s
	for i, v := range r.vars {
		if v.kind != Machine {
			continue
		}
		for _, t := range v.rules {
			if t.from[int(s[i])] && t.when.eval(s) {
				out = set(out, i, t.to)
				break
			}
		}
	}
	return out
}

func (r *refSystem) edges(s string) string {
	out := s
	for i, v := range r.vars {
		if v.kind == Edge {
			x := 0
			if v.cond.eval(s) {
				x = 1
			}
			out = set(out, i, x)
		}
	}
	return out
}

func (r *refSystem) allowed(s string) bool {
	for _, inv := range r.invariants {
		if !inv.eval(s) {
			return false
		}
	}
	return true
}

type refEvent struct {
	move  Happening
	state string
}

// begin lists the first parts of moves from s, idle excluded.
func (r *refSystem) begin(s string) []refEvent {
	var out []refEvent
	for i, v := range r.vars {
		x := int(s[i])
		h := Happening{Var: logic.Var(i), From: x}
		switch v.kind {
		case Input:
			for _, m := range v.moves {
				if m.from == x && m.to != x && m.guard.eval(s) && r.allowed(set(s, i, m.to)) {
					h.Kind, h.To = MoveInput, m.to
					out = append(out, refEvent{h, set(s, i, m.to)})
				}
			}
		case Timing:
			if x == 1 {
				h.Kind, h.To = MoveElapse, 2
				if v.off {
					h.To = 0
				}
				out = append(out, refEvent{h, set(s, i, h.To)})
			}
		case Beating:
			if v.cond.eval(s) {
				h.Kind, h.To = MoveToggle, 1-x
				out = append(out, refEvent{h, set(s, i, 1-x)})
			}
		}
	}
	return out
}

// refReach is everything that happens.
type refReach struct {
	initial              []string
	depth                map[string]int
	order                []string
	start, first, second map[string]bool
	atStep               map[string]bool
	idle                 map[string][]string // idle successors that change
	next                 map[string]map[string]bool
	startRest            map[string]bool
}

func (r *refSystem) raw() []string {
	states := []string{""}
	for _, v := range r.vars {
		values := v.initial
		if v.kind == Edge {
			values = []int{0}
		}
		var more []string
		for _, s := range states {
			for _, x := range values {
				more = append(more, s+string([]byte{byte(x)}))
			}
		}
		states = more
	}
	return slices.DeleteFunc(states, func(s string) bool { return !r.allowed(s) })
}

// respond gives the ends of a move whose first part led to s.
func (r *refSystem) respond(s string, x *refReach) map[string]bool {
	through, rest := r.settle(s)
	out := map[string]bool{}
	for t := range through {
		x.first[t] = true
	}
	for t := range rest {
		x.atStep[t] = true
		u := r.step(t)
		end := map[string]bool{u: true}
		if u != t {
			var mid map[string]bool
			mid, end = r.settle(u)
			for w := range mid {
				x.second[w] = true
			}
		}
		for w := range end {
			out[r.edges(w)] = true
		}
	}
	return out
}

func (r *refSystem) reach() *refReach {
	x := &refReach{
		depth: map[string]int{}, first: map[string]bool{}, second: map[string]bool{}, atStep: map[string]bool{},
		idle: map[string][]string{}, next: map[string]map[string]bool{},
	}
	x.start, x.startRest = r.settle(r.raw()...)
	for s := range x.startRest {
		s = r.edges(s)
		if _, ok := x.depth[s]; !ok {
			x.depth[s] = 0
			x.initial, x.order = append(x.initial, s), append(x.order, s)
		}
	}
	for at := 0; at < len(x.order); at++ {
		s := x.order[at]
		x.next[s] = map[string]bool{}
		for t := range r.respond(s, x) { // idle
			if t != s {
				x.idle[s] = append(x.idle[s], t)
				x.next[s][t] = true
			}
		}
		for _, e := range r.begin(s) {
			for t := range r.respond(e.state, x) {
				x.next[s][t] = true
			}
		}
		for t := range x.next[s] {
			if _, ok := x.depth[t]; !ok {
				x.depth[t] = x.depth[s] + 1
				x.order = append(x.order, t)
			}
		}
	}
	return x
}

// middle lists all states met while settling.
func (x *refReach) middle() []string {
	all := map[string]bool{}
	for _, m := range []map[string]bool{x.start, x.first, x.second} {
		for s := range m {
			all[s] = true
		}
	}
	out := make([]string, 0, len(all))
	for s := range all {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// hunts and races, by looking at every state met.
func (r *refSystem) settling(x *refReach) (hunts, races bool) {
	for _, s := range x.middle() {
		_, rest := r.settle(s)
		hunts = hunts || len(rest) == 0
		races = races || len(rest) > 1
	}
	return hunts, races
}

// livelock reports whether idle moves can go on for ever.
func (x *refReach) livelock() bool {
	color := map[string]int{}
	var visit func(string) bool
	visit = func(s string) bool {
		color[s] = 1
		for _, t := range x.idle[s] {
			if color[t] == 1 || color[t] == 0 && visit(t) {
				return true
			}
		}
		color[s] = 2
		return false
	}
	for _, s := range x.order {
		if color[s] == 0 && visit(s) {
			return true
		}
	}
	return false
}
