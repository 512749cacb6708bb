package library

import (
	"fmt"
	"strings"
)

// Coupled writes a design of quantities with two thresholds each, and relays in chains of a
// length: each is fed by a contact that two thresholds, of neighbouring quantities, and
// the relay before it decide. With 12 quantities and 16 relays there are 40 memories of
// two states.
func Coupled(quantities, relays, length int) string {
	var b strings.Builder
	b.WriteString("title \"Coupled\"\nsetting key: off, run\nground block\nsupply battery: 12 V, from block to stud, inside 1 mohm\n")
	for i := range quantities {
		fmt.Fprintf(&b, "quantity q%d: 0 to 100 degC\n", i)
		fmt.Fprintf(&b, "threshold low%d: q%d, sets at 30 degC, clears below 20 degC\n", i, i)
		fmt.Fprintf(&b, "threshold high%d: q%d, sets at 80 degC, clears below 60 degC\n", i, i)
	}
	for k := range relays {
		q := k * quantities / relays
		when := fmt.Sprintf("low%d and key is run", q)
		if k%length > 0 {
			when = fmt.Sprintf("(low%d or K%d.winding is energised) and not high%d and key is run", q, k-1, max(0, q-1))
		}
		fmt.Fprintf(&b, `fit S%[1]d: {
    pin 1, 2
    contact hand: 1 to 2, make, made when %[2]s
}
fit K%[1]d: {
    pin 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 2 V
}
wire W%[1]d-1: battery.stud to S%[1]d.1
wire W%[1]d-2: S%[1]d.2 to K%[1]d.86
wire W%[1]d-3: K%[1]d.85 to block
`, k, when)
	}
	return b.String()
}

// Contacts writes a design with so many switches, each with a lamp, on one fused feed.
func Contacts(n int) string {
	var b strings.Builder
	b.WriteString(`title "Contacts"
ground block
supply battery: 12.6 V, from block to stud, anywhere between 11 V and 14.5 V, inside 8 mohm
fit F1: {
    pin 1, 2
    fuse element: 1 to 2, 10 A
}
splice rail
wire feed: battery.stud to F1.1, 4 mm2, 0.4 m
wire rest: F1.2 to rail, 4 mm2, 1 m
`)
	for i := range n {
		fmt.Fprintf(&b, `setting knob%[1]d: off, on
fit S%[1]d: {
    pin 1, 2
    contact main: 1 to 2, make, made when knob%[1]d is on
}
fit L%[1]d: {
    pin 1, 2
    load filament: 1 to 2, 2 W at 12 V, cold 10 %%, lit from 60 %%
}
wire A%[1]d: rail to S%[1]d.1, 1 mm2, 1 m
wire B%[1]d: S%[1]d.2 to L%[1]d.1, 1 mm2, 1 m
wire C%[1]d: L%[1]d.2 to block, 1 mm2, 1 m
require lit%[1]d: L%[1]d.filament is lit whenever knob%[1]d is on
require dark%[1]d: never (L%[1]d.filament is lit and knob%[1]d is off)
`, i)
	}
	return b.String()
}
