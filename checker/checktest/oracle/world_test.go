package oracle_test

import (
	"slices"
	"strings"
)

// cond is a condition: how it is written, and what it is in a state.
type cond struct {
	text  string
	is    func(x string) bool
	turns bool // on a solution, a fluid path or a reading
	op    byte // '&', '|' or '!' of kids
	kids  []cond
}

// edges reports whether a condition looks at the begin or end of something.
func (c *cond) edges() bool {
	return strings.Contains(c.text, ") begins") || strings.Contains(c.text, ") ends") || strings.Contains(c.text, ") stays")
}

// A state is a string with one byte for each variable. What a variable's values mean
// depends on its sort.
type sort int

const (
	setting  sort = iota // its position
	quantity             // 2k: on the k-th mark of its grid; 2k+1: between that and the next
	free                 // a contact made sometimes
	hardware             // due reports what it may change to
	timer                // 0 idle, 1 done, 2+k running in the k-th case
	beat                 // 0 on, 1 off
	machine              // its mode
	edge                 // what the condition was at the end of the move before
	once                 // whether the condition was true in some state at rest
	fixed                // it never moves
	failure              // 0 sound, 1 it has come, 2 it never comes
)

const (
	idle = iota
	done
	running
)

type variable struct {
	name   string
	sort   sort
	size   int
	starts []int // where it may stand at first

	inOrder bool
	springs [][2]int
	slow    bool                          // one mark of the grid a tick at most
	marks   map[int]bool                  // those that the design compares it with
	guards  []func(x string, to int) bool // of moves from outside

	due     func(x string) []int
	patient func(x string) bool // whether it waits until all is at rest; nil: never

	run, stop     *cond
	whole, inLast bool // a timer that runs to its end whatever becomes of run; `in the last`
	cases         []lasting
	while         *cond
	onFor, offFor int
	unpowered     func(x string) bool // nil: it needs no power
	transitions   []transition
	of            *cond
}

type lasting struct {
	when     *cond // nil: otherwise
	min, max int
}

type transition struct {
	from []int
	to   int
	when *cond
}

// world is a design as the interpreter sees it.
type world struct {
	vars                  []*variable
	net                   *network
	allowed               []func(x string) bool
	hunts, races, circles bool // met so far
	burns                 bool // something may burn
	asking                bool // what a mode would change
	ends                  map[string][]string
}

func with(x string, v, to int) string {
	b := []byte(x)
	b[v] = byte(to)
	return string(b)
}

// changes lists what one change of hardware leads to.
func (w *world) changes(x string) []string {
	if w.burnt(x) {
		return nil
	}
	var out []string
	to := func(v, at int) {
		if int(x[v]) != at {
			out = append(out, with(x, v, at))
		}
	}
	var waits []int
	for i, v := range w.vars {
		at := int(x[i])
		switch v.sort {
		case hardware:
			if v.patient != nil && v.patient(x) {
				waits = append(waits, i)
				continue
			}
			for _, t := range v.due(x) {
				to(i, t)
			}
		case timer:
			if w.samples(v, x) {
				continue
			}
			run := v.run.is(x)
			dead := v.unpowered != nil && v.unpowered(x)
			switch {
			case dead || v.stop != nil && v.stop.is(x):
				to(i, idle)
			case v.inLast && run:
				to(i, done)
			case v.inLast && at == done:
				to(i, running)
			case v.inLast:
			case run && at == idle:
				k := slices.IndexFunc(v.cases, func(c lasting) bool { return c.when == nil || c.when.is(x) })
				to(i, running+k)
			case !run && (at == done || !v.whole):
				to(i, idle)
			}
		case beat:
			if !v.beats(x) {
				to(i, 0)
			}
		case machine:
			if v.unpowered != nil && v.unpowered(x) {
				to(i, v.starts[0])
			}
		}
	}
	if len(out) > 0 || w.asking {
		return out
	}
	for _, i := range waits {
		for _, t := range w.vars[i].due(x) {
			to(i, t)
		}
	}
	if len(out) > 0 && w.steps(x, true) != x {
		w.concerned(x)
		return nil
	}
	return out
}

// samples reports whether an input that reads volts, of which a timer of the controller speaks, has
// not read what is at its pin yet.
func (w *world) samples(v *variable, x string) bool {
	if v.unpowered == nil {
		return false
	}
	speaks := strings.Contains(v.run.text, askedName) || v.stop != nil && strings.Contains(v.stop.text, askedName)
	for _, c := range v.cases {
		speaks = speaks || c.when != nil && strings.Contains(c.when.text, askedName)
	}
	return speaks && slices.ContainsFunc(w.vars, func(o *variable) bool { return o.name == "box."+askedName && len(o.due(x)) > 0 })
}

// askedName is the input of a controller that reads volts.
const askedName = "asked"

// concerned gives up on a design in which a mode may step that has nothing to do with what a
// fuse carries: the reference does not say whether the fuse waits for it.
func (w *world) concerned(x string) {
	hunts, races := w.hunts, w.races
	w.asking = true
	defer func() { w.hunts, w.races, w.asking = hunts, races, false }()
	for _, y := range w.settle(w.steps(x, true)) {
		for _, v := range w.vars {
			if v.patient != nil && v.patient(y) && len(v.due(y)) > 0 {
				panic(tie{})
			}
		}
	}
}

func (v *variable) beats(x string) bool {
	return (v.while == nil || v.while.is(x)) && (v.unpowered == nil || !v.unpowered(x))
}

// settle lists the states at rest that hardware can come to.
func (w *world) settle(from ...string) []string {
	next := map[string][]string{}
	var rest, order []string
	for stack := from; len(stack) > 0; {
		x := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if _, seen := next[x]; seen {
			continue
		}
		next[x] = w.changes(x)
		order = append(order, x)
		if len(next[x]) == 0 {
			rest = append(rest, x)
		}
		stack = append(stack, next[x]...)
	}
	// Which states can come to rest at all, and where.
	if len(order) > 1 {
		w.look(order, next, rest)
	}
	return rest
}

func (w *world) look(order []string, next map[string][]string, rest []string) {
	before := map[string][]string{}
	for _, x := range order {
		for _, y := range next[x] {
			before[y] = append(before[y], x)
		}
	}
	ends := map[string]int{}
	for _, r := range rest {
		seen := map[string]bool{r: true}
		for queue := []string{r}; len(queue) > 0; queue = queue[1:] {
			ends[queue[0]]++
			for _, y := range before[queue[0]] {
				if !seen[y] {
					seen[y] = true
					queue = append(queue, y)
				}
			}
		}
	}
	for _, x := range order {
		w.hunts = w.hunts || ends[x] == 0
		w.races = w.races || ends[x] > 1
	}
}

func (w *world) step(x string) string { return w.steps(x, false) }

// steps is step; with lasting, of the transitions that look at the begin or end of nothing.
func (w *world) steps(x string, lasting bool) string {
	out := x
	for i, v := range w.vars {
		if v.sort != machine || v.unpowered != nil && v.unpowered(x) {
			continue
		}
		for _, t := range v.transitions {
			if slices.Contains(t.from, int(x[i])) && !(lasting && t.when.edges()) && t.when.is(x) {
				out = with(out, i, t.to)
				break
			}
		}
	}
	return out
}

func (w *world) remember(x string) string {
	for i, v := range w.vars {
		if v.sort == edge {
			at := 0
			if v.of.is(x) {
				at = 1
			}
			x = with(x, i, at)
		}
		if v.sort == once && v.of.is(x) {
			x = with(x, i, 1)
		}
	}
	return x
}

// after lists where a move ends whose first part led to x.
func (w *world) after(x string) []string {
	if out, ok := w.ends[x]; ok {
		return out
	}
	var out []string
	for _, y := range w.settle(x) {
		z := w.step(y)
		end := []string{z}
		if z != y {
			end = w.settle(z)
		}
		for _, e := range end {
			if e = w.remember(e); !slices.Contains(out, e) {
				out = append(out, e)
			}
		}
	}
	w.ends[x] = out
	return out
}

// burnt reports whether something has burnt of which no more is reported.
func (w *world) burnt(x string) bool { return w.net != nil && w.net.burnt > 0 && x[w.net.burnt] == 1 }

func (w *world) may(x string) bool {
	return !slices.ContainsFunc(w.allowed, func(ok func(string) bool) bool { return !ok(x) })
}

// event is something that begins a move.
type event struct {
	v  int
	to string
}

func (w *world) events(x string) []event {
	var out []event
	input := func(i, to int) {
		v := w.vars[i]
		for _, g := range v.guards {
			if !g(x, to) {
				return
			}
		}
		if y := with(x, i, to); w.may(y) {
			out = append(out, event{i, y})
		}
	}
	for i, v := range w.vars {
		at := int(x[i])
		switch v.sort {
		case setting:
			for to := range v.size {
				if to != at && (!v.inOrder || to == at-1 || to == at+1 || slices.Contains(v.springs, [2]int{at, to})) {
					input(i, to)
				}
			}
		case quantity:
			for _, step := range []int{-1, 1} {
				if to := v.next(at, step); to >= 0 && to < v.size {
					input(i, to)
				}
			}
		case free:
			input(i, 1-at)
		case failure:
			if at == 0 {
				out = append(out, event{i, with(x, i, 1)})
			}
		case timer:
			if at >= running {
				to := done
				if v.inLast {
					to = idle
				}
				out = append(out, event{i, with(x, i, to)})
			}
		case beat:
			if v.beats(x) {
				out = append(out, event{i, with(x, i, 1-at)})
			}
		}
	}
	return out
}

// next is where a quantity goes by one move: into the stretch beside a mark that it is
// compared with, or on to the next such mark. One that is slow passes all marks of the grid,
// by which its way is timed.
func (v *variable) next(at, step int) int {
	if v.slow || at%2 == 0 && v.marks[at/2] {
		return at + step
	}
	for at += step; at >= 0 && at < v.size; at += step {
		if at%2 == 0 && v.marks[at/2] {
			return at
		}
	}
	return -1
}

// bounds of the time that variable i is in the state that it is in; ok false: it is not timed.
func (w *world) bounds(i int, x string) (lo, hi int, ok bool) {
	v, at := w.vars[i], int(x[i])
	switch v.sort {
	case timer:
		if at >= running {
			c := v.cases[at-running]
			return c.min, c.max, true
		}
	case beat:
		if v.beats(x) {
			n := v.onFor
			if at == 1 {
				n = v.offFor
			}
			return n, n, true
		}
	}
	return 0, 0, false
}

// moment is a state in time: how long each timed variable has been where it is, for a slow
// quantity between two marks the time since it left one and which, and how long what is
// watched has lasted.
type moment struct {
	x    string
	ages string
	wait int8
}

const unaged = 255

func (w *world) starts() []string {
	all := []string{""}
	for _, v := range w.vars {
		var more []string
		for _, x := range all {
			for _, s := range v.starts {
				more = append(more, x+string([]byte{byte(s)}))
			}
		}
		all = more
	}
	var out []string
	for _, x := range all {
		if !w.may(x) {
			continue
		}
		for _, y := range w.settle(x) {
			out = append(out, w.remember(y))
		}
	}
	return out
}

// timed reports whether time makes a difference.
func (w *world) timed() bool {
	return slices.ContainsFunc(w.vars, func(v *variable) bool { return v.sort == timer || v.sort == beat || v.slow })
}

// ages are the ages in a state that follows on a moment by a move of variable by; from is nil for
// the first state.
func (w *world) ages(from *moment, by int, x string) string {
	ages := make([]byte, len(w.vars))
	for i, v := range w.vars {
		ages[i] = unaged
		if _, _, ok := w.bounds(i, x); ok {
			ages[i] = 0
			if from != nil && from.ages[i] != unaged && by != i {
				ages[i] = from.ages[i]
			}
		}
		if v.sort == quantity && v.slow && x[i]%2 == 1 {
			// Even: left the lower mark so long ago; odd: the upper one.
			switch {
			case by == i && from.x[i] > x[i]:
				ages[i] = 1
			case by == i:
				ages[i] = 0
			default:
				ages[i] = from.ages[i]
			}
		}
	}
	return string(ages)
}

// tooSoon reports whether a slow quantity would go on to the next mark with no time passed.
func (v *variable) tooSoon(from, to, age byte) bool {
	return v.sort == quantity && v.slow && from%2 == 1 && age < 2 && (to > from) == (age%2 == 0)
}

// tickOn gives the ages a tick later, and whether a state may last so long.
func (w *world) tickOn(x, before string) (after string, lasts bool) {
	ages := []byte(before)
	lasts = true
	for i, v := range w.vars {
		if ages[i] == unaged {
			continue
		}
		if v.sort == quantity {
			ages[i] = min(ages[i]+2, 2+ages[i]%2)
			continue
		}
		_, hi, _ := w.bounds(i, x)
		lasts = lasts && int(ages[i]) < hi
		ages[i]++
	}
	return string(ages), lasts
}

// reach calls see for each state at rest that can be reached, and reports whether watch can
// last longer than so many ticks. ok is false if there is more than can be looked at.
func (w *world) reach(watch func(x string) bool, limit int, see func(x string), most int) (long, ok bool) {
	seen := map[moment]bool{}
	var queue []moment
	put := func(m moment) {
		if !seen[m] {
			seen[m] = true
			queue = append(queue, m)
		}
	}
	watched := func(x string) bool { return watch != nil && watch(x) }
	arrive := func(from *moment, by int, x string) {
		if w.burnt(x) {
			w.burns = true
			return
		}
		m := moment{x: x, ages: w.ages(from, by, x)}
		if from != nil && watched(from.x) && watched(x) {
			m.wait = from.wait
		}
		put(m)
	}
	for _, x := range w.starts() {
		arrive(nil, -1, x)
	}
	told := map[string]bool{}
	idles := map[string][]string{}
	for len(queue) > 0 {
		if len(seen) > most {
			return false, false
		}
		m := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if !told[m.x] {
			told[m.x] = true
			if see != nil {
				see(m.x)
			}
		}
		long = long || watched(m.x) && int(m.wait) > limit
		waits := true
		for _, x := range w.after(m.x) { // idle; hardware may bring back where it steps from
			if x != m.x || w.step(m.x) != m.x {
				waits = false
				idles[m.x] = append(idles[m.x], x)
				arrive(&m, -1, x)
			}
		}
		waits = waits && w.step(m.x) == m.x
		for _, e := range w.events(m.x) {
			v := w.vars[e.v]
			if lo, _, ok := w.bounds(e.v, m.x); ok && int(m.ages[e.v]) < lo {
				continue
			}
			if v.tooSoon(m.x[e.v], e.to[e.v], m.ages[e.v]) {
				continue
			}
			for _, x := range w.after(e.to) {
				arrive(&m, e.v, x)
			}
		}
		ages, lasts := w.tickOn(m.x, m.ages)
		if waits && lasts && (w.timed() || watch != nil) {
			t := moment{x: m.x, ages: ages}
			if watched(m.x) {
				t.wait = min(m.wait+1, int8(limit+1))
			}
			put(t)
		}
	}
	w.circles = w.circles || circle(idles)
	return long, true
}

// circle reports whether steps can go on for ever.
func circle(next map[string][]string) bool {
	const open, closed = 1, 2
	mark := map[string]int{}
	var visit func(x string) bool
	visit = func(x string) bool {
		mark[x] = open
		for _, y := range next[x] {
			if mark[y] == open || mark[y] == 0 && visit(y) {
				return true
			}
		}
		mark[x] = closed
		return false
	}
	for x := range next {
		if mark[x] == 0 && visit(x) {
			return true
		}
	}
	return false
}
