// Package vehicle makes one large file, for tests and benchmarks of the language server:
// a design of many circuits that hang on one battery, as a whole vehicle has, or a
// library of parts with a small design.
package vehicle

import (
	"fmt"
	"strings"
)

const head = `## A generated vehicle: many circuits on one battery.
title "Generated vehicle"

quantity speed: 0 to 6800 rpm
setting key: off, run

ground block
supply battery: 12.6 V, from block to stud, inside 8 mohm

## A fuse.
part Fuse {
    takes rating: A
    pin in, out
    fuse element: in to out, rating
}

## A relay that makes.
part Relay {
    pin 30, 85, 86, 87
    coil winding: 86 to 85, 85 ohm +-10 %, pulls in at 8 V, drops out at 1.5 V
    resistor damper: 86 to 85, 680 ohm
    contact main: 30 to 87, make, by winding, up to 30 A
    shows winding, main
}

## A switch moved by hand.
part Switch {
    takes made: condition
    pin 1, 2
    contact main: 1 to 2, make, made when made, up to 10 A
    shows main
}
`

// block is the text of one circuit: a lamp by a relay that a switch works.
const block = `
## Circuit %[1]d: a lamp by a relay.
setting knob%[1]d: off, on
fit F%[1]d: Fuse(rating 10 A)
fit K%[1]d: Relay
fit S%[1]d: Switch(made when knob%[1]d is on)
splice rail%[1]d
fit L%[1]d: {
    pin 1, 2
    load filament: 1 to 2, %[2]d W at 12 V, cold 10 %%, lit from 60 %%
}
wire W%[1]da: battery.stud to F%[1]d.in, red, 2.5 mm2, 0.4 m
wire W%[1]db: F%[1]d.out to rail%[1]d, red/yellow, 1.5 mm2, 0.3 m
wire W%[1]dc: rail%[1]d to K%[1]d.30, red/yellow, 1.5 mm2, 0.3 m
wire W%[1]dd: rail%[1]d to S%[1]d.1, red/yellow, 1 mm2, 0.5 m
wire W%[1]de: S%[1]d.2 to K%[1]d.86, white, 0.75 mm2, 0.5 m
wire W%[1]df: K%[1]d.85 to block, brown, 0.75 mm2, 0.3 m
wire W%[1]dg: K%[1]d.87 to L%[1]d.1, yellow, 1.5 mm2, 0.6 m
wire W%[1]dh: L%[1]d.2 to block, brown, 1.5 mm2, 0.6 m
bands zone%[1]d: over speed {
    band slow%[1]d: 0 to %[3]d rpm
    band fast%[1]d: %[3]d to 6800 rpm
}
`

// Design returns the text of a design of at least so many lines, and in order.
func Design(lines int) string {
	var b strings.Builder
	b.WriteString(head)
	each := strings.Count(block, "\n")
	for i, n := 1, strings.Count(head, "\n"); n < lines; i, n = i+1, n+each {
		fmt.Fprintf(&b, block, i, 10+i%4*5, 2000+i%9*100)
	}
	return b.String()
}

// part is the text of one part of a library.
const part = `
## Unit %[1]d: a relay with a lamp of its own.
part Unit%[1]d {
    takes resistance: ohm, %[2]d ohm unless said
    takes limit: A, 20 A unless said
    pin 30, 85, 86, 87
    coil winding: 86 to 85, resistance +-10 %%, pulls in at 8 V, drops out at 1.5 V
    resistor damper: 86 to 85, 680 ohm
    contact main: 30 to 87, make, by winding, up to limit
    node inner
    resistor series: 87 to inner, 470 ohm
    load tell_tale: inner to 85, 1 W at 12 V, glows from 15 %%
    shows winding, main
}
bands zone%[1]d: over speed {
    band slow%[1]d: 0 to %[3]d rpm
    band fast%[1]d: %[3]d to 6800 rpm
}
`

// Library returns the text of a file of at least so many lines: many parts and bands,
// few circuits.
func Library(lines int) string {
	var b strings.Builder
	b.WriteString(Design(100))
	each := strings.Count(part, "\n")
	for i, n := 1000, strings.Count(b.String(), "\n"); n < lines; i, n = i+1, n+each {
		fmt.Fprintf(&b, part, i, 80+i%9, 2000+i%9*100)
	}
	return b.String()
}
