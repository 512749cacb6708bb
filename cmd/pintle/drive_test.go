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

// By hand: what is piped in is done, what can't be read changes nothing, and a drive is written
// whole, to a file that was not there.
func TestDriveByHand(t *testing.T) {
	out, errs, status := driving(t, lampDrives, "set key run\nsee lamp is lit\nwhy lamp\nwrite tried\n", "lamp.pintle", "--live")
	assert.Empty(t, errs)
	assert.Equal(t, 0, status)
	const written = "drive tried {\n    step: set key run\n    step: see lamp is lit\n}\n"
	assert.Contains(t, out, "  S1 is made\n    key is run\n"+written+"# tried passes: 1 expectation met in 1 run\n")
	assert.NotContains(t, out, "> ")

	text, err := os.ReadFile("lamp.pintle")
	require.NoError(t, err)
	assert.Equal(t, lampDrives, string(text))
	out, errs, status = driving(t, lampDrives+written, "", "lamp.pintle", "tried")
	assert.Empty(t, errs)
	assert.Equal(t, 0, status)
	assert.Contains(t, out, "tried passes")

	out, _, status = driving(t, lampDrives, "set kye run\nsee lamp is lit\nset key run\nundo\nundo\nundo\nquit\nset key run\n", "lamp.pintle", "good", "--live")
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "`kye` is not known here; nothing has changed\n  did you mean `key`?\nyes: lamp is lit")
	assert.Contains(t, out, "took back: see lamp is lit\nnothing was done that could be taken back; nothing has changed\n")

	out, _, status = driving(t, lampDrives, "set key run\nwrite a\nsee lamp is lit\nwrite a\n"+strings.Repeat("x", 100_000)+"\nsee\n", "lamp.pintle", "--live", "--write", "new.txt")
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "written to new.txt\n# a runs to its end; it expects nothing\n")
	text, err = os.ReadFile("new.txt")
	require.NoError(t, err)
	assert.Equal(t, "drive a {\n    step: set key run\n    step: see lamp is lit\n}\n", string(text))
	assert.Contains(t, out, "inputs: key run\n")

	require.NoError(t, os.WriteFile("there.txt", []byte("mine"), 0o600))
	var o, e bytes.Buffer
	status = execute(t.Context(), []string{"drive", "lamp.pintle", "--live", "--write", "there.txt"}, stdio{in: strings.NewReader("set key run\nwrite a\n"), out: &o, err: &e})
	assert.Equal(t, 1, status)
	assert.Contains(t, o.String(), "there.txt: there is a file of this name already; nothing was written")
	text, err = os.ReadFile("there.txt")
	require.NoError(t, err)
	assert.Equal(t, "mine", string(text))

	for _, c := range []struct {
		says string
		args []string
	}{
		{"name one at most", []string{"lamp.pintle", "a", "b", "--live"}},
		{"standard input holds the lines", []string{"-", "--live"}},
		{"answers in text", []string{"lamp.pintle", "--live", "--as", "csv"}},
		{"--write is for --live", []string{"lamp.pintle", "--write", "x"}},
		{`the nearest is "good"`, []string{"lamp.pintle", "god", "--live"}},
	} {
		_, errs, status := driving(t, lampDrives, "", c.args...)
		assert.Equal(t, 2, status, c.says)
		assert.Contains(t, errs, c.says)
	}
}
