package wiring

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Rated currents are those of one maker's sheet for thin-wall cable (1 mm2: 16.5 A,
// 10 mm2: 70 A), and those of the settings where they bring a table.
func TestRatedCurrents(t *testing.T) {
	const text = `ground body
supply battery: 12 V, from body to stud
wire W1: battery.stud to body, 1 mm2
wire W2: battery.stud to body, 1 mm2, rated 9 A
wire W3: battery.stud to body, 0.35 mm2
wire W4: battery.stud to body, 16 mm2
wire W5: battery.stud to body, 18 AWG
wire W6: battery.stud to body, 3 m
`
	file := syntax.Parse(source.NewFile("x.pintle", text), nil)
	require.Empty(t, file.Findings)
	read := elaborate.Elaborate(t.Context(), file, run.NewLoader(nil, file))
	require.Len(t, read.Designs, 1)
	rate := func(limits settings.Limits) []string {
		p := &rule.Pass{Ctx: t.Context(), Root: file, Read: read, Design: read.Designs[0], Limits: limits}
		v := look(p)
		var out []string
		for i := range v.d.Wires {
			text := "unknown"
			if r, ok := v.rated(&v.d.Wires[i]); ok {
				text = r.String() + ", " + r.From
				if r.Source != "" {
					text += " by " + r.Source
				}
			}
			out = append(out, text)
		}
		return out
	}
	const sheet = "thin-wall vehicle cable, common practice, no source"
	assert.Equal(t, []string{
		"16.5 A, 1 mm2 by " + sheet,
		"9 A, as stated",
		"less than 11 A, 0.35 mm2, below the 0.5 mm2 of the table by " + sheet,
		"less than 112 A, 16 mm2, beyond the 10 mm2 of the table by " + sheet,
		"14 A, 0.823 mm2 by " + sheet,
		"unknown",
	}, rate(settings.DefaultLimits()))

	own := settings.DefaultLimits()
	own.WireAmps = []settings.WireAmps{{Area: 0.35, Amps: 4}, {Area: 1, Amps: 10}}
	assert.Equal(t, []string{
		"10 A, 1 mm2 by wire_amps of the settings",
		"9 A, as stated",
		"4 A, 0.35 mm2 by wire_amps of the settings",
		"less than 160 A, 16 mm2, beyond the 1 mm2 of the table by wire_amps of the settings",
		"4 A, 0.823 mm2 by wire_amps of the settings",
		"unknown",
	}, rate(own))
}
