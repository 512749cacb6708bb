package library

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

` + parts

// block is the text of one circuit: a lamp by a relay that a switch works.
const block = circuit + `bands zone%[1]d: over speed {
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

// Parts returns the text of a file of at least so many lines: many parts and bands,
// few circuits.
func Parts(lines int) string {
	var b strings.Builder
	b.WriteString(Design(100))
	each := strings.Count(part, "\n")
	for i, n := 1000, strings.Count(b.String(), "\n"); n < lines; i, n = i+1, n+each {
		fmt.Fprintf(&b, part, i, 80+i%9, 2000+i%9*100)
	}
	return b.String()
}
