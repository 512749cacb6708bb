package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
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

// A folder is compared file by file, and a revision of a repository is read with the parts of then.
func TestCompareSince(t *testing.T) {
	git := outside.Program(t, "git", "git version", "--version")
	dir := t.TempDir()
	t.Chdir(dir)
	do := func(args ...string) {
		c := exec.CommandContext(t.Context(), git, append([]string{"-c", "user.name=nobody", "-c", "user.email=nobody@localhost", "-c", "commit.gpgsign=false"}, args...)...)
		c.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_SYSTEM="+os.DevNull)
		out, err := c.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	write := func(name, text string) { require.NoError(t, os.WriteFile(name, []byte(text), 0o600)) }
	compare := func(args ...string) (string, int) {
		var o bytes.Buffer
		status := execute(t.Context(), append([]string{"compare"}, args...), stdio{in: strings.NewReader(""), out: &o, err: &o})
		return o.String(), status
	}
	const bulb = "part Bulb { pin 1, 2\n load glow: 1 to 2, 21 W at 12 V, lit from 60 %\n shows glow\n}\n"
	part := strings.Replace(bulb, "{ pin", "{\n pin", 1)
	lamp := "use \"bulb.pintle\"\ntitle \"Lamp\"\nground body\nsetting key: off, run\nsupply battery: 12 V, from body to stud\nnode feed\n" +
		"contact S1: battery.stud to feed, make, made when key is run\nfit H1: Bulb\nwire W1: feed to H1.1\nwire W2: H1.2 to body\nrequire lights: H1.glow is lit whenever key is run\n"
	write("bulb.pintle", part)
	write("lamp.pintle", lamp)
	do("init", "-q")
	do("add", "-A")
	do("commit", "-q", "-m", "first")

	out, status := compare("--since", "HEAD", ".")
	assert.Equal(t, 0, status, out)
	assert.Contains(t, out, "the same in behaviour")

	write("bulb.pintle", strings.Replace(part, "lit from 60 %", "lit from 101 %", 1)) // the lamp itself stays as it is
	out, status = compare("--since", "HEAD", "lamp.pintle")
	assert.Equal(t, 1, status, out)
	assert.Contains(t, out, "old: lamp.pintle at HEAD, new: lamp.pintle")
	assert.Contains(t, out, "load H1.glow: was lit, is off now\n    with key is run\n")
	assert.Contains(t, out, "requirement lights: weaker: proved before, fails now")
	assert.Contains(t, out, "load H1.glow: lit from: 60 % before, 101 % now")

	out, status = compare("--since", "nowhere", "lamp.pintle")
	assert.Equal(t, 2, status)
	assert.Contains(t, out, `has no revision "nowhere"`)

	require.NoError(t, os.Mkdir("other", 0o700))
	write("other/bulb.pintle", part)
	write("other/lamp.pintle", lamp+"# the same\n")
	write("other/more.pintle", lamp)
	require.NoError(t, os.Mkdir("here", 0o700))
	write("here/bulb.pintle", part)
	write("here/lamp.pintle", lamp)
	out, status = compare("here", "other")
	assert.Equal(t, 1, status, out)
	assert.Contains(t, out, "the same in behaviour")
	assert.Contains(t, out, "other/more.pintle is new")
}

// A drive can't see what a part does not show, and says so instead of naming it.
func TestCompareHidden(t *testing.T) {
	const hidden = `title "Lamp"
ground body
setting key: off, run
supply battery: 12 V, from body to stud
node feed
part Bulb {
    pin 1, 2
    load glow: 1 to 2, 21 W at 12 V, lit from 60 %
}
contact S1: battery.stud to feed, make, made when key is run
fit H1: Bulb
wire W1: feed to H1.1
wire W2: H1.2 to body
drive difference_1 { step: set key run, see volts at feed above 1 V }
`
	out, _, status := comparing(t, hidden, strings.Replace(hidden, "when key is run", "when key is off", 1))
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "load H1.glow: was off, is lit now\n")
	assert.Contains(t, out, "a drive shows it that would have to name what a part does not show")
	assert.NotContains(t, out, "this drive passes")

	shown := strings.Replace(hidden, "lit from 60 %\n", "lit from 60 %\n    shows glow\n", 1)
	out, _, _ = comparing(t, shown, strings.Replace(shown, "when key is run", "when key is off", 1))
	assert.Contains(t, out, "drive difference__1: {") // the other name is taken
}

func TestCompareMarkdown(t *testing.T) {
	out, _, status := comparing(t, heaterPlate, strings.Replace(heaterPlate, "made when key is run", "made when key is off", 1), "--as", "markdown", "--option", "trim=plain")
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "## Heater plate\n")
	assert.Contains(t, out, "| coil K1 | released | energised | with key is off |\n")
	assert.Contains(t, out, "```pintle\ndrive difference_1: with trim is plain {\n    step: see K1 is not energised at end\n}\n```")
	assert.Contains(t, out, "- requirement warms: weaker: proved before, fails now\n")
}

// A claim that holds within fewer tolerances is no difference in behaviour, and leaves nothing undecided.
// By hand: 100 m of 1 mm2 copper are 1.72 ohm. The hot filament, 12 ohm, gets 10.5 V of the 12 V; the cold
// one, 1.2 ohm, gets 4.9 V, and is lit from 7.2 V.
func TestCompareWeakerClaim(t *testing.T) {
	const old = `setting key: off, run
ground body
supply battery: 12 V, from body to stud
node feed
fuse F1: battery.stud to feed, 5 A
contact S1: feed to on, make, made when key is run
node on, back
load lamp: on to back, 12 W at 12 V, cold 10 %, lit from 60 %
wire W1: back to body, brown, 1 mm2, 1 m
require lit: lamp is lit whenever key is run
`
	out, errs, status := comparing(t, old, strings.Replace(old, "1 mm2, 1 m", "1 mm2, 100 m", 1))
	assert.Equal(t, 1, status, out+errs)
	assert.Contains(t, out, "the same in behaviour")
	assert.Contains(t, out, "requirement lit: weaker")
	assert.NotContains(t, out, "undecided")
}
