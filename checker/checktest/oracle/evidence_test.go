package oracle_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// replay works the evidence of all findings about a text out again, and says where it is
// otherwise; what is not exactly led to by its moves is listed in near.
func replay(text string, sum *evidence.Tally) (how string, near []string) {
	catalogue, err := rules.All()
	if err != nil {
		return "catalogue: " + err.Error(), nil
	}
	designs := map[string]*model.Design{}
	got := run.File(context.Background(), run.FileRequest{
		Plan: run.Plan{Catalogue: catalogue}, Root: syntax.Parse(source.NewFile("drawn.pintle", text), nil), Settings: settings.Default(),
		Keep: func(p *rule.Pass) { designs[p.Design.Name] = p.Design },
	})
	// Where two things race, or never settle, a drive takes one order of several.
	if slices.ContainsFunc(got.Findings, func(f diag.Finding) bool { return f.Rule == "race" || f.Rule == "hunting" }) {
		return "", nil
	}
	for i := range got.Findings {
		f := &got.Findings[i]
		d := designs[f.Design]
		if d == nil {
			continue
		}
		tally, wrong, err := evidence.Replay(context.Background(), d, f)
		if err != nil {
			return f.Rule + ": " + err.Error(), nil
		}
		sum.Add(tally)
		if len(wrong) > 0 {
			return fmt.Sprintf("%s: %s\n%s", f.Rule, f.Message, strings.Join(wrong, "\n")), nil
		}
		for _, e := range f.Evidence {
			if e.State != nil {
				near = append(near, e.State.Near...)
			}
		}
	}
	return "", near
}

// TestEvidence works out again what all rules tell of drawn designs: the moves are driven and
// the numbers solved from what the findings carry.
func TestEvidence(t *testing.T) {
	var sum evidence.Tally
	hold(t, 20, func(c *tape) (text, how string) {
		text = draw(c, true).text()
		how, _ = replay(text, &sum)
		return text, how
	})
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.Moves, sum.Events, sum.Numbers))
}

// TestEvidenceOfWhatIsLeftOut holds designs that were drawn once, made shorter: what a trace
// leaves out, or a drive of its moves does otherwise, is said with the state.
func TestEvidenceOfWhatIsLeftOut(t *testing.T) {
	for _, c := range []struct{ name, near, text string }{
		{"a memory turns on what may be made at first", "E1.relay is made at first; a drive cannot say so", `title "Latched"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
node n2
load L1: n2 to feed, 1 A to 3 A at 12 V, glows from 15 %, lit from 60 %
load L2: feed to n1, 10 W at 12 V, glows from 15 %, lit from 60 %
coil A1_set: body to feed, 60 ohm, pulls in at 7 V
coil A1_reset: n2 to body, 60 ohm, pulls in at 6 V
armature A1: set by A1_set, released by A1_reset
contact C1: n1 to n2, break, by A1
fit E1: elsewhere {
    pin 1, 2, 3
    load draw: 1 to 2, 2 A to 2 A at 12 V, awake from 50 %
    contact relay: 1 to 3, make, made sometimes
}
wire W1: n1 to E1.1
wire W2: body to E1.2
wire W3: body to E1.3
require r1: L1 is glowing whenever current through A1_reset above 0.13 A
`},
		{"a box has its volts through what may be made at first", "E1.relay is made at first; a drive cannot say so", `title "Starved"
ground body
setting knob1: a, b, c
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
contact S1: feed to n1, make, made when knob1 is a
contact S2: body to feed, make, made when knob1 is a
fit E1: elsewhere {
    pin 1, 2, 3
    contact relay: 1 to 3, make, made sometimes
}
wire W1: n1 to E1.1
fit box: {
    pin 15, 31, in, told, out
    powered 15 to 31: works from 6.13 V
}
wire W4: E1.3 to box.15
wire W5: body to box.31
`},
		{"which of two is faster decides", "what comes first of things that move at once decides; a drive takes one order", `title "Faster"
ground body
setting knob1: a, b
timer wait1: runs while knob1 is a, lasts 100 ms
timer wait2: runs while (knob1 is a or F0 is blown), lasts 100 ms
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: body to feed, make, made when (wait1 is running or knob1 is b)
load L1: body to feed, 0.2 A at 12 V, glows from 15 %, lit from 60 %
coil A1_one: body to feed, 90 ohm, turns 1000
coil A1_two: body to feed, 90 ohm, turns 800
armature A1: moved by A1_one, moved by A1_two, pulls in at 73 At, drops out at 17 At
contact C2: body to feed, make, by A1
`},
		{"a setting springs back past positions between", "knob1 springs back at once; a drive goes by the positions between", `title "Sprung"
ground body
setting knob1: a, b, c, in order, springs back from c to a, starts at c
result level1 {
    row one: when knob1 is a
    row two: when knob1 is a
    row three: otherwise
}
`},
		{"a timer is due when a quantity arrives", "wait1 is due at the same time as what is done; a drive has an order of its own", `title "At once"
ground body
quantity speed1: 0 to 40 rpm, changes at most 100 rpm per s, starts at 20 rpm
timer wait1: starts when speed1 at least 20 rpm, lasts 100 ms
require short: not wait1 is running whenever speed1 above 30 rpm
`},
	} {
		how, near := replay(c.text, &evidence.Tally{})
		assert.Empty(t, how, c.name)
		assert.Contains(t, near, c.near, c.name)
	}
}

// TestEvidenceOnceUntrue holds designs that were drawn once, made shorter, whose evidence told
// something that is not so.
func TestEvidenceOnceUntrue(t *testing.T) {
	for _, c := range []struct{ name, text string }{
		{"a fuse blows that the claim does not depend on", `title "Shorted"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: body to feed, make, made when not (K1 is energised)
coil K1: body to feed, 80 ohm, pulls in at 2.2 V, drops out at 1.5 V
contact C1: body rests on feed, goes to feed, by K1
contact C2: body to feed, make, by K1
require r3: always K1 is energised
`},
		{"the fuse that feeds a round has blown", `title "Round"
setting knob1: a, b, c, starts at b
setting knob2: a, b, c
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
node n2
fuse F1: feed to n1, 8 A
contact S3: body to n1, make, made when (knob1 is a or knob2 is a)
load L1: feed to body, 10 W at 12 V, glows from 15 %, lit from 60 %
resistor R1: feed to body, 2 ohm
part Relay1 {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 70 ohm, pulls in at 4 V, drops out at 3.3 V
    contact main: 30 to 87, break
    shows winding, main
}
fit K1: Relay1
wire W1: feed to K1.86
wire W2: n2 to K1.85
wire W3: n1 to K1.30
wire W4: n2 to K1.87
require r1: K1.winding is released repeats within 100 ms
require r2: never F1 is blown
`},
		{"a timer that has run is done", `title "Done"
ground body
setting knob1: a, b
timer wait1: runs while not (knob1 is a), lasts 100 ms
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
contact S1: feed to n1, make, made when not (wait1 is running)
load L1: feed to n1, 10 W at 12 V, glows from 15 %, lit from 60 %
wire W1: body to n1, 0.5 mm2, 4 m
`},
		{"a driver goes off when the time after a timer is over", `title "Off again"
setting knob2: a, b
ground body
supply battery: 12 V, from body to stud, inside 500 mohm
node feed
fuse F0: battery.stud to feed, 10 A
node n2
supply second: 13.5 V, from body to feed, inside 40 mohm, while box.d is off and knob2 is b
load L1: feed to n2, 10 W at 12 V, glows from 15 %, lit from 60 %
fit box: {
    pin 15, 31, out
    powered 15 to 31: works from 6.13 V
    timer wait1: starts when always, lasts 200 ms
    driver d: earths out to 31, when (wait1 is running) in the last 300 ms
}
wire W1: feed to box.15
wire W2: body to box.31
wire W4: n2 to box.out
require r2: L1 is lit whenever knob2 is b
`},
		{"hardware settles by one of several orders", `title "Orders"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1, n2, n3
fuse F1: feed to n1, 8 A
contact S1: n1 to body, make, made when not (current through W3 below 0.61 A)
contact S2: n2 to body, make, made when K2.winding is energised
wire W1: n2 to n3, 0.5 mm2, 4 m
resistor R1: n2 to n3, 2 ohm
coil K1: feed to n2, 80 ohm, pulls in at 2.2 V, drops out at 1.5 V
contact C1: n2 to n3, break, by K1
part Relay1 {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 90 ohm, pulls in at 2.2 V, drops out at 1.5 V
    contact main: 30 to 87, make
    shows winding, main
}
fit K2: Relay1
wire W2: feed to K2.86
wire W3: n2 to K2.85
wire W4: n3 to K2.30
wire W5: n1 to K2.87
fit box: {
    pin 15, 31, out
    powered 15 to 31: works from 6.13 V, draws 50 mA
    driver d: earths out to 31, when always
}
wire W6: K2.87 to box.15
wire W7: body to box.31
wire W9: n2 to box.out
`},
		{"modes step where nothing is moved", `title "Steps"
ground body
setting knob1: a, b
modes work1: starts in m {
    mode m, n, o
    from any to m: when ((not (work1 is n)) ends or (knob1 is any of a, b) begins)
    from m to o: when work1 is m
}
require there: never work1 is o
`},
		{"a fuse opens before a mode steps that has nothing to do with it", `title "Apart"
ground body
setting knob1: a, b
modes work1: starts in n {
    mode m, n
    from any to m: when knob1 is a
}
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: body to feed, make, made when knob1 is a
coil A1_set: body to feed, 60 ohm, pulls in at 7 V
coil A1_reset: body to feed, 60 ohm, pulls in at 6 V
armature A1: set by A1_set, released by A1_reset
require r1: always not (A1 is released)
`},
		{"in another corner a fuse would open that holds in the one that is told", `title "Weak"
ground body
setting knob1: a, b
supply battery: 12 V, from body to stud, anywhere between 6 V and 12.5 V
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: body to feed, make, made when knob1 is a
fit K1: {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 70 ohm, pulls in at 6.1 V, drops out at 1.5 V
    contact main: 30 to 87, break
}
wire W1: body to K1.86
wire W2: feed to K1.85
wire W3: body to K1.30
wire W4: feed to K1.87
`},
	} {
		var sum evidence.Tally
		how, _ := replay(c.text, &sum)
		assert.Empty(t, how, c.name)
		assert.Positive(t, sum.Findings, c.name)
	}
}
