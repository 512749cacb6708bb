package oracle_test

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/question/compare"
	"pintle/checker/run"
)

// pairTally counts what was compared.
type pairTally struct{ pairs, same, outputs, differ, open, drives int }

// side by side are two designs that are moved together.
type beside struct {
	a, b *drawing
	peer []int // by variable of a: the input or what is timed of b that has its name, or -1
}

func (d *drawing) outside(v *variable) bool {
	return v.sort == setting || v.sort == quantity || v.sort == free
}

// besideEach puts two designs beside each other; false where their inputs are not the same.
func besideEach(a, b *drawing) (*beside, bool) {
	s := &beside{a: a, b: b}
	taken := map[int]bool{}
	for _, v := range a.vars {
		at := slices.IndexFunc(b.vars, func(w *variable) bool { return w.name == v.name && w.sort == v.sort && !taken[slices.Index(b.vars, w)] })
		if v.sort == fixed && len(v.starts) > 1 || a.outside(v) && at < 0 {
			return nil, false
		}
		if at < 0 || !a.outside(v) && v.sort != timer && v.sort != beat {
			s.peer = append(s.peer, -1)
			continue
		}
		w := b.vars[at]
		if a.outside(v) && (v.size != w.size || !slices.Equal(v.starts, w.starts) || v.inOrder != w.inOrder || !slices.Equal(v.springs, w.springs) || v.slow != w.slow) {
			return nil, false
		}
		taken[at] = true
		s.peer = append(s.peer, at)
		if v.sort == quantity {
			for k := range v.marks {
				w.marks[k] = true
			}
			for k := range w.marks {
				v.marks[k] = true
			}
		}
	}
	for i, w := range b.vars {
		if b.outside(w) && !taken[i] || w.sort == fixed && len(w.starts) > 1 {
			return nil, false
		}
	}
	return s, true
}

// both are a moment of each.
type bothMoments struct{ a, b moment }

// walk calls see for each pair of states that can last, reached by the same moves. ok is false if
// there is more than can be looked at.
func (s *beside) walk(see func(xa, xb string), most int) (ok bool) {
	seen := map[bothMoments]bool{}
	var queue []bothMoments
	put := func(m bothMoments) {
		if !seen[m] {
			seen[m] = true
			queue = append(queue, m)
		}
	}
	arrive := func(from *bothMoments, byA, byB int, xs, ys []string) {
		for _, x := range xs {
			for _, y := range ys {
				var a, b *moment
				if from != nil {
					a, b = &from.a, &from.b
				}
				put(bothMoments{moment{x: x, ages: s.a.ages(a, byA, x)}, moment{x: y, ages: s.b.ages(b, byB, y)}})
			}
		}
	}
	for _, x := range s.a.starts() {
		for _, y := range s.b.starts() {
			if s.agree(x, y) {
				arrive(nil, -1, -1, []string{x}, []string{y})
			}
		}
	}
	for len(queue) > 0 {
		if len(seen) > most {
			return false
		}
		m := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		xa, xb := m.a.x, m.b.x
		restA, restB := s.a.after(xa), s.b.after(xb)
		steps := s.a.step(xa) != xa || s.b.step(xb) != xb
		if steps {
			arrive(&m, -1, -1, restA, restB)
		}
		s.moves(&m, restA, restB, arrive)
		agesA, lastsA := s.a.tickOn(xa, m.a.ages)
		agesB, lastsB := s.b.tickOn(xb, m.b.ages)
		if steps || !lastsA || !lastsB {
			continue
		}
		see(xa, xb)
		if s.a.timed() || s.b.timed() {
			put(bothMoments{moment{x: xa, ages: agesA}, moment{x: xb, ages: agesB}})
		}
	}
	return true
}

// agree reports whether the inputs stand alike.
func (s *beside) agree(x, y string) bool {
	for i, v := range s.a.vars {
		if s.a.outside(v) && x[i] != y[s.peer[i]] {
			return false
		}
	}
	return true
}

// moves makes every move from a moment: an input moves in both, a time passes in one, or in both
// where it is the same time since the same moment.
func (s *beside) moves(m *bothMoments, restA, restB []string, arrive func(from *bothMoments, byA, byB int, xs, ys []string)) {
	inB := map[int][]event{}
	for _, e := range s.b.events(m.b.x) {
		inB[e.v] = append(inB[e.v], e)
	}
	due := func(w *world, at *moment, i int) bool {
		lo, _, timed := w.bounds(i, at.x)
		return !timed || int(at.ages[i]) >= lo
	}
	together := map[int]bool{} // of b
	for i, j := range s.peer {
		if j < 0 || s.a.outside(s.a.vars[i]) || m.a.ages[i] == unaged || m.a.ages[i] != m.b.ages[j] {
			continue
		}
		_, x, _ := s.a.bounds(i, m.a.x)
		_, y, _ := s.b.bounds(j, m.b.x)
		together[j] = x == y && m.a.x[i] == m.b.x[j]
	}
	for _, e := range s.a.events(m.a.x) {
		v, j := s.a.vars[e.v], s.peer[e.v]
		switch {
		case v.tooSoon(m.a.x[e.v], e.to[e.v], m.a.ages[e.v]) || !due(s.a.world, &m.a, e.v):
		case s.a.outside(v):
			for _, f := range inB[j] {
				if f.to[j] == e.to[e.v] {
					arrive(m, e.v, j, s.a.after(e.to), s.b.after(f.to))
				}
			}
		case j >= 0 && together[j]:
			for _, f := range inB[j] {
				arrive(m, e.v, j, s.a.after(e.to), s.b.after(f.to))
			}
		default:
			arrive(m, e.v, -1, s.a.after(e.to), restB)
		}
	}
	for j, es := range inB {
		if s.b.outside(s.b.vars[j]) || together[j] || !due(s.b.world, &m.b, j) {
			continue
		}
		for _, f := range es {
			arrive(m, -1, j, restA, s.b.after(f.to))
		}
	}
}

// does says for each output by its kind and name in which way it is in a state.
func (d *drawing) does(x string) map[string]string {
	out := map[string]string{}
	for _, l := range d.loads {
		is, volt := "off", math.Abs(d.net.across(x, l.is))
		for _, v := range l.levels {
			if exceeds("at least", volt, v.volt) {
				is = v.word
			}
		}
		out["load "+l.path] = is
	}
	for _, c := range d.coils {
		out["coil "+c.path] = c.no
		if c.is(x) {
			out["coil "+c.path] = c.yes
		}
	}
	for _, i := range d.machines {
		out["modes "+d.vars[i].name] = string("mno"[x[i]])
	}
	for _, p := range d.ports {
		is := "neither fed nor vented"
		switch {
		case d.joined(x, p, true):
			is = "vented"
		case d.joined(x, p, false):
			is = "fed"
		}
		out["port "+p] = is
	}
	return out
}

// altered repeats a drawing with one choice made otherwise.
func altered(given []int, place, by int) *drawing {
	choices := slices.Clone(given)
	if len(choices) > 0 {
		choices[place*len(choices)/places] += by
	}
	return draw(&tape{given: choices}, true)
}

const (
	places = 512 // of a drawing at which a choice is altered
	tries  = 16  // for one that alters what the design does
)

// moving is the text without what is only said of the design.
func (d *drawing) moving() string {
	return strings.Join(slices.DeleteFunc(slices.Clone(d.lines), func(l string) bool {
		return strings.HasPrefix(l, "require") || strings.HasPrefix(l, "condition") || strings.HasPrefix(l, "result")
	}), "\n")
}

// differCompare draws two designs and tells where their comparison differs from what all pairs of
// states show that the second reading comes to by the same moves.
func differCompare(choices *tape, sum *pairTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			text, how = "", ""
		}
	}()
	var where [tries]int
	for i := range where {
		where[i] = choices.n(places)
	}
	by := choices.n(5)
	first := choices.at
	a := draw(choices, true)
	given := choices.given[first:choices.at]
	var b *drawing
	var s *beside
	for _, place := range where {
		b = altered(given, place, by)
		var ok bool
		if s, ok = besideEach(a, b); ok && (by == 0 || a.moving() != b.moving()) {
			break
		}
		s = nil
	}
	if s == nil || len(a.starts()) == 0 || len(b.starts()) == 0 {
		return "", ""
	}
	text = a.text() + "\n=== new\n" + b.text()
	for _, d := range []*drawing{a, b} {
		for _, solid := range []bool{true, false} {
			d.net.solid = solid
			got, ok := d.judge(nil, 3000)
			if !ok || got.hunts || got.circles || got.races || d.world.burns {
				return "", ""
			}
		}
	}
	differs := map[string]map[[2]string]bool{}
	if !s.walk(func(xa, xb string) {
		was, is := a.does(xa), b.does(xb)
		for name, x := range was {
			if y, both := is[name]; both {
				if differs[name] == nil {
					differs[name] = map[[2]string]bool{}
				}
				if x != y {
					differs[name][[2]string{x, y}] = true
				}
			}
		}
	}, 20000) {
		return "", ""
	}
	old, err := opened(a.text())
	if err != nil {
		return text, err.Error()
	}
	fresh, err := opened(b.text())
	if err != nil {
		return text, err.Error()
	}
	ctx := context.Background()
	got, err := compare.Designs(old.Pass(ctx, old.Designs[0]), fresh.Pass(ctx, fresh.Designs[0]))
	if err != nil {
		return text, err.Error()
	}
	sum.pairs++
	if got.Same() {
		sum.same++
	}
	found, open := map[string]map[[2]string]bool{}, map[string]bool{}
	for i := range got.Differences {
		d := &got.Differences[i]
		if d.Corner != "" {
			continue
		}
		name := d.Kind + " " + d.Name
		if found[name] == nil {
			found[name] = map[[2]string]bool{}
		}
		found[name][[2]string{d.Was, d.Is}] = true
		if d.Drive != "" {
			sum.drives++
		}
	}
	for _, o := range got.Open {
		if o.Corner == "" {
			open[o.Kind+" "+o.Name] = true
		}
	}
	var wrong []string
	for _, name := range slices.Sorted(maps.Keys(differs)) {
		sum.outputs++
		if open[name] {
			sum.open++
			continue
		}
		if len(differs[name]) > 0 {
			sum.differ++
		}
		if fmt.Sprint(differs[name]) != fmt.Sprint(found[name]) && len(differs[name])+len(found[name]) > 0 {
			wrong = append(wrong, fmt.Sprintf("%s: expected %v, found %v", name, differs[name], found[name]))
		}
	}
	return text, strings.Join(wrong, "\n")
}

func opened(text string) (*run.Opened, error) {
	return run.Open(context.Background(), run.OpenRequest{Path: run.StandardInput, Input: []byte(text)}, nil)
}

// TestCompare holds the comparison of two designs against the second reading, which visits all pairs
// of states that the same moves lead to: which output differs, and from what to what.
func TestCompare(t *testing.T) {
	var sum pairTally
	hold(t, 150, func(c *tape) (string, string) { return differCompare(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.same, sum.differ, sum.outputs-sum.differ))
	require.Less(t, sum.open, sum.outputs/20)
}
