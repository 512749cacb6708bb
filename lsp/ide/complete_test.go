package ide_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/idetest"
)

// world is what the lines of these tests stand in.
const world = `quantity coolant: -40 to 150 degC
quantity revs: 0 to 7000 rpm
setting key: off, run, crank, starts at off
option side: left, right
ground block
supply battery: 12 V, from block to stud
node busbar

part Relay {
    takes rating: A
    takes resistance: ohm, 85 ohm unless said
    takes held: condition
    takes turns: count
    pin 30, 85, 86, 87, 87a
    coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V
    contact main: 30 to 87, make, by winding
    contact hidden: 30 to 87a, break, by winding
    shows winding, main
}

fit K1: Relay(rating 10 A, held when key is run, turns 3)
fit plug: 4 of Relay(rating 10 A, held when key is run, turns 3)
connector C1: 6 way, black
load lamp: busbar to block, 5 W at 12 V, lit from 60 %, glows from 15 %
threshold fast: revs, sets at 4200 rpm, clears below 3900 rpm
modes state: starts in idle {
    mode idle, busy
    from idle to busy: when fast
}
bands zone: over coolant {
    band cold: -40 to 20 degC
    band warm: 20 to 150 degC
}
result lamp_says {
    row one: when fast
    row two: otherwise
}
timer after: runs while fast, lasts 3 s
origin pump: vacuum
fit box: {
    pin 15, 31, in
    powered 15 to 31: works from 9 V
    input temp: at in, reads sender, counts as 150 degC while disconnected
    input level: at in, reads volts, counts as low while disconnected, low below 2 V, high above 8 V
    driver out: earths in to 31, when level is low
}
drive begin {
    step: set key run
}
`

func completeAt(t *testing.T, marked string, snippets bool) complete.List {
	t.Helper()
	v, off := idetest.One(t, marked)
	c, err := complete.At(t.Context(), v, off, complete.Options{Snippets: snippets})
	require.NoError(t, err)
	for _, it := range c.Items {
		require.LessOrEqual(t, it.Replace.Start, off)
		require.LessOrEqual(t, off, it.Replace.End)
		require.Equal(t, off, it.Insert.End)
		require.NotContains(t, v.Src().Text[it.Replace.Start:it.Replace.End], "\n")
	}
	return c
}

func labels(c complete.List) []string {
	var out []string
	for _, it := range c.Items {
		out = append(out, it.Label)
	}
	return out
}

func TestCompletion(t *testing.T) {
	for _, c := range []struct {
		line     string   // with the cursor; put behind the world
		want     string   // labels, apart by " | "; all must be offered
		unwanted string   // none of these
		only     bool     // nothing else is offered
		first    []string // the first ones, in this order
	}{
		{line: "‸", want: "wire | fit | coil | require | drive", unwanted: "row | step | takes | powered | band | ground"},
		{line: "wi‸", want: "wire", unwanted: "row"},
		{line: "part P {\n    ‸\n}", want: "takes | shows | pin | bench", unwanted: "require | row | use | part"},
		{line: "part P {\n    pin 1\n    ‸", want: "takes | coil", unwanted: "use"},
		{line: "drive d {\n    ‸\n}", want: "step", unwanted: "wire | coil"},
		{line: "modes m: starts in a {\n    ‸\n}", want: "mode | from | only", only: true},
		{line: "coil c: busbar to block, ‸", want: "pulls in at | drops out at | turns", unwanted: "from", first: []string{}},
		{line: "coil c: busbar to block, 85 ohm, pulls in at 8 V, ‸", want: "drops out at | turns", only: true},
		{line: "coil c: busbar to block, 85 ohm, pulls ‸", want: "in at", only: true},
		{line: "coil c: busbar to block, pulls in at ‸", want: "", only: true},
		{line: "coil c: busbar to block, pulls in at 8 ‸", want: "V | mV | kV", unwanted: "ohm | A"},
		{line: "coil c: busbar to block, 85 o‸", want: "ohm | kohm", unwanted: "V"},
		{line: "coil c: busbar to block, 85 ohm ‸", want: "+-10 %"},
		{line: "wire w: ‸", want: "busbar | block | battery.stud | K1 | plug | C1 | box | each | rated | at", unwanted: "coolant | lamp | Relay"},
		{line: "wire w: K1.‸", want: "30 | 85 | 86 | 87 | 87a", only: true},
		{line: "wire w: K1.8‸", want: "85 | 87a", unwanted: "winding"},
		{line: "wire w: K1.‸7a to busbar, red", want: "85 | 87a", only: false},
		{line: "wire w: busbar to ‸", want: "block | K1 | battery.stud"},
		{line: "wire w: busbar to K1.‸\nwire x: busbar to block", want: "30 | 87a"},
		{line: "wire w: busbar to C1.‸", want: "1 | 6", unwanted: "7 | 30"},
		{line: "wire w: busbar to plug.‸", want: "1 | 4", unwanted: "5 | 30"},
		{line: "wire w: busbar to plug.2.‸", want: "30 | 87a", unwanted: "1"},
		{line: "wire w: each plug.‸", want: "30 | 87a"},
		{line: "wire w: busbar to box.‸", want: "15 | 31 | in", only: true},
		{line: "wire w: busbar to battery.‸", want: "stud", only: true},
		{line: "wire w: busbar to block, ‸", want: "red | black | light | rated | at", unwanted: "busbar | each"},
		{line: "wire w: busbar to block, black/‸", want: "yellow | white | light"},
		{line: "wire w: busbar to block, red, 1.5 ‸", want: "mm2 | m | cm", unwanted: "V"},
		{line: "hose h: ‸", want: "pump | clamped", unwanted: "busbar"},
		{line: "fit f: ‸", want: "Relay | elsewhere", unwanted: "K1 | busbar"},
		{line: "fit f: Relay(‸", want: "rating | resistance | held | turns", only: true},
		{line: "fit f: Relay(rating 10 A, ‸)", want: "resistance | held | turns", only: true},
		{line: "fit f: Relay(rating 10 ‸)", want: "A | mA", unwanted: "V"},
		{line: "fit f: Relay(held ‸", want: "when"},
		{line: "fit f: Relay(held when key is ‸)", want: "off | run | crank"},
		{line: "fit f: 2 of ‸", want: "Relay", unwanted: "K1"},
		{line: "condition c: ‸", want: "key | coolant | state | zone | lamp | K1 | not | current through | every", unwanted: "Relay | begin"},
		{line: "condition c: key ‸", want: "is | is run | is not", unwanted: "above"},
		{line: "condition c: key is ‸", want: "off | run | crank | not | any of", first: []string{"off", "run", "crank"}},
		{line: "condition c: key is any of run, ‸", want: "off | crank"},
		{line: "condition c: key is not ‸", want: "off | run | crank"},
		{line: "condition c: coolant ‸", want: "above | below | at least | at most | between", unwanted: "is"},
		{line: "condition c: coolant above 90 ‸", want: "degC | degF", unwanted: "V | rpm"},
		{line: "condition c: coolant between 80 degC and 90 ‸", want: "degC", unwanted: "V"},
		{line: "condition c: K1.winding is ‸", want: "energised | released", unwanted: "made"},
		{line: "condition c: K1.main is ‸", want: "made | open"},
		{line: "condition c: K1.‸", want: "winding | main | 87", unwanted: "hidden | rating"},
		{line: "condition c: K1.87 is ‸", want: "live | grounded | floating"},
		{line: "condition c: C1.1 is ‸", want: "live"},
		{line: "condition c: lamp is ‸", want: "lit | glows", unwanted: "on"},
		{line: "condition c: state is ‸", want: "idle | busy"},
		{line: "condition c: zone is ‸", want: "cold | warm"},
		{line: "condition c: lamp_says is ‸", want: "one | two"},
		{line: "condition c: after is ‸", want: "running | done | idle"},
		{line: "condition c: box is ‸", want: "powered"},
		{line: "condition c: box.level is ‸", want: "low | high"},
		{line: "condition c: box.temp ‸", want: "above", unwanted: "is"},
		{line: "condition c: box.out is ‸", want: "on | off"},
		{line: "condition c: fast ‸", want: "and | or | for | in the last"},
		{line: "condition c: fast for 200 ‸", want: "ms | s", unwanted: "V"},
		{line: "condition c: (fast and ‸", want: "key | not"},
		{line: "condition c: (fast) ‸", want: "begins | ends | stays | and"},
		{line: "condition c: current through ‸", want: "lamp | battery | K1", unwanted: "coolant | busbar"},
		{line: "condition c: current through lamp above 2 ‸", want: "A", unwanted: "V"},
		{line: "condition c: volts at ‸", want: "busbar | K1", unwanted: "coolant"},
		{line: "threshold t: coolant, sets at 90 ‸", want: "degC", unwanted: "V"},
		{line: "threshold t: ‸", want: "coolant | revs | current through | sets at", unwanted: "key | busbar"},
		{line: "threshold t: coolant, sets at 90 degC, ‸", want: "clears at | clears below | starts set", unwanted: "sets above | sets at"},
		{line: "bands b: over ‸", want: "coolant | revs | box", unwanted: "key"},
		{line: "bands b: over coolant {\n    band a: 0 to 20 ‸\n}", want: "degC", unwanted: "V"},
		{line: "bands b: over coolant {\n    band a: 0 to 20 degC\n    band b: enters as ‸\n}", want: "a | b"},
		{line: "modes m: starts in ‸ {\n    mode a, b\n}", want: "a | b", only: true},
		{line: "modes m: starts in a {\n    mode a, b\n    from ‸\n}", want: "a | b | any to"},
		{line: "modes m: starts in a {\n    mode a, b\n    from a to ‸\n}", want: "a | b", only: true},
		{line: "modes m: starts in a {\n    mode a, b\n    from a to b: when ‸\n}", want: "fast | key"},
		{line: "setting s: one, two, starts at ‸", want: "one | two", only: true},
		{line: "setting s: one, two, springs back from ‸", want: "one | two", only: true},
		{line: "chart c: follows key {\n    row ‸\n}", want: "off | run | crank", only: true},
		{line: "origin o: ‸", want: "vacuum | fuel | present when"},
		{line: "drive d {\n    step: set ‸\n}", want: "key | coolant | battery"},
		{line: "drive d {\n    step: set key ‸\n}", want: "off | run | crank", unwanted: "degC"},
		{line: "drive d {\n    step: set coolant 20 ‸\n}", want: "degC", unwanted: "V"},
		{line: "drive d {\n    step: ramp coolant to 20 degC over 3 ‸\n}", want: "s | min", unwanted: "V"},
		{line: "drive d {\n    step: see fast ‸\n}", want: "at end | throughout | once | and"},
		{line: "drive d {\n    step: fail ‸\n}", want: "lamp | C1 | K1", unwanted: "coolant"},
		{line: "drive d {\n    step: fail K1.winding ‸\n}", want: "open | shorted | stuck made"},
		{line: "drive d {\n    step: fail K1.winding stuck ‸\n}", want: "made | open | on"},
		{line: "drive d: from the state of ‸ {\n}", want: "begin", unwanted: "key"},
		{line: "drive d: with side is ‸ {\n}", want: "left | right", only: true},
		{line: "require r: fast within 2 s whenever ‸", want: "key | fast"},
		{line: "require r: fast ‸", want: "whenever | within | and"},
		{line: "require r: ‸", want: "never | always | possible | apart | key"},
		{line: "accept ‸", want: "sneak-path | undefined-name"},
		{line: "accept sneak-path: on ‸", want: "lamp | K1 | the design"},
		{line: "only when ‸ {\n}", want: "side"},
		{line: "part P {\n    takes a: ‸\n}", want: "condition | quantity | A | ohm"},
		{line: "part P {\n    takes size: mm2\n    pin 1, 2\n    wire w: 1 to 2, ‸\n}", want: "size | red"},
		{line: "part P {\n    takes r: ohm\n    pin 1, 2\n    coil c: 1 to 2, ‸\n}", want: "r | pulls in at", unwanted: "busbar"},
		{line: "part P {\n    pin 1\n    coil c: ‸\n}", want: "1", unwanted: "busbar | K1"},
		{line: "part P {\n    coil c: 1 to 2, 4 ohm\n    pin 1, 2\n    shows ‸\n}", want: "c", only: true},
		{line: "wire w: busbar to block # ‸", only: true},
		{line: "wire w: busbar to block,\n    ‸", want: "red | rated"},
		{line: "wibble w: ‸", only: true},
		{line: "coil c busbar to ‸", want: "block | K1 | each", unwanted: "coolant"}, // the colon is missing
		{line: "coil c: busbar to block, 85 ohm +-5 ‸", want: "% | ohm", unwanted: "V"},
		{line: "condition c: coolant above 90 ‸", want: "degC", unwanted: "and | for"},  // no condition without its unit
		{line: "condition c: fast and key is run ‸", want: "and | for", unwanted: "or"}, // they would be mixed
		{line: "modes m: starts in a {\n    mode a, b\n    from a to b: when fast ‸", want: "begins | and"},
		{line: "part P {\n    pin 1, 2\n    coil c: 1 to 2, 4 ohm\n    shows ‸c\n}", want: "c", only: true},
	} {
		t.Run(c.line, func(t *testing.T) {
			got := labels(completeAt(t, world+c.line, false))
			if c.want != "" {
				for _, w := range strings.Split(c.want, " | ") {
					assert.Contains(t, got, w)
				}
			}
			if c.unwanted != "" {
				for _, w := range strings.Split(c.unwanted, " | ") {
					assert.NotContains(t, got, w)
				}
			}
			if c.only {
				var want []string
				if c.want != "" {
					want = strings.Split(c.want, " | ")
				}
				assert.ElementsMatch(t, want, got)
			}
			if len(c.first) > 0 {
				require.GreaterOrEqual(t, len(got), len(c.first))
				assert.Equal(t, c.first, got[:len(c.first)])
			}
		})
	}
}
