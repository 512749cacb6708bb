package fault

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/failure"
	"pintle/lang/model"
)

// everything has one of each kind of thing that can fail.
const everything = `title "One of each"
quantity oil: 0 to 100 degC
setting key: off, run
ground block
supply battery: 12 V, from block to stud
fuse F1: battery.stud to rail, 10 A
node rail, on, mid, low
wire W1: rail to on
contact S1: on to mid, make, made when key is run
load lamp: mid to block, 10 W at 12 V, lit from 60 %
resistor R1: mid to low, 10 ohm
diode D1: low to block
coil pull: mid to block, 60 ohm, pulls in at 8 V, drops out at 1 V
fit box: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 8 V
    input temp: at 3, reads sender, counts as 0 degC while disconnected
    threshold hot: temp, sets at 90 degC, clears below 80 degC
    driver out: feeds 4 from 1, when hot, up to 2 A
}
fit bead: {
    pin 1
    sender ntc: at 1, tells oil
}
wire W2: rail to box.1
wire W3: box.2 to block
wire W4: box.3 to bead.1
wire W5: box.4 to C1.1
wire W6: C1.2 to block
connector C1: 2 way, in reach of C2
connector C2: 2 way
wire W7: mid to C2.1
wire W8: C2.2 to block
origin pump: vacuum
fit valve: {
    port in, out: vacuum
    passage fill: in to out, passes when pull is energised
}
hose H1: pump to valve.in
`

// Each fault that the table of published failure modes names is in the sweep, of a thing of
// that kind, and every way of failing of the sweep is named there.
func TestPublishedFailureModes(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, table, ok := strings.Cut(string(text), "| part | failure mode | fault | note |\n|---|---|---|---|\n")
	require.True(t, ok)
	table, _, _ = strings.Cut(table, "\n\n")
	d := elaboratetest.Designs(t, "each.pintle", everything)[0]
	kind := map[string]string{}
	for _, f := range Generate(d) {
		a := f.Actions[0]
		kind[kindOf(d, a.Thing)+" "+string(a.Mode)] = f.Words
	}
	named := regexp.MustCompile("^([a-z]+) `([a-z ]+)`$")
	modes := map[model.FaultMode]bool{}
	rows := 0
	for row := range strings.Lines(table) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(row), "|"), "|")
		require.Len(t, cells, 4, row)
		fault, note := strings.TrimSpace(cells[2]), strings.TrimSpace(cells[3])
		rows++
		if fault == "" {
			assert.NotEmpty(t, note, "what is not covered has its reason: %s", row)
			continue
		}
		m := named.FindStringSubmatch(fault)
		require.NotNil(t, m, row)
		assert.NotEmpty(t, kind[m[1]+" "+m[2]], "no %s %s is generated", m[1], m[2])
		modes[model.FaultMode(m[2])] = true
	}
	assert.Greater(t, rows, 40)
	assert.Len(t, modes, len(failure.Modes())+1, "every way of failing is named")
}

// kindOf is the kind of a thing as the language has it.
func kindOf(d *model.Design, t model.Thing) string {
	switch t.Kind {
	case model.ThingConnector:
		return "connector"
	case model.ThingContact:
		return "contact"
	case model.ThingDriver:
		return "driver"
	case model.ThingSender:
		return "sender"
	case model.ThingPassage:
		if d.Passages[t.Index].Hose {
			return "hose"
		}
		return "passage"
	}
	return d.Elements[t.Index].Kind
}
