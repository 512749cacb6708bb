package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const heaterFan = `title "Heater fan"
setting key: off, run
ground body
supply battery: 12.6 V, from body to stud, inside 10 mohm
fuse F1: battery.stud to rail, 60 A
node rail, on, tap, dip
contact S1: rail to on, make, made when key is run, up to 20 A
fuse F2: rail to tap, 5 A
wire W1: tap to dip, red, 1 mm2, 3 m
load clock: dip to body, 2 W at 12 V, running from 60 %
load fan: on to body, 12 A at 12 V, turning from 50 %
require fan_runs: fan is turning whenever key is run
symptom no_clock "the clock stands": not clock is running
`

// The table says what each fault does, which fuse opens, and takes names that the design has.
func TestFaults(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fan.pintle"), []byte(heaterFan), 0o600))
	text := pintle(t, folder, "faults", "--of", "W1", "fan.pintle")
	assert.Contains(t, text, "depending on what else is switched on: F2 opens first")
	assert.Contains(t, text, "F2, 5 A: carries 30 to 77 times its rating")
	assert.Contains(t, text, "shows: no_clock (the clock stands)")
	assert.NotContains(t, text, "fan_runs", "the fan runs on")
	assert.Contains(t, text, "maker's instructions and local rules")

	var tables []struct {
		Faults []struct {
			Faults, Steps []string
			Silent        bool
			Fails, Shows  []struct{ Name string }
			Opens         []string `json:"fuse_opens"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(pintle(t, folder, "faults", "--as", "json", "fan.pintle")), &tables))
	seen := map[string]bool{}
	for _, r := range tables[0].Faults {
		for i, f := range r.Faults {
			seen[f] = true
			assert.True(t, strings.HasPrefix(r.Steps[i], "fail "), f)
		}
		if r.Faults[0] == "fan shorted" {
			assert.Equal(t, []string{"F1"}, r.Opens)
			assert.Len(t, r.Fails, 1)
		}
	}
	assert.True(t, seen["W1 broken"] && seen["fan shorted"] && seen["F1 blown"])

	rows, err := csv.NewReader(strings.NewReader(pintle(t, folder, "faults", "--as", "csv", "fan.pintle"))).ReadAll()
	require.NoError(t, err)
	assert.Len(t, rows, 1+len(seen))

	assert.NotContains(t, pintle(t, folder, "faults", "--claim", "fan_runs", "fan.pintle"), "W1 shorted to ground")
	var out, errs bytes.Buffer
	execute(t.Context(), []string{"faults", "--symptom", "no_clok", "fan.pintle"}, stdio{in: strings.NewReader(""), out: &out, err: &errs})
	assert.Contains(t, errs.String(), `the nearest is "no_clock"`)
	assert.Empty(t, out.String())

	assert.Contains(t, pintle(t, folder, "faults", "--time", "1ns", "fan.pintle"), "not tried in the time given: undecided")
}
