package syntax

import (
	"fmt"
	"strings"
)

// realistic writes a design of about n bytes in the mix of kinds that designs have:
// mostly wires, fits, loads and claims.
func realistic(n int) string {
	var b strings.Builder
	b.WriteString("## A generated harness.\ntitle \"Harness\"\nuse \"parts/basics.pintle\"\n\nquantity engine_speed: 0 to 7000 rpm\nsetting key: off, run, crank, in order, springs back from crank to run\nground block\nsupply battery: 12.6 V, from block to stud, inside 8 mohm, anywhere between 9 V and 15 V\n\n")
	for i := 0; b.Len() < n; i++ {
		fmt.Fprintf(&b, `## Passes vacuum to the flap while energised, vents it otherwise.
fit valve%[1]d: {
    pin 1, 2
    port inlet, outlet, vent: vacuum
    coil winding: 1 to 2, 32 ohm +-10 %%, pulls in at 8 V, drops out at 2 V
    diode clamp: 2 to 1
    passage fill: inlet to outlet, passes when winding is energised
    passage relieve: vent to outlet, passes when winding is released
}
fit F%[1]d: Fuse(rating 10 A)
fit S%[1]d: MakeSwitch(made when key is any of run, crank)
fit box%[1]d: {
    pin 3, 6, 7, 15, 31
    powered 15 to 31: works from 7 V
    input speed: at 7, reads sender, counts as 0 rpm while disconnected
    input full: at 6, reads volts, pulled up 10 kohm to 5 V, low below 1.5 V, high above 3.5 V
    threshold fast: speed, sets at 4200 rpm, clears below 3900 rpm
    driver earth: earths 3 to 31, when fast and full is low, up to 1 A # earths the valve
}
connector C%[1]d: 2 way, grey, keyed B
wire W%[1]da: battery.stud to F%[1]d.in, red, 1.5 mm2, 0.4 m
wire W%[1]db: F%[1]d.out to S%[1]d.1, red/white, 1.5 mm2, 0.9 m
wire W%[1]dc: S%[1]d.2 to C%[1]d.1, black/yellow, 0.75 mm2, 1.4 m
wire W%[1]dd: C%[1]d.1 to box%[1]d.15, black/yellow, 0.75 mm2, 0.6 m
wire W%[1]de: box%[1]d.31 to block, brown, 1 mm2, 0.8 m
result runners%[1]d: {
    row short: when valve%[1]d.outlet is fed
    row long: otherwise
}
require idle%[1]d: never (runners%[1]d is short and engine_speed below 2500 rpm)
require can%[1]d: possible runners%[1]d is short

`, i)
	}
	return b.String()
}
