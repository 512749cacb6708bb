package consequence_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/rule"
	"pintle/checker/run/settings"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// pass is a look at a text that has to be in order.
func pass(t *testing.T, text string) *rule.Pass {
	t.Helper()
	elaboratetest.Designs(t, "test.pintle", text)
	read := elaboratetest.Read("test.pintle", text)
	require.Len(t, read.Designs, 1)
	return &rule.Pass{Ctx: t.Context(), Read: read, Design: read.Designs[0], Limits: settings.DefaultLimits()}
}

// boxes are two controllers with the same inside; the second one has no feed, and nothing is wired
// to its input.
const boxes = `title "Boxes"
setting knob: off, on
ground block
supply battery: 12 V, from block to stud
fit fed: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 7 V
    input asked: at 3, reads volts, high above 6 V, low below 3 V, pulled down 100 kohm
    driver lamp_earth: earths 4 to 2, when asked is high, up to 3 A
}
fit unfed: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 7 V
    input asked: at 3, reads volts, high above 6 V, low below 3 V, pulled down 100 kohm
    driver lamp_earth: earths 4 to 2, when asked is high, up to 3 A
}
contact press: battery.stud to fed.3, made when knob is on
wire W1: battery.stud to fed.1
wire W2: fed.2 to block
wire W3: unfed.2 to block
load one: battery.stud to fed.4, 5 W at 12 V, lit from 60 %
load two: battery.stud to unfed.4, 5 W at 12 V, lit from 60 %
`

// A condition that never holds because of something with a finding of its own is an effect of that.
func TestTold(t *testing.T) {
	p := pass(t, boxes)
	d := p.Design
	require.Len(t, d.Controllers, 2)
	for i := range d.Controllers {
		assert.Equal(t, d.Controllers[i].Path == "unfed", consequence.Unpowered(p, model.ControllerID(i)), d.Controllers[i].Path)
	}
	assert.False(t, consequence.Unpowered(p, model.None), "no controller")
	drives := func(path string) *model.Cond {
		for i := range d.Drivers {
			if d.Drivers[i].Path == path {
				return d.Drivers[i].When
			}
		}
		t.Fatalf("no driver %s", path)
		return nil
	}
	assert.False(t, consequence.Reported(p, drives("fed.lamp_earth")), "it happens")
	assert.True(t, consequence.Reported(p, drives("unfed.lamp_earth")), "nothing leads to its input")
}

// never is a timer that nothing starts, beside one that a knob starts and one that a blown
// fuse starts.
const never = `title "Timers"
setting knob: off, on
ground block
supply battery: 12 V, from block to stud
fuse F1: battery.stud to rail, 5 A
node rail, stray
timer works: runs while knob is on, lasts 2 s
timer idle: runs while stray is live, lasts 2 s
timer guard: runs while rail is not live, lasts 2 s
load lamp: rail to block, 5 W at 12 V, lit from 60 %
load unfed: stray to block, 5 W at 12 V
`

// A time that only a fault starts is there for the fault.
func TestNeverRuns(t *testing.T) {
	p := pass(t, never)
	d := p.Design
	got := map[string]bool{}
	for i := range d.Timers {
		got[d.Timers[i].Path] = consequence.NeverRuns(p, i)
	}
	assert.Equal(t, map[string]bool{"works": false, "idle": true, "guard": false}, got)
}

// A condition that comes with one single fault is not dead; one that no fault brings is.
func TestWithFault(t *testing.T) {
	p := pass(t, never)
	d := p.Design
	faults := consequence.Faults(p, model.None, true, true)
	require.NotEmpty(t, faults)
	for i := range d.Timers {
		comes, sure := consequence.WithFault(p, system.On(d.Timers[i].Run), faults)
		assert.True(t, sure)
		assert.Equal(t, d.Timers[i].Path != "idle", comes, d.Timers[i].Path)
	}
}

// loose is a second supply of which one end leads nowhere.
const loose = `title "Loose"
setting knob: off, on
ground block
node minus
supply battery: 12 V, from block to stud
supply second: 12 V, from minus to plus
load lamp: battery.stud to block, 5 W at 12 V
load other: second.plus to block, 5 W at 12 V
`

func TestLooseEnds(t *testing.T) {
	p := pass(t, loose)
	for i := range p.Design.Supplies {
		var names []string
		for _, n := range consequence.LooseEnds(p, model.SupplyID(i)) {
			names = append(names, p.Design.Nodes[n].Path)
		}
		if p.Design.Supplies[i].Path == "second" {
			assert.Equal(t, []string{"minus"}, names)
		} else {
			assert.Empty(t, names)
		}
	}
}
