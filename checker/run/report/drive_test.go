package report

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/checker/run/report/reporttest"
)

func driving(t *testing.T, req run.DriveRequest) *run.DriveResult {
	t.Helper()
	r, err := run.Drive(t.Context(), req)
	require.NoError(t, err)
	return r
}

func written(t *testing.T, as string, r *run.DriveResult) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteDrive(&b, as, r))
	return b.String()
}

// The time lines of all examples.
func TestDrivesOfExamples(t *testing.T) {
	all, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, path := range all {
		r := driving(t, run.DriveRequest{OpenRequest: run.OpenRequest{Path: path}})
		assert.True(t, r.Met(), path)
		name := strings.TrimSuffix(filepath.Base(path), ".pintle")
		golden.Check(t, "testdata/drive/"+name+".txt", written(t, "text", r))
		reporttest.Conforms(t, "drive.schema.json", []byte(written(t, "json", r)))
	}
}

// A design whose drives come to everything that a drive can come to.
const allSorts = `title "Blower"
setting key: off, run
option trim: plain, rich
ground body
supply battery: 12 V, from body to stud, anywhere between 10 V and 15 V
fuse F1: battery.stud to rail, 10 A
node rail, on
contact S1: rail to on, make, made when key is run
fit box: {
    pin 15, 31, warn
    powered 15 to 31: works from 6 V
    input ignition: at 15, reads volts, low below 4 V, high above 6 V
    timer later: runs while ignition is high, lasts 2 to 4 s
    driver out: feeds warn from 15, when later is done, up to 5 A
}
wire W2: on to box.15
wire W3: box.31 to body
load lamp: box.warn to body, 5 W at 12 V, glowing from 10 %, lit from 60 %
load blower: on to body, 60 W at 12 V, blowing from 50 %
## The lamp lights in time.
drive slow {
    step: set key run, wait 3 s, see lamp is lit
    step: wait 2 s, see lamp is lit, see volts at on above 11 V
}
drive short {
    step: set key run, fail blower shorted, see F1 is blown
    step: set battery 11 V, see lamp is lit
    step: mend blower, mend F1, wait 5 s, see lamp is lit throughout
}
drive plain_only: with trim is plain {
    step: set key run, see not lamp is lit
    step: set kye off
    step: see lamp is lit
}
`

func TestDriveOutcomes(t *testing.T) {
	r := driving(t, run.DriveRequest{OpenRequest: run.OpenRequest{Path: run.StandardInput, Input: []byte(allSorts)}})
	golden.Check(t, "testdata/drive/outcomes.txt", written(t, "text", r))
	reporttest.Conforms(t, "drive.schema.json", []byte(written(t, "json", r)))
	var got []drives.Standing
	for i := range r.Drives {
		s, _, _ := r.Drives[i].Standing()
		got = append(got, s)
	}
	assert.Equal(t, []drives.Standing{drives.Missed, drives.Missed, drives.Undecided}, got)
	assert.False(t, r.Met())
	assert.NotEmpty(t, r.Failures)
}

// What can't be run is refused in a sentence.
func TestDriveRefuses(t *testing.T) {
	in := run.OpenRequest{Path: run.StandardInput, Input: []byte(allSorts)}
	for want, req := range map[string]run.DriveRequest{
		`the nearest is "slow"`:          {OpenRequest: in, Names: []string{"slo"}},
		"this is no measure":             {OpenRequest: in, Show: []string{"lamp is lit"}},
		`no option`:                      {OpenRequest: run.OpenRequest{Path: in.Path, Input: in.Input, Options: map[string]string{"trm": "rich"}}},
		"is not meant for these options": {OpenRequest: run.OpenRequest{Path: in.Path, Input: in.Input, Options: map[string]string{"trim": "rich"}}, Names: []string{"plain_only"}},
		"has no drive":                   {OpenRequest: run.OpenRequest{Path: in.Path, Input: []byte("title \"T\"\nsetting key: off, run\n")}},
	} {
		_, err := run.Drive(t.Context(), req)
		assert.ErrorContains(t, err, want)
	}
}

// A plot of each form of run; what happens at one moment can't be drawn.
func TestDriveSVG(t *testing.T) {
	in := run.OpenRequest{Path: run.StandardInput, Input: []byte(allSorts), Options: map[string]string{"trim": "rich"}}
	r := driving(t, run.DriveRequest{OpenRequest: in, Names: []string{"slow"}, One: true, Paces: []scenario.Pace{scenario.Longest}, Show: []string{"current through lamp"}})
	golden.Check(t, "testdata/drive/slow.svg", written(t, "svg", r))
	_, err := run.Drive(t.Context(), run.DriveRequest{OpenRequest: in, One: true})
	assert.ErrorContains(t, err, "name one drive: slow, short")
	in.Input = []byte(allSorts[:strings.Index(allSorts, "## The lamp")] + "drive now {\n    step: set key run, see blower is blowing\n}\n")
	r = driving(t, run.DriveRequest{OpenRequest: in, One: true})
	assert.ErrorContains(t, WriteDrive(io.Discard, "svg", r), "happens at one moment")
}
