package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lamp behind a switch, and drives that come to each exit status.
const lampDrives = `title "Lamp"
setting key: off, run
ground body
supply battery: 12 V, from body to stud
contact S1: battery.stud to on, make, made when key is run
node on
load lamp: on to body, 5 W at 12 V, lit from 60 %
drive good {
    step: set key run, see lamp is lit
}
`

// driving runs the verb on a text and gives what it says and its status.
func driving(t *testing.T, text, input string, args ...string) (out, errs string, status int) {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "lamp.pintle"), []byte(text), 0o600))
	t.Chdir(folder)
	var o, e bytes.Buffer
	status = execute(t.Context(), append([]string{"drive"}, args...), stdio{in: strings.NewReader(input), out: &o, err: &e})
	return o.String(), e.String(), status
}

func TestDriveStatus(t *testing.T) {
	bad := lampDrives + "drive bad {\n    step: set key run, see not lamp is lit\n}\n"
	half := lampDrives + "drive half {\n    step: set kye run, see lamp is lit\n}\n"
	for _, c := range []struct {
		text, says string
		args       []string
		status     int
	}{
		{lampDrives, "good passes: 1 expectation met in 1 run", []string{"lamp.pintle"}, 0},
		{bad, "bad fails in step 1", []string{"lamp.pintle"}, 1},
		{bad, "good passes", []string{"lamp.pintle", "good"}, 0},
		{half, "half is undecided", []string{"lamp.pintle"}, 2},
		{bad, `the nearest is "bad"`, []string{"lamp.pintle", "bda"}, 2},
		{bad, "drive takes the file", nil, 2},
		{bad, "--as takes", []string{"lamp.pintle", "--as", "mp4"}, 2},
		{bad, "name one drive: good, bad", []string{"lamp.pintle", "--as", "vcd"}, 2},
		{bad, "$enddefinitions $end\n#0\n", []string{"lamp.pintle", "good", "--as", "vcd", "--show", "volts at on"}, 0},
		{bad, "bad,,middle,step 1,0,run,lit,0.41", []string{"lamp.pintle", "--as", "csv", "--show", "current through lamp"}, 1},
		{bad, "--pace takes middle", []string{"lamp.pintle", "--pace", "slow"}, 2},
		{bad, "this is no measure", []string{"lamp.pintle", "--show", "lamp is lit"}, 2},
		{bad, "nowhere.pintle", []string{"nowhere.pintle"}, 2},
	} {
		out, errs, status := driving(t, c.text, "", c.args...)
		assert.Equal(t, c.status, status, c.says)
		assert.Contains(t, out+errs, c.says)
	}
}
