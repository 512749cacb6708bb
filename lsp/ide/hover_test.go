package ide_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/lsp/ide/hover"
	"pintle/lsp/ide/idetest"
)

const examples = "../../examples"

// TestHovers holds what is told at places of the examples against files for a person to
// read.
func TestHovers(t *testing.T) {
	for _, c := range []struct {
		file  string
		spots []string
	}{
		{"kickdown.pintle", []string{
			"quan‸tity road_speed", "quantity road_spe‸ed: 0", "0 to 160 k‸m/h\nsetting", "setting pe‸dal", "pedal: normal, flo‸ored\n",
			"supply batt‸ery", "fit F‸4:", "F4: Fu‸se(rating", "Fuse(rat‸ing 5 A", "threshold too_‸fast", "input spe‸ed:", "input pedal_‸switch",
			"condition ki‸ck:", "normal, kicked, guar‸ded\n", "driver val‸ve:", "wire W‸5:", "wire W‸12:", "0.75 mm2, 2 m\nwire W6: feed15 to guard_‸lamp.1",
			"see not lower_gear, see guard_lamp.filament is li‸t\n", "not guard_lamp.filament is l‸it", "guard_lamp.fila‸ment is lit\n    step: ramp", "piston.chamber is f‸ed",
			"condition lower_‸gear", "band bet‸ween", "require gua‸rds", "require only_when_‸floored", "splice feed‸15", "kee‸ps, enters as", "pulled ‸up 4.7",
			"gear_box.3, green, 0.5 mm2, ‸2 m",
		}},
		{"headlamps.pintle", []string{
			"wire W3‸:", "connector C‸1: 3", "fit S‸4:", "row mai‸n:", "see beam is dipp‸ed\n    step: set stalk main", "fit E1‸:", "E1.main is l‸it and E2.main is lit",
			"require no_crooked_‸beam", "result be‸am", "wire W14: right_mai‸n",
		}},
		{"parts/basics.pintle", []string{"takes rati‸ng: A\n    pin in", "fuse lin‸k:", "contact bla‸de: 1 to 2, break", "part Bre‸akSwitch", "setting knob: home, pul‸led"}},
	} {
		v := idetest.Examples(t, examples, c.file)
		for _, spot := range c.spots {
			t.Run(c.file+" "+spot, func(t *testing.T) {
				h, err := hover.At(t.Context(), v, idetest.Find(t, v, spot))
				require.NoError(t, err)
				require.NotNil(t, h)
				assert.True(t, h.Span.Contains(idetest.Find(t, v, spot)))
				name := strings.Trim(strings.Map(func(r rune) rune {
					if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
						return r
					}
					return '_'
				}, strings.ReplaceAll(spot, idetest.Cursor, "")), "_")
				golden.Check(t, "testdata/hover/"+strings.TrimSuffix(c.file, ".pintle")+"/"+name+".md", h.Text.Markdown()+"\n")
				assert.NotContains(t, h.Text.Plain(), "`")
			})
		}
	}
}
