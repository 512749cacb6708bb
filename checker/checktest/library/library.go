// Package library makes large libraries of designs for benchmarks: many files of parts
// and small designs that are in order, as many lines as asked for.
package library

import (
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strings"
)

// filesInFolder is how many files stand in one folder.
const filesInFolder = 100

// parts are those of every loom of the library and of the one large design.
const parts = `## A fuse.
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

// common is the file that every design of the library uses.
const common = "## Parts that every loom of the library uses.\n\n" + parts

// Files yields the names and texts of a library of at least so many lines: first the
// common parts, then looms, each with a file of parts.
func Files(lines int) iter.Seq2[string, string] {
	return func(yield func(name, text string) bool) {
		if !yield("parts.pintle", common) {
			return
		}
		for n, i := strings.Count(common, "\n"), 0; n < lines; i++ {
			for _, file := range [...]struct{ kind, text string }{{"loom", loom(i)}, {"units", units(i)}} {
				n += strings.Count(file.text, "\n")
				if !yield(fmt.Sprintf("looms%03d/%s%05d.pintle", i/filesInFolder, file.kind, i), file.text) {
					return
				}
			}
		}
	}
}

// Write writes the library below a folder.
func Write(dir string, lines int) error {
	for name, text := range Files(lines) {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// circuit is a lamp by a relay that a switch works: its number, and the lamp's watts.
const circuit = `
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
`

// loom is one design with a few circuits and parts of its own. Names and numbers are
// different in each.
func loom(i int) string {
	var b strings.Builder
	fmt.Fprintf(&b, `## Loom %[1]d of a generated library.
title "Loom %[1]d"
use "../parts.pintle"

quantity speed: 0 to %[2]d rpm
setting key: off, run

ground block
supply battery: 12.6 V, from block to stud, inside 8 mohm
fit F0: Fuse(rating 5 A)
fit S0: Switch(made when key is run)
wire V1: battery.stud to F0.in, red, 1.5 mm2, 0.4 m
wire V2: F0.out to S0.1, red/white, 1.5 mm2, 0.3 m
wire V3: S0.2 to box.1, black, 1 mm2, 0.3 m

fit sensor: {
    pin 1
    sender teeth: at 1, tells speed, accuracy 20 rpm
}
wire V4: sensor.1 to box.3, green, 0.5 mm2, 0.8 m

## Lights the lamp while the shaft is fast.
fit box: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 7 V, draws 20 mA
    input turns: at 3, reads sender, counts as 0 rpm while disconnected
    threshold fast: turns, sets at %[3]d rpm, clears below %[4]d rpm
    driver lamp_earth: earths 4 to 2, when fast, up to 3 A
}
wire V5: box.2 to block, brown, 1 mm2, 0.3 m
fit F9: Fuse(rating 5 A)
wire V6: battery.stud to F9.in, red, 1.5 mm2, 0.4 m
wire V7: F9.out to tell.1, red/blue, 0.75 mm2, 0.6 m
wire V8: tell.2 to box.4, blue, 0.75 mm2, 0.6 m
fit tell: {
    pin 1, 2
    load filament: 1 to 2, 5 W at 12 V, cold 10 %%, lit from 60 %%
}
bands pace: over speed, while key is run {
    band slow: 0 to %[4]d rpm, not tell.filament is lit
    band between: %[4]d to %[3]d rpm, keeps, enters as slow
    band fast: %[3]d to %[2]d rpm, tell.filament is lit
}
require dark_at_rest: never (tell.filament is lit and key is off)
drive spin_up {
    step: set key run, set speed 0 rpm, see not tell.filament is lit
    step: ramp speed to %[5]d rpm over 2 s, see tell.filament is lit
}
`, i, 6000+i%7*100, 3200+i%11*20, 2900+i%11*20, 4500+i%5*50)
	for c := range 2 {
		fmt.Fprintf(&b, circuit+`require follows%[1]d: L%[1]d.filament is lit whenever knob%[1]d is on
require dark%[1]d: never (L%[1]d.filament is lit and knob%[1]d is off)
`, c+1, 10+i%4*5)
	}
	return b.String()
}

// units are the parts that were drawn for one loom.
func units(i int) string {
	var b strings.Builder
	for p := range 4 {
		fmt.Fprintf(&b, `
## Part %[1]d of loom %[2]d: a relay with a lamp of its own.
part Unit%[2]d_%[1]d {
    takes resistance: ohm, %[3]d ohm unless said
    takes limit: A, %[4]d A unless said
    pin 30, 85, 86, 87
    coil winding: 86 to 85, resistance +-10 %%, pulls in at 8 V, drops out at 1.5 V
    resistor damper: 86 to 85, 680 ohm
    contact main: 30 to 87, make, by winding, up to limit
    node inner
    resistor series: 87 to inner, 470 ohm
    load tell_tale: inner to 85, 1 W at 12 V, glows from 15 %%
    shows winding, main
}
`, p, i, 80+i%9, 20+p*5)
	}
	return b.String()
}
