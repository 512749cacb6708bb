package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"pintle/checker/checktest/golden"
	"pintle/checker/run/report/reporttest"
)

// TestTablesOfExamples: a table in each form.
func TestTablesOfExamples(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	for _, example := range []string{"charge_lamp", "headlamps", "two_speed_fan"} {
		for form, end := range map[string]string{"text": ".txt", "csv": ".csv", "markdown": ".md"} {
			out, errs, status := said(t, "", "table", "examples/"+example+".pintle", "--as", form)
			assert.Zero(t, status, errs)
			golden.Check(t, "cmd/pintle/testdata/table/"+example+end, out)
		}
		out, errs, status := said(t, "", "table", "examples/"+example+".pintle", "--as", "json")
		assert.Zero(t, status, errs)
		reporttest.Conforms(t, "checker/run/report/table.schema.json", []byte(out))
	}
}

// TestTableOver: the rows speak of nothing but what is named, and the cells say what may be.
func TestTableOver(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	out, errs, status := said(t, "", "table", "examples/two_speed_fan.pintle", "--over", "water", "--show", "M1.rotor", "--show", "volts at M1.1", "--given", "key is run")
	assert.Zero(t, status, errs)
	golden.Check(t, "cmd/pintle/testdata/table/over.txt", out)
	out, _, status = said(t, "", "table", "examples/two_speed_fan.pintle", "--rows", "1", "--show", "M1.rotor")
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "the table of M1.rotor has more than 1 rows; it depends on key, water. Choose fewer of these, for example --over key, or leave out states with --given")
}

func TestTableRefuses(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	const file = "examples/headlamps.pintle"
	for _, c := range []struct {
		says string
		args []string
	}{
		{"table takes the file of a design", nil},
		{"--as takes", []string{file, "--as", "pdf"}},
		{`--over takes settings, quantities, thresholds, coils and modes by name, not "stalck"; the nearest is "stalk"`, []string{file, "--over", "stalck"}},
		{"--show: ", []string{file, "--show", "nothing is lit"}},
		{"--given: ", []string{file, "--given", "("}},
		{"no option", []string{file, "--option", "trim=rich"}},
	} {
		_, errs, status := said(t, "", append([]string{"table"}, c.args...)...)
		assert.Equal(t, 2, status, strings.Join(c.args, " "))
		assert.Contains(t, errs, c.says)
	}
}
