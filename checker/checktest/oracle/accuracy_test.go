package oracle_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What senders that may be off do, read a second time: a speed from 0 to 12 rpm is followed
// in steps of an eighth, and each sender is off by each quarter within its accuracy. All that
// is written are whole numbers, so that each order of what is compared comes up.
const (
	eighths = 8
	topmost = 12
)

// gauge is a design in the making; its states are where the speed stands, in eighths, and
// what the thresholds remember.
type gauge struct {
	*tape
	inputs     []gaugeInput
	thresholds []gaugeThreshold
	start      int
	lamp       gaugeCond
	off        []int // of each input, in eighths
}

type gaugeInput struct {
	name     string
	accuracy int // rpm; 0: exact
}

type gaugeState struct {
	at   int
	bits uint
}

type gaugeThreshold struct {
	name, text string
	input      int // -1: the speed itself
	set, clear func(v int) bool
}

type gaugeCond struct {
	text string
	is   func(gaugeState) bool
}

// value is what an input reads, or the speed itself.
func (g *gauge) value(input int, s gaugeState) int {
	if input < 0 {
		return s.at
	}
	return s.at + g.off[input]
}

func (g *gauge) threshold(name string, input int) {
	lo := g.n(topmost)
	hi := lo + 1 + g.n(topmost-lo)
	t := gaugeThreshold{name: name, input: input}
	how := of(g.tape, "at", "above")
	up := func(v int) bool { return v > hi*eighths || how == "at" && v == hi*eighths }
	down := func(v int) bool { return v < lo*eighths }
	t.text, t.set, t.clear = fmt.Sprintf("sets %s %d rpm, clears below %d rpm", how, hi, lo), up, down
	if g.yes(3) {
		t.text, t.set, t.clear = fmt.Sprintf("sets below %d rpm, clears %s %d rpm", lo, how, hi), down, up
		if lo == 0 {
			t.text, t.set = fmt.Sprintf("sets below 1 rpm, clears %s %d rpm", how, hi+1), func(v int) bool { return v < eighths }
			t.clear = func(v int) bool { return v > (hi+1)*eighths || how == "at" && v == (hi+1)*eighths }
		}
	}
	g.thresholds = append(g.thresholds, t)
}

// compare is a comparison of an input, or of the speed.
func (g *gauge) compare(input int) gaugeCond {
	how, k := of(g.tape, "above", "below", "at least", "at most"), g.n(topmost+1)
	name := "speed"
	if input >= 0 {
		name = g.inputs[input].name
	}
	return gaugeCond{fmt.Sprintf("%s %s %d rpm", name, how, k), func(s gaugeState) bool { return compares(how, g.value(input, s), k*eighths) }}
}

func (g *gauge) remembers(i int, path string) gaugeCond {
	return gaugeCond{path + g.thresholds[i].name, func(s gaugeState) bool { return s.bits>>i&1 == 1 }}
}

func (g *gauge) cond(depth int, atom func() gaugeCond) gaugeCond {
	if depth > 0 && g.yes(2) {
		a, b := g.cond(depth-1, atom), g.cond(depth-1, atom)
		if g.yes(2) {
			return gaugeCond{"(" + a.text + " and " + b.text + ")", func(s gaugeState) bool { return a.is(s) && b.is(s) }}
		}
		return gaugeCond{"(" + a.text + " or " + b.text + ")", func(s gaugeState) bool { return a.is(s) || b.is(s) }}
	}
	a := atom()
	if g.yes(2) {
		return gaugeCond{"not (" + a.text + ")", func(s gaugeState) bool { return !a.is(s) }}
	}
	return a
}

func (g *gauge) settle(s gaugeState) gaugeState {
	for i, t := range g.thresholds {
		switch v := g.value(t.input, s); {
		case t.set(v):
			s.bits |= 1 << i
		case t.clear(v):
			s.bits &^= 1 << i
		}
	}
	return s
}

// each calls f for every state that can be reached with the senders as they are off.
func (g *gauge) each(f func(gaugeState)) {
	first := g.settle(gaugeState{at: g.start * eighths})
	seen := map[gaugeState]bool{first: true}
	for queue := []gaugeState{first}; len(queue) > 0; queue = queue[1:] {
		s := queue[0]
		f(s)
		for _, to := range [...]int{s.at - 1, s.at + 1} {
			if to < 0 || to > topmost*eighths {
				continue
			}
			if next := g.settle(gaugeState{to, s.bits}); !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
}

type gaugeClaim struct {
	name, form string
	a, b       gaugeCond
}

// judge reports which claims fail, and which are vacuous, as the senders are off.
func (g *gauge) judge(claims []gaugeClaim) (fails, vacuous []bool) {
	fails, vacuous = make([]bool, len(claims)), make([]bool, len(claims))
	for i, c := range claims {
		fails[i], vacuous[i] = c.form == "possible", c.form == "whenever"
	}
	g.each(func(s gaugeState) {
		for i, c := range claims {
			switch c.form {
			case "never":
				fails[i] = fails[i] || c.a.is(s)
			case "always":
				fails[i] = fails[i] || !c.a.is(s)
			case "possible":
				fails[i] = fails[i] && !c.a.is(s)
			case "whenever":
				fails[i] = fails[i] || c.b.is(s) && !c.a.is(s)
				vacuous[i] = vacuous[i] && !c.b.is(s)
			}
		}
	})
	return fails, vacuous
}

// differAccuracy draws a design with senders that may be off and tells where the checker and
// the second reading differ.
func differAccuracy(choices *tape, sum *tally) (text, how string) {
	g := &gauge{tape: choices, start: choices.n(topmost + 1)}
	for i := range 1 + g.n(2) {
		g.inputs = append(g.inputs, gaugeInput{fmt.Sprintf("told%d", i), g.n(4)})
	}
	g.off = make([]int, len(g.inputs))
	for range 1 + g.n(2) {
		g.threshold(fmt.Sprintf("t%d", len(g.thresholds)), g.n(len(g.inputs)))
	}
	own := len(g.thresholds)
	if g.yes(2) {
		g.threshold("world", -1)
	}
	g.lamp = g.cond(2, func() gaugeCond {
		if g.yes(3) {
			return g.compare(g.n(len(g.inputs)))
		}
		return g.remembers(g.n(own), "")
	})
	var claims []gaugeClaim
	for i := range 4 {
		atom := func() gaugeCond {
			switch g.n(4) {
			case 0:
				return gaugeCond{"lamp is lit", func(s gaugeState) bool { return g.lamp.is(s) }}
			case 1:
				at := g.n(len(g.thresholds))
				if at < own {
					return g.remembers(at, "box.")
				}
				return g.remembers(at, "")
			}
			return g.compare(-1)
		}
		c := gaugeClaim{name: fmt.Sprintf("r%d", i), form: of(g.tape, "never", "whenever", "possible", "always"), a: g.cond(1, atom)}
		if c.form == "whenever" {
			c.b = g.cond(1, atom)
		}
		claims = append(claims, c)
	}
	text = g.text(claims, own)

	fails, vacuous := g.judge(claims)
	within := slices.Clone(fails)
	var try func(i int)
	try = func(i int) {
		if i == len(g.inputs) {
			there, _ := g.judge(claims)
			for k := range there {
				within[k] = within[k] || there[k]
			}
			return
		}
		for off := -g.inputs[i].accuracy * eighths; off <= g.inputs[i].accuracy*eighths; off += eighths / 4 {
			g.off[i] = off
			try(i + 1)
		}
		g.off[i] = 0
	}
	try(0)

	found, err := check(text)
	if err != nil {
		return text, err.Error()
	}
	said := map[string][]string{}
	for _, f := range found {
		if !slices.Contains(compared, f.Rule) && f.Rule != "undecided" {
			return text, "not meant to be drawn: " + f.Rule + ": " + f.Message
		}
		said[f.Subject] = append(said[f.Subject], f.Rule)
	}
	var wrong []string
	for i, c := range claims {
		want := ""
		switch {
		case fails[i] && c.form == "possible":
			want = "never-possible"
		case fails[i]:
			want = "requirement-violated"
		case within[i]:
			want = "depends-on-tolerance"
			sum.nominal++
		case vacuous[i]:
			want = "requirement-vacuous"
		}
		sum.claims++
		if fails[i] {
			sum.fail++
		}
		if have := strings.Join(said[c.name], " "); have != want {
			wrong = append(wrong, fmt.Sprintf("%s: expected %q, found %q", c.name, want, have))
		}
	}
	sum.designs++
	return text, strings.Join(wrong, "\n")
}

func (g *gauge) text(claims []gaugeClaim, own int) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("title \"Drawn\"\nground body\nsupply battery: 12.6 V, from body to stud\nfuse F1: battery.stud to feed, 10 A\nnode feed")
	line("quantity speed: 0 to %d rpm, starts at %d rpm", topmost, g.start)
	for i, in := range g.inputs {
		accuracy := ""
		if in.accuracy > 0 {
			accuracy = fmt.Sprintf(", accuracy %d rpm", in.accuracy)
		}
		line("fit B%d: {\n    pin 1\n    sender pickup: at 1, tells speed%s\n}", i, accuracy)
		line("wire S%d: B%d.1 to box.in%d", i, i, i)
	}
	pins := ""
	for i := range g.inputs {
		pins += fmt.Sprintf(", in%d", i)
	}
	line("fit box: {\n    pin 1, 2, out%s\n    powered 1 to 2: works from 7 V", pins)
	for i, in := range g.inputs {
		line("    input %s: at in%d, reads sender, counts as 0 rpm while disconnected", in.name, i)
	}
	for _, t := range g.thresholds[:own] {
		line("    threshold %s: %s, %s", t.name, g.inputs[t.input].name, t.text)
	}
	line("    driver d: earths out to 2, when %s, up to 10 A\n}", g.lamp.text)
	for _, t := range g.thresholds[own:] {
		line("threshold %s: speed, %s", t.name, t.text)
	}
	line("wire W1: feed to box.1\nwire W2: box.2 to body\nload lamp: feed to box.out, 5 W at 12 V, lit from 60 %%")
	for _, c := range claims {
		switch c.form {
		case "whenever":
			line("require %s: %s whenever %s", c.name, c.a.text, c.b.text)
		default:
			line("require %s: %s %s", c.name, c.form, c.a.text)
		}
	}
	return b.String()
}

// TestAccuracy holds what senders that may be off do against the second reading.
func TestAccuracy(t *testing.T) {
	var sum tally
	hold(t, 60, func(c *tape) (string, string) { return differAccuracy(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.fail, sum.nominal, sum.claims-sum.fail-sum.nominal))
}
