package reach

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pintle/checker/engine/logic"
)

// Forever is the time, in nanoseconds, from which on a Max is no bound: about
// 104 days. Minima must be shorter.
const Forever = 1 << 53

// timing knows what takes time in a model.
type timing struct {
	m      *model
	clocks []Clock
	beats  []Beat
	least  map[logic.Var]map[[2]int]int64 // input, from, to: Move.Least
	vars   []logic.Var                    // keys of least, rising
}

func newTiming(m *model) *timing {
	t := &timing{m: m, least: map[logic.Var]map[[2]int]int64{}}
	for _, c := range m.sys.Clocks {
		if m.in[c.Var] && len(c.Lasts) > 0 {
			t.clocks = append(t.clocks, c)
		}
	}
	for _, b := range m.sys.Beats {
		if m.in[b.Var] && b.Half != (Span{}) {
			t.beats = append(t.beats, b)
		}
	}
	for _, in := range m.sys.Inputs {
		if !m.in[in.Var] {
			continue
		}
		for _, mv := range in.Moves {
			if mv.Least > 0 {
				if t.least[in.Var] == nil {
					t.least[in.Var] = map[[2]int]int64{}
					t.vars = append(t.vars, in.Var)
				}
				t.least[in.Var][[2]int{mv.From, mv.To}] = mv.Least
			}
		}
	}
	slices.Sort(t.vars)
	return t
}

// matters reports whether time can forbid anything: otherwise every list of
// moves can be made at once.
func (t *timing) matters() bool {
	return len(t.clocks) > 0 || len(t.beats) > 0 || len(t.vars) > 0
}

// span is how long c takes when it starts in p.
func (t *timing) span(c *Clock, p logic.Point) (Span, bool) {
	for _, l := range c.Lasts {
		if l.When.Eval(p) {
			return l.Span, true
		}
	}
	return Span{0, Forever}, false
}

// urgent reports whether a machine can step in the resting state p, so that no
// time passes there.
func (t *timing) urgent(p logic.Point) bool {
	for _, k := range t.m.machines {
		for j, take := range k.takes {
			if to := t.m.sys.Machines[k.index].Transitions[j].To; to != int(p[k.v]) && take.Eval(p) {
				return true
			}
		}
	}
	return false
}

// bound says that time b is at least gap nanoseconds after time a.
type bound struct {
	a, b int
	gap  int64
	why  string
}

// hold asks that the state after step from (0: the initial state) lasts, with
// the steps that follow, for more than longer nanoseconds.
type hold struct {
	from   int
	longer int64
}

// feasible finds the earliest times of the steps of tr, or says why there are
// none. With a hold, an end is added that comes late enough for it; its time is
// the last of the schedule.
func (t *timing) feasible(tr *Trace, h *hold) (*Schedule, string) {
	bounds := t.bounds(tr, h)
	n := len(tr.Steps) + 1
	if h != nil {
		n++
	}
	at := make([]int64, n)
	via := make([]int, n)
	for i := range via {
		via[i] = -1
	}
	moved := -1
	for round := 0; round <= n; round++ {
		moved = -1
		for i, b := range bounds {
			if next := min(at[b.a]+b.gap, int64(1)<<62); next > at[b.b] {
				at[b.b], via[b.b], moved = next, i, b.b
			}
		}
		if moved < 0 {
			return &Schedule{At: at[1:]}, ""
		}
	}
	return nil, circle(bounds, via, moved)
}

// circle words the bounds that contradict one another: a cycle of via.
func circle(bounds []bound, via []int, at int) string {
	for range via { // back onto the cycle
		if via[at] >= 0 {
			at = bounds[via[at]].a
		}
	}
	var whys []string
	for from := at; ; {
		b := bounds[via[at]]
		if b.why != "" && !slices.Contains(whys, b.why) {
			whys = append(whys, b.why)
		}
		if at = b.a; at == from || via[at] < 0 {
			break
		}
	}
	slices.Reverse(whys)
	return strings.Join(whys, ", but ")
}

// started remembers since when something is being measured.
type started struct {
	step int // -1: not
	span Span
	side int // inputs: the value that the region was entered from
}

func (t *timing) bounds(tr *Trace, h *hold) []bound {
	var out []bound
	name := t.m.sys.Space.Name
	most := func(s started, now int, v logic.Var) {
		if s.step >= 0 && s.span.Max < Forever {
			out = append(out, bound{now, s.step, -s.span.Max, fmt.Sprintf("%s takes at most %v", name(v), time.Duration(s.span.Max))})
		}
	}
	least := func(s started, now int, gap int64, what string, v logic.Var) {
		if s.step >= 0 && gap > 0 {
			out = append(out, bound{s.step, now, gap, fmt.Sprintf("%s takes at least %v%s", name(v), time.Duration(gap), what)})
		}
	}
	clocks, beats := make([]started, len(t.clocks)), make([]started, len(t.beats))
	inputs := make([]started, len(t.vars))
	for i := range inputs {
		inputs[i].step = -1
	}
	rest := func(now int, p logic.Point, e Happening, fresh bool) {
		for i, c := range t.clocks {
			running := p[c.Var] == ClockRunning
			if again := fresh || clocks[i].step < 0 || e.Kind == MoveElapse && e.Var == c.Var; running && again {
				span, _ := t.span(&t.clocks[i], p)
				clocks[i] = started{step: now, span: span}
			} else if !running {
				clocks[i].step = -1
			}
		}
		for i, b := range t.beats {
			enabled := b.Enable.Eval(p)
			if again := fresh || beats[i].step < 0 || e.Kind == MoveToggle && e.Var == b.Var; enabled && again {
				beats[i] = started{step: now, span: b.Half}
			} else if !enabled {
				beats[i].step = -1
			}
		}
	}
	passing := func(now int, p logic.Point) {
		out = append(out, bound{now - 1, now, 0, ""})
		for i, c := range t.clocks {
			most(clocks[i], now, c.Var)
		}
		for i, b := range t.beats {
			most(beats[i], now, b.Var)
		}
		if t.urgent(p) {
			out = append(out, bound{now, now - 1, 0, "a machine steps at once when it can"})
		}
	}
	before := tr.Initial
	rest(0, before, Happening{}, true)
	for i, st := range tr.Steps {
		now := i + 1
		passing(now, before)
		switch st.Move.Kind {
		case MoveElapse:
			for j, c := range t.clocks {
				if c.Var == st.Move.Var {
					least(clocks[j], now, clocks[j].span.Min, "", c.Var)
				}
			}
		case MoveToggle:
			for j, b := range t.beats {
				if b.Var == st.Move.Var {
					least(beats[j], now, beats[j].span.Min, "", b.Var)
				}
			}
		case MoveInput:
			if j, ok := slices.BinarySearch(t.vars, st.Move.Var); ok {
				if gap := t.least[st.Move.Var][[2]int{st.Move.From, st.Move.To}]; inputs[j].side != st.Move.To {
					least(inputs[j], now, gap, " to cross a region", st.Move.Var)
				}
				inputs[j] = started{step: now, side: st.Move.From}
			}
		}
		if !st.Partial {
			rest(now, st.After, st.Move, false)
		}
		before = st.After
	}
	if h != nil {
		now := len(tr.Steps) + 1
		passing(now, before)
		out = append(out, bound{h.from, now, h.longer + 1, "it must last longer than " + time.Duration(h.longer).String()})
	}
	return out
}
