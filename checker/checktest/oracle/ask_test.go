package oracle_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/question/ask"
	"pintle/checker/run"
)

// askTally counts what was compared.
type askTally struct {
	designs, states, found, whens, ranges, within, open int
}

// span is from where to where something ranges.
type span struct{ lo, hi float64 }

// take widens the span.
func (s *span) take(x float64) { s.lo, s.hi = min(s.lo, x), max(s.hi, x) }

// reached is what the second reading says in one corner: which claims' conditions are so in some
// state, and the currents of elements.
func (d *drawing) reached(corner []float64, most int) (can []bool, amps []span, ok bool) {
	d.net.corner, d.net.solved, d.net.calm = corner, map[string]*solution{}, map[string]*solution{}
	d.world.ends, d.hunts, d.races, d.circles, d.world.burns = map[string][]string{}, false, false, false, false
	can = make([]bool, len(d.claims))
	amps = slices.Repeat([]span{{math.Inf(1), math.Inf(-1)}}, len(d.net.elements))
	_, ok = d.reach(nil, 0, func(x string) {
		for i := range d.claims {
			can[i] = can[i] || d.claims[i].a.is != nil && d.claims[i].a.is(x)
		}
		for i := range amps {
			amps[i].take(math.Abs(d.net.through(x, i)))
		}
	}, most)
	return can, amps, ok && !d.hunts && !d.circles && !d.world.burns
}

// differAsk draws a design and tells where an answer differs from what all states that the
// second reading comes to show.
func differAsk(choices *tape, sum *askTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			text, how = "", ""
		}
	}()
	d := draw(choices, false)
	text = d.text()
	if len(d.starts()) == 0 {
		return "", ""
	}
	d.net.solid = true // what never comes to rest is no concern of the second reading
	holding, ok := d.judge(nil, 2000)
	d.net.solid = false
	if !ok || holding.hunts || holding.circles {
		return "", ""
	}
	can, amps, ok := d.reached(nil, 2000)
	if !ok {
		return "", ""
	}
	canWithin, ampsWithin := slices.Clone(can), slices.Clone(amps)
	never := slices.Clone(can) // that something is so in every corner
	supplies := false
	if d.tolerant {
		corners := d.net.corners()
		if len(corners) > 40 {
			return "", ""
		}
		for _, e := range d.net.elements {
			supplies = supplies || e.spread != nil && e.volt != 0
		}
		for _, corner := range corners {
			c, a, ok := d.reached(corner, 2000)
			if !ok {
				return "", ""
			}
			for i := range c {
				canWithin[i] = canWithin[i] || c[i]
				never[i] = never[i] && c[i]
			}
			for i := range a {
				ampsWithin[i].take(a[i].lo)
				ampsWithin[i].take(a[i].hi)
			}
		}
	}
	var req run.AskRequest
	var which []int // claim, or element from the number of claims on
	for i, c := range d.claims {
		if c.a.text != "" {
			req.Questions = append(req.Questions, c.a.text, "when "+c.a.text)
			which = append(which, i, i)
		}
	}
	for i, e := range d.net.elements {
		if e.name != "" && len(which) < 14 {
			req.Questions = append(req.Questions, "current through "+e.name)
			which = append(which, len(d.claims)+i)
		}
	}
	req.Path, req.Input = run.StandardInput, []byte(text)
	got, err := run.Ask(context.Background(), req)
	var unread *run.QuestionError
	if errors.As(err, &unread) {
		return "", "" // a piece that has no current of its own, by that name
	}
	if err != nil {
		return text, err.Error()
	}
	sum.designs++
	warms := strings.Contains(text, ", cold ")
	var wrong []string
	say := func(q string, format string, args ...any) {
		wrong = append(wrong, q+": "+fmt.Sprintf(format, args...))
	}
	var again run.AskRequest
	for k, a := range got.Answers {
		r, i := &a.Replies[0].Reply, which[k]
		switch {
		case r.Outcome == ask.Undecided:
			sum.open++
		case a.Kind == ask.State:
			sum.states++
			if r.Outcome == ask.Found || r.Outcome == ask.FoundHere {
				sum.found++
			}
			if here := r.Outcome == ask.Found || r.Outcome == ask.FoundHere; here != can[i] {
				say(a.Text, "expected %v at nominal values, found %v", can[i], r.Outcome)
			}
			if warms || r.Why != "" {
				continue // filaments are not all cold at once, what lasts is asked of warm ones
			}
			if r.Outcome == ask.NotFound && canWithin[i] {
				say(a.Text, "is so in some corner, found none")
			}
			if r.Outcome == ask.Found && !never[i] {
				say(a.Text, "is not so in some corner, found %v", r.Outcome)
			}
		case a.Kind == ask.When:
			sum.whens++
			if can[i] == (r.Condition == "never") {
				say(a.Text, "expected %v, found %q", can[i], r.Condition)
			}
			// Each `for` is a timer of its own, and of two that end at once either may be first.
			timed := strings.Contains(r.Condition, " for ") || strings.Contains(r.Condition, " in the last ")
			if r.Condition != "never" && r.Condition != "always" && !timed {
				again.Questions = append(again.Questions,
					fmt.Sprintf("(%s) and not (%s)", d.claims[i].a.text, r.Condition), fmt.Sprintf("(%s) and not (%s)", r.Condition, d.claims[i].a.text))
			}
		case a.Kind == ask.Measure:
			i -= len(d.claims)
			sum.ranges++
			near := func(x, y float64) bool { return math.Abs(x-y) <= 3e-6*max(x, y)+1e-8 }
			if !near(r.Nominal.Low.Value, amps[i].lo) || !near(r.Nominal.High.Value, amps[i].hi) {
				say(a.Text, "expected %v at nominal values, found %v to %v", amps[i], r.Nominal.Low.Value, r.Nominal.High.Value)
			}
			if !r.Nominal.High.Proved || !r.Nominal.Low.Proved {
				sum.open++
			}
			lo, hi := &r.Within.Low, &r.Within.High
			if !lo.Proved || !hi.Proved {
				sum.open++
				continue
			}
			if hi.Value < ampsWithin[i].hi*(1-3e-6)-1e-8 || lo.Value > ampsWithin[i].lo*(1+3e-6)+1e-8 {
				say(a.Text, "is %v in some corners, found %v to %v", ampsWithin[i], lo.Value, hi.Value)
			}
			// Between the volts that were looked at other states may be reached.
			if !warms && !supplies {
				sum.within++
				if !near(hi.Value, ampsWithin[i].hi) || !near(lo.Value, ampsWithin[i].lo) {
					say(a.Text, "expected %v within tolerances, found %v to %v", ampsWithin[i], lo.Value, hi.Value)
				}
			}
		}
	}
	// What a simplified condition says is so in the same states.
	again.Path, again.Input = run.StandardInput, req.Input
	if len(again.Questions) > 0 {
		got, err := run.Ask(context.Background(), again)
		if err != nil {
			return text, err.Error()
		}
		for _, a := range got.Answers {
			if o := a.Replies[0].Outcome; o == ask.Found || o == ask.FoundHere {
				say(a.Text, "a simplified condition is so elsewhere")
			}
		}
	}
	return text, strings.Join(wrong, "\n")
}

// TestAsk holds the answers of `pintle ask` against the second reading: whether something can be,
// when it is so, and between which currents an element lies, at nominal values and in all
// corners.
func TestAsk(t *testing.T) {
	var sum askTally
	hold(t, 60, func(c *tape) (string, string) { return differAsk(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.found, sum.states-sum.found, sum.whens, sum.ranges, sum.within))
	require.Less(t, sum.open, (sum.states+sum.ranges)/5)
}

// TestWhenCanBeAsked asks back the condition under which a beat is on.
func TestWhenCanBeAsked(t *testing.T) {
	var req run.AskRequest
	req.Path, req.Input = run.StandardInput, []byte("title \"Pulse\"\nground body\nbeat pulse1: on 100 ms, off 100 ms\n")
	for _, is := range []string{"pulse1 is on", "pulse1 is off"} {
		req.Questions = []string{"when " + is}
		got, err := run.Ask(context.Background(), req)
		require.NoError(t, err)
		require.Equal(t, is, got.Answers[0].Replies[0].Condition)
	}
}
