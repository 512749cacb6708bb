package elaborate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Conditions are reported as the design says them, and so is what is so while they are not:
// without double negatives, with the states of the thing that was asked.
func TestWords(t *testing.T) {
	head := `setting key: off, run, crank
quantity water: 0 to 100 degC
ground g
node a, b
supply cell: 12 V, from g to a
part Bulb {
    pin 1, 2
    load filament: 1 to 2, 5 W at 12 V, lit from 60 %
    shows filament
}
fit bulb: 4 of Bulb
wire W: a to each bulb.1
wire V: each bulb.2 to g
fit K1: {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 85 ohm
    contact main: 30 to 87, make
    contact idle: 30 to 87, break
}
fit box: {
    pin 15, 31, 2
    powered 15 to 31: works from 8 V
    driver fan: earths 2 to 31, when box_on
    condition box_on: always
}
load lamp: a to g, 5 W at 12 V, glows from 15 %, lit from 60 %
condition warm: water above 50 degC
`
	for _, c := range []struct{ written, told, opposite string }{
		{"K1.main is open", "", "K1.main is made"},
		{"K1.idle is made", "", "K1.idle is open"},
		{"not K1.main is open", "K1.main is made", "K1.main is open"},
		{"box.fan is off", "", "box.fan is on"},
		{"box is powered", "", "box is not powered"},
		{"lamp is lit", "", "lamp is not lit"},
		{"not lamp is lit", "lamp is not lit", "lamp is lit"},
		{"lamp is glowing", "", "lamp is not glowing"},
		{"key is not off", "", "key is off"},
		{"not key is any of off, run", "", "key is any of off, run"},
		{"a is live", "", "a is not live"},
		{"K1.winding is energised", "", "K1.winding is not energised"},
		{"every bulb.filament is lit", "", "not every bulb.filament is lit"},
		{"any bulb.filament is not lit", "", "not any bulb.filament is not lit"},
		{"every bulb.filament is lit and key is run", "", "not (every bulb.filament is lit and key is run)"},
		{"water between 20 degC and 30 degC", "", "not water between 20 degC and 30 degC"},
		{"not water above 20 degC", "water at most 20 degC", "water above 20 degC"},
		{"warm", "", "not warm"},
		{"not warm", "", "warm"},
		{"key is run for 2 s", "(key is run) for 2 s", "not ((key is run) for 2 s)"},
	} {
		r := elaborated(t, map[string]string{"a.pintle": head + "require r: always (" + c.written + ")\n"}, "a.pintle")
		require.Empty(t, r.Findings, c.written)
		d := r.Designs[0]
		a := d.Requirements[0].A
		told := c.told
		if told == "" {
			told = c.written
		}
		assert.Equal(t, told, d.Words(a))
		assert.Equal(t, c.opposite, d.Opposite(a))
		// What is told is read again, and means the same.
		for _, words := range []string{told, c.opposite} {
			again := elaborated(t, map[string]string{"a.pintle": head + "require r: always (" + words + ")\n"}, "a.pintle")
			assert.Empty(t, again.Files[0].Findings, words)
			assert.Equal(t, words, again.Designs[0].Words(again.Designs[0].Requirements[0].A))
		}
	}
}
