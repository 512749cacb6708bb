package oracle_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	sweep "pintle/checker/engine/fault"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// notice is a claim that a fault is noticed.
type notice struct {
	of             fault
	shows, refuses *cond
	before         *cond
	words          string
}

// noticeTally counts what was compared.
type noticeTally struct{ designs, claims, missed, idle, skipped int }

// notices draws claims about single faults.
func (d *drawing) notices() (out []notice) {
	all := d.faults()
	sc := scope{circuits: true, memory: true, beats: true}
	for k := range 3 {
		n := notice{of: of(d.tape, all...)}
		name, how, _ := strings.Cut(n.of.words, " ")
		text := fmt.Sprintf("noticed q%d: %s %s", k+1, name, modes[how])
		shows := d.cond(1, sc)
		n.shows = &shows
		text += ", shows as " + shows.text
		if d.yes(2) {
			c := d.cond(0, sc)
			n.before = &c
			text += ", before " + c.text
			if d.yes(2) {
				c := d.cond(0, sc)
				n.refuses = &c
				text += ", refuses " + c.text
			}
		}
		n.words = n.of.words
		d.line("%s", text)
		out = append(out, n)
	}
	return out
}

// misses reports whether some state that is come to with the fault is one in which it should have
// been noticed and has not been; ok is false where that is beyond the second reading.
func (d *drawing) misses(n *notice, most int) (missed, ok bool) {
	defer d.afflict(&n.of, false)()
	d.net.rides = true
	defer func() { d.net.rides = false }()
	failed := d.net.failed
	d.world.ends, d.hunts, d.races, d.circles, d.world.burns = map[string][]string{}, false, false, false, false
	count := len(d.vars)
	defer func() { d.vars = d.vars[:count] }()
	shown := d.since(func(x string) bool { return failed(x) && n.shows.is(x) })
	armed := d.since(func(x string) bool { return failed(x) && n.before != nil && !n.before.is(x) })
	_, ok = d.reach(nil, 0, func(x string) {
		due := failed(x) && x[shown] == 0
		if n.before != nil {
			due = due && n.before.is(x) && x[armed] == 1
		}
		if n.refuses != nil {
			due = due && n.refuses.is(x)
		}
		missed = missed || due
	}, most)
	return missed, ok && !d.hunts && !d.circles && !d.world.burns
}

// since adds what remembers that something has been so in a state at rest.
func (d *drawing) since(is func(x string) bool) int {
	return d.add(variable{name: "since", sort: once, size: 2, starts: []int{0}, of: &cond{is: is}})
}

// differNoticed draws a design with such claims, and reports where the sweep answers them otherwise.
func differNoticed(choices *tape, sum *noticeTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			sum.skipped++
			text, how = "", ""
		}
	}()
	const most = 3000
	d := draw(choices, false)
	if d.tolerant || len(d.starts()) == 0 {
		sum.skipped++
		return "", ""
	}
	claims := d.notices()
	text = d.text()
	read := elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile("drawn.pintle", text), nil), nil)
	m := read.Designs[0]
	if len(m.Notices) != len(claims) {
		return text, fmt.Sprintf("%d claims that a fault is noticed, found %d", len(claims), len(m.Notices))
	}
	s := sweep.NewSweep(m, sweep.Options{})
	sum.designs++
	var wrong []string
	for i := range claims {
		n := &claims[i]
		want, ok := d.misses(n, most)
		got, err := s.Noticed(context.Background(), i)
		if err != nil {
			return text, err.Error()
		}
		is := func(f sweep.Fault) bool { return f.Words == n.words }
		switch {
		case !ok || got.Outcome == sweep.Undecided || got.Outcome == sweep.Unknown || slices.ContainsFunc(got.Beyond, is):
			sum.skipped++
			continue
		case got.Idle != nil: // it changes nothing, and passes
			sum.idle++
			continue
		}
		sum.claims++
		if want {
			sum.missed++
		}
		if found := got.Missed != nil; found != want {
			wrong = append(wrong, fmt.Sprintf("q%d of %s: expected %v, found %v", i+1, n.words, want, found))
		}
	}
	return text, strings.Join(wrong, "\n")
}

// TestNoticed holds claims that faults are noticed against the second reading.
func TestNoticed(t *testing.T) {
	var sum noticeTally
	hold(t, 60, func(c *tape) (string, string) { return differNoticed(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.missed, sum.claims-sum.missed, sum.idle))
}
