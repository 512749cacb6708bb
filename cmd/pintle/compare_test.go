package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run/report/reporttest"
)

// comparing writes two texts and compares them.
func comparing(t *testing.T, old, fresh string, args ...string) (out, errs string, status int) {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "old.pintle"), []byte(old), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "new.pintle"), []byte(fresh), 0o600))
	t.Chdir(folder)
	var o, e bytes.Buffer
	status = execute(t.Context(), append([]string{"compare", "old.pintle", "new.pintle"}, args...), stdio{in: strings.NewReader(""), out: &o, err: &e})
	return o.String(), e.String(), status
}

func TestCompareSame(t *testing.T) {
	out, errs, status := comparing(t, heaterPlate, strings.Replace(heaterPlate, "resistor high: rail to tap, 1 kohm", "resistor high: rail to tap, 1.2 kohm # another tap", 1))
	assert.Equal(t, 0, status, out+errs)
	assert.Contains(t, out, "the same in behaviour")
	assert.Empty(t, errs)
}

// The drives that are printed pass on the old file and fail on the new one.
func TestCompareDrives(t *testing.T) {
	fresh := strings.Replace(heaterPlate, "made when key is run", "made when key is off", 1)
	out, errs, status := comparing(t, heaterPlate, fresh, "--as", "json", "--option", "trim=plain")
	require.Equal(t, 1, status, out+errs)
	reporttest.Conforms(t, filepath.Join(packageFolder, "../../checker/run/report/compare.schema.json"), []byte(out))
	var doc struct {
		Files []struct {
			Designs []struct {
				Differences []struct{ Name, Was, Is, With, Drive string }
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &doc))
	found := doc.Files[0].Designs[0].Differences
	require.NotEmpty(t, found)
	assert.Equal(t, "K1", found[0].Name)
	for _, d := range found {
		require.NotEmpty(t, d.Drive, d.Name)
		for text, passes := range map[string]bool{heaterPlate: true, fresh: false} {
			require.NoError(t, os.WriteFile("driven.pintle", []byte(text+d.Drive), 0o600))
			var o bytes.Buffer
			status := execute(t.Context(), []string{"check", "driven.pintle", "--only", "scenario-failed"}, stdio{in: strings.NewReader(""), out: &o, err: &o})
			assert.Equal(t, passes, status == 0, "%s\n%s", d.Drive, o.String())
		}
	}
}

func TestCompareBad(t *testing.T) {
	_, errs, status := comparing(t, heaterPlate, "setting key\n")
	assert.Equal(t, 2, status)
	assert.NotEmpty(t, errs)
	var o, e bytes.Buffer
	assert.Equal(t, 2, execute(t.Context(), []string{"compare", "old.pintle"}, stdio{in: strings.NewReader(""), out: &o, err: &e}))
	assert.Contains(t, e.String(), "compare takes the old design and the new one")
}
