package table_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/question/table"
	"pintle/checker/run"
)

// made makes the tables of a text.
func made(t *testing.T, text string, req run.TableRequest) []table.Table {
	t.Helper()
	req.Path, req.Input = run.StandardInput, []byte(text)
	got, err := run.Table(t.Context(), req)
	require.NoError(t, err)
	require.Empty(t, got.Failures)
	require.Len(t, got.Designs, 1)
	require.Empty(t, got.Designs[0].Why)
	return got.Designs[0].Tables
}

// The decision table of an avionics mode (Hoover and Chen's TableWise example, as given in
// SRI-CSL-95-12, section 3.2). * is any value.
var phases, heights, altitudes, holds, targets = []string{"climb", "cruise"}, []string{"low", "high"},
	[]string{"below", "at_it", "above"}, []string{"no", "yes"}, []string{"less", "same", "more"}

const tableWise = `title "Table"
setting phase: climb, cruise
setting height: low, high
setting altitude: below, at_it, above
setting hold: no, yes
setting target: less, same, more
result mode {
    row takeoff: when phase is climb and height is high and altitude is below and hold is no
    row takeoff_2: when phase is climb and height is high and altitude is below and hold is yes and target is more
    row climb: when phase is climb and altitude is not below and hold is no
    row climb_2: when phase is climb and altitude is not below and hold is yes and target is more
    row level: when phase is climb and hold is yes%s
    row cruise: when phase is cruise and altitude is above and hold is yes and target is same
}
`

// mode is the published table, read by hand: the rows that hold in a cell of its 72.
func mode(phase, height, altitude, hold, target string, repaired bool) string {
	var out []string
	row := func(name string, holds bool) {
		if holds {
			out = append(out, name)
		}
	}
	climb, low := phase == "climb", altitude == "below"
	row("takeoff", climb && height == "high" && low && hold == "no")
	row("takeoff_2", climb && height == "high" && low && hold == "yes" && target == "more")
	row("climb", climb && !low && hold == "no")
	row("climb_2", climb && !low && hold == "yes" && target == "more")
	row("level", climb && hold == "yes" && (!repaired || height == "low" && low))
	row("cruise", phase == "cruise" && altitude == "above" && hold == "yes" && target == "same")
	if out == nil {
		return "no row"
	}
	return strings.Join(out, " and ")
}

// allows reports whether a cell of a row that says when it holds allows a value.
func allows(cell, value string) bool {
	if cell == "" {
		return true
	}
	if not, ok := strings.CutPrefix(cell, "not "); ok {
		return not != value
	}
	return slices.Contains(strings.Split(cell, ", "), value)
}

// TestPublishedDecisionTable: of the 72 cells of the avionics table each is in one row, with what
// the published table says there; the overlaps (1 and 4 cells) and gaps (37, and 47 of the
// repaired table) are those that SRI-CSL-95-12 and an enumeration give.
func TestPublishedDecisionTable(t *testing.T) {
	for _, repaired := range []bool{false, true} {
		text := fmt.Sprintf(tableWise, map[bool]string{true: " and height is low and altitude is below"}[repaired])
		tables := made(t, text, run.TableRequest{})
		require.Len(t, tables, 1)
		x := tables[0]
		require.Equal(t, []string{"phase", "height", "altitude", "hold", "target"}, x.Inputs)
		count := map[string]int{}
		for _, p := range phases {
			for _, h := range heights {
				for _, a := range altitudes {
					for _, hold := range holds {
						for _, target := range targets {
							cell := []string{p, h, a, hold, target}
							var said []string
							for _, r := range x.Rows {
								if !slices.ContainsFunc([]int{0, 1, 2, 3, 4}, func(i int) bool { return !allows(r.When[i], cell[i]) }) {
									said = append(said, r.Cells[0].Text())
								}
							}
							assert.Equal(t, []string{mode(p, h, a, hold, target, repaired)}, said, cell)
							if len(said) == 1 {
								count[said[0]]++
							}
						}
					}
				}
			}
		}
		if repaired {
			assert.Equal(t, 47, count["no row"])
			assert.Zero(t, count["takeoff_2 and level"]+count["climb_2 and level"])
		} else {
			assert.Equal(t, 37, count["no row"])
			assert.Equal(t, 1, count["takeoff_2 and level"])
			assert.Equal(t, 4, count["climb_2 and level"])
		}
		assert.LessOrEqual(t, len(x.Rows), 16)
	}
}
