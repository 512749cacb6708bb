package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
)

// The mode table of a cruise control (Kirby 1987; Atlee and Gannon, IEEE TSE 19(1), 1993)
// as Owre, Rushby and Shankar give it in SRI-CSL-95-12, with the numbers of an explicit
// enumeration. All inputs may change at once there, so they are one setting here: engine
// (off, ignition, running, running too fast), brake, lever.

type cruiseRow struct{ from, cells, to string }

// Columns: ignited running toofast brake activate deactivate resume; @T becomes true, @F
// becomes false, T stays true, F stays false, - any.
var cruiseOriginal = []cruiseRow{
	{"off", "@T - - - - - -", "inactive"},
	{"inactive", "@F - - - - - -", "off"},
	{"inactive", "T T - F @T - -", "cruise"},
	{"cruise", "@F - - - - - -", "off"},
	{"cruise", "- @F - - - - -", "inactive"},
	{"cruise", "- - @T - - - -", "inactive"},
	{"cruise", "- - - @T - - -", "override"},
	{"cruise", "- - - - - @T -", "override"},
	{"override", "@F - - - - - -", "off"},
	{"override", "- @F - - - - -", "inactive"},
	{"override", "T T - F @T - -", "cruise"},
	{"override", "T T - F - - @T", "cruise"},
}

var cruiseDeterministic = cruiseWith(map[int]string{
	2: "- T - F @T - -", 4: "T @F - - - - -", 6: "- T F @T - - -", 7: "- T F - - @T -",
	9: "T @F - - - - -", 10: "- T - F @T - -", 11: "- T - F - - @T",
}, cruiseOriginal)

var cruiseCorrected = cruiseWith(map[int]string{
	2: "- T F F @T - -", 10: "- T F F @T - -", 11: "- T F F - - @T",
}, cruiseDeterministic)

// The report's listings print T for toofast in two rows, against its own figures.
var cruiseMisprint = map[int]string{6: "- T T @T - - -", 7: "- T T - - @T -"}

func cruiseWith(changes map[int]string, rows []cruiseRow) []cruiseRow {
	out := append([]cruiseRow(nil), rows...)
	for i, cells := range changes {
		out[i].cells = cells
	}
	return out
}

func cruiseText(rows []cruiseRow, levers ...string) string {
	var positions []string
	in := map[string][]string{}
	for _, engine := range []string{"off", "ignition", "running", "toofast"} {
		for _, brake := range []string{"free", "brake"} {
			for _, lever := range levers {
				p := engine + "-" + brake + "-" + lever
				positions = append(positions, p)
				in[engine], in[brake], in[lever] = append(in[engine], p), append(in[brake], p), append(in[lever], p)
			}
		}
	}
	in["ignited"] = append(append(append([]string(nil), in["ignition"]...), in["running"]...), in["toofast"]...)
	in["running"] = append(append([]string(nil), in["running"]...), in["toofast"]...)
	columns := []string{"ignited", "running", "toofast", "brake", "activate", "deactivate", "resume"}
	var b strings.Builder
	fmt.Fprintf(&b, "title \"Cruise control\"\nsetting inputs: %s\n", strings.Join(positions, ", "))
	for _, c := range columns {
		fmt.Fprintf(&b, "condition %s: inputs is any of %s\n", c, strings.Join(in[c], ", "))
	}
	b.WriteString("modes control: starts in off {\n    mode off, inactive, cruise, override\n")
	for _, r := range rows {
		var terms []string
		for i, cell := range strings.Fields(r.cells) {
			switch cell {
			case "@T":
				terms = append(terms, "("+columns[i]+") begins")
			case "@F":
				terms = append(terms, "("+columns[i]+") ends")
			case "T":
				terms = append(terms, "("+columns[i]+") stays")
			case "F":
				terms = append(terms, "(not "+columns[i]+") stays")
			}
		}
		fmt.Fprintf(&b, "    from %s to %s: when %s\n", r.from, r.to, strings.Join(terms, " and "))
	}
	b.WriteString(`}
require inv1: not ignited whenever control is off
require inv2: ignited whenever control is not off
require inv3: (ignited and not (running and activate)) whenever control is inactive
require inv4: (ignited and running and not toofast and not brake and not deactivate) whenever control is cruise
require inv5: (ignited and running) whenever control is override
`)
	return b.String()
}

func count(t testing.TB, s *system.System, c system.Condition) int64 {
	t.Helper()
	inputs := s.SettingVar(0)
	control, _ := s.Var(system.Role{Kind: system.RoleMachine})
	n, err := s.Count(context.Background(), c, inputs, control)
	require.NoError(t, err)
	require.NotNil(t, n)
	return n.Int64()
}

func TestCruiseControl(t *testing.T) {
	three := []string{"activate", "deactivate", "resume"}
	four := append([]string{"neutral"}, three...)
	for _, c := range []struct {
		name       string
		rows       []cruiseRow
		levers     []string
		states     int64
		modes      [4]int64
		inv3, inv4 int64 // states that violate them
	}{
		{"deterministic", cruiseDeterministic, three, 48, [4]int64{6, 18, 12, 12}, 4, 10},
		{"corrected", cruiseCorrected, three, 38, [4]int64{6, 18, 2, 12}, 4, 0},
		{"deterministic, neutral lever", cruiseDeterministic, four, 64, [4]int64{8, 24, 16, 16}, -1, 13},
		{"corrected, neutral lever", cruiseCorrected, four, 51, [4]int64{8, 24, 3, 16}, -1, 0},
		{"deterministic, misprinted", cruiseWith(cruiseMisprint, cruiseDeterministic), three, 44, [4]int64{6, 18, 8, 12}, -1, 6},
		{"corrected, misprinted", cruiseWith(cruiseMisprint, cruiseCorrected), three, 30, [4]int64{6, 18, 6, 0}, -1, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := build(t, cruiseText(c.rows, c.levers...))
			assert.Equal(t, c.states, count(t, s, system.On(nil)))
			for mode, want := range c.modes {
				assert.Equal(t, want, count(t, s, system.InMode(0, mode)), s.Design().Machines[0].Modes[mode].Name)
				v, err := s.Possible(context.Background(), system.InMode(0, mode))
				require.NoError(t, err)
				assert.Equal(t, want > 0, v.Outcome == system.Holds, "reachable")
			}
			violated := func(name string) int64 {
				r := requirement(t, s.Design(), name)
				return count(t, s, system.All(system.On(r.B), system.Not(system.On(r.A))))
			}
			if c.inv3 >= 0 {
				assert.Equal(t, c.inv3, violated("inv3"))
			}
			assert.Equal(t, c.inv4, violated("inv4"))
			for name, holds := range map[string]bool{"inv1": true, "inv2": true, "inv3": false, "inv4": c.inv4 == 0, "inv5": true} {
				want := system.Fails
				if holds {
					want = system.Holds
				}
				assert.Equal(t, want, decide(t, s, name).Outcome, name)
			}
		})
	}
}

// The original table lets two rows fire at once: 8 pairs, given that what is too fast
// runs; the deterministic and the corrected one none.
func TestCruiseControlConflicts(t *testing.T) {
	pairs := func(rows []cruiseRow) []string {
		s := build(t, cruiseText(rows, "activate", "deactivate", "resume"))
		ts := s.Design().Machines[0].Transitions
		number := map[string]int{}
		var name []string
		for _, r := range rows {
			number[r.from]++
			name = append(name, fmt.Sprintf("%s %d", r.from, number[r.from]))
		}
		var out []string
		for i := range ts {
			for j := i + 1; j < len(ts); j++ {
				if ts[i].To == ts[j].To {
					continue
				}
				v, err := s.PossibleAtStep(context.Background(), system.All(system.Enabled(0, i), system.Enabled(0, j)))
				require.NoError(t, err)
				if v.Outcome == system.Holds {
					out = append(out, name[i]+" and "+name[j][strings.LastIndex(name[j], " ")+1:])
				}
			}
		}
		return out
	}
	assert.Equal(t, []string{
		"cruise 1 and 2", "cruise 1 and 4", "cruise 1 and 5", "cruise 2 and 4", "cruise 2 and 5",
		"cruise 3 and 4", "cruise 3 and 5", "override 1 and 2",
	}, pairs(cruiseOriginal))
	assert.Empty(t, pairs(cruiseDeterministic))
	assert.Empty(t, pairs(cruiseCorrected))
}

// The way to a violation reads as a list of moves.
func TestCruiseControlStory(t *testing.T) {
	s := build(t, cruiseText(cruiseDeterministic, "activate", "deactivate", "resume"))
	v := decide(t, s, "inv4")
	require.Equal(t, system.Fails, v.Outcome)
	assert.Contains(t, story(v), "control goes from off to inactive")
	assert.Contains(t, story(v), "control goes from inactive to cruise")
}
