package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run/report/reporttest"
)

// A heater blower that starts at 60 degC and stops below 50 degC while the key is on.
const blower = `title "Heater blower"
quantity core: -20 to 110 degC, starts at 15 degC
setting key: off, run
ground body
supply battery: 12.6 V, from body to stud, inside 10 mohm
fuse F1: battery.stud to feed, 15 A
node feed, switched
contact S1: feed to switched, make, made when key is run
threshold warm: core, sets at 60 degC, clears below 50 degC
contact S2: switched to W1_end, make, made when warm
node W1_end
wire W1: W1_end to motor_pin, red, 1.5 mm2, 1 m
node motor_pin
load motor: motor_pin to body, 60 W at 12 V, turning from 50 %
`

// blowerLog lets the core warm up and cool down some times; turning reports whether the motor
// turns at a moment, if the description has it turn or not.
func blowerLog(sets, clears float64, turning func(row int, is bool) bool) string {
	b := strings.Builder{}
	b.WriteString("t,core [degC],key,motor\n")
	warm := false
	for i := range 1600 {
		q := 30.0 + float64(i%200)/2
		if i%200 >= 100 {
			q = 130 - float64(i%200)/2
		}
		if q >= sets {
			warm = true
		}
		if q < clears {
			warm = false
		}
		fmt.Fprintf(&b, "%g,%.1f,run,%d\n", float64(i)/2, q, map[bool]int{true: 1}[turning(i, warm)])
	}
	return b.String()
}

func asIs(_ int, is bool) bool { return is }

// replaying runs the verb over a recording and gives what it says and its status.
func replaying(t *testing.T, log string, args ...string) (out, errs string, status int) {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "blower.pintle"), []byte(blower), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "log.csv"), []byte(log), 0o600))
	t.Chdir(folder)
	return replayed(t, append([]string{"blower.pintle", "log.csv"}, args...)...)
}

func replayed(t *testing.T, args ...string) (out, errs string, status int) {
	t.Helper()
	var o, e bytes.Buffer
	status = execute(t.Context(), append([]string{"replay"}, args...), stdio{in: strings.NewReader(""), out: &o, err: &e})
	return o.String(), e.String(), status
}

func TestReplayAgrees(t *testing.T) {
	out, errs, status := replaying(t, blowerLog(60, 50, asIs))
	require.Empty(t, errs)
	assert.Equal(t, 0, status, out)
	assert.Contains(t, out, "agrees with the design")
	assert.Contains(t, out, "motor goes from not turning to turning as core rises\n    described 60 degC (warm sets)\n    recorded  59.4 degC to 60.1 degC, with 99.2 % confidence from 8 passes\n    covers the described value\n")
}

func TestReplayShifted(t *testing.T) {
	out, errs, status := replaying(t, blowerLog(66, 50, asIs), "--no-faults")
	require.Empty(t, errs)
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "motor: described turning, recorded not turning: 8 times, 44 s in all\n  first at 30.5 s (line 63), for 5.5 s\n")
	assert.Contains(t, out, "shifted: 5.4 degC to 6.1 degC higher than described")
}

func TestReplayFaults(t *testing.T) {
	log := blowerLog(60, 50, func(row int, is bool) bool { return is && row < 480 })
	out, _, status := replaying(t, log)
	assert.Equal(t, 1, status)
	assert.Contains(t, out, "these would explain it:\n    - W1 broken")
	assert.NotContains(t, out, "welded")
	// JSON says the same, as its schema says.
	out, _, status = replaying(t, log, "--as", "json")
	assert.Equal(t, 1, status)
	reporttest.Conforms(t, filepath.Join(packageFolder, "../../checker/run/report/replay.schema.json"), []byte(out))
	out, _, _ = replaying(t, log, "--as", "csv")
	assert.True(t, strings.HasPrefix(out, "column,thing,line,from_s,last_s,to_s,described,recorded\nmotor,motor,"), out)
	out, _, _ = replaying(t, log, "--as", "svg")
	for d := xml.NewDecoder(strings.NewReader(out)); ; {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
	}
	assert.Contains(t, out, "turning")
}

// What loggers do to a table, and what is said of it.
func TestReplayTables(t *testing.T) {
	clean := blowerLog(60, 50, asIs)
	for name, c := range map[string]struct {
		log  string
		args []string
		want string
	}{
		"a byte order mark and CRLF": {log: "\ufeff" + strings.ReplaceAll(clean, "\n", "\r\n"), want: "1600 rows"},
		"a title in the first line":  {log: "Logger 7, drive 3\n" + clean, want: "1600 rows"},
		"a decimal comma":            {log: strings.ReplaceAll(strings.ReplaceAll(clean, ",", ";"), ".", ","), want: "1600 rows"},
		"a line of units":            {log: strings.Replace(clean, "motor\n", "motor\ns,degC,,\n", 1), want: "1600 rows"},
		"other names": {
			log:  strings.Replace(clean, "t,core [degC],key,motor", "Zeit,ECT,Zuendung,Geblaese", 1),
			args: []string{"--time", "Zeit", "--map", "ECT=core", "--map", "Zuendung=key", "--map", "Geblaese=motor is turning"}, want: "1600 rows",
		},
		"numbers for positions": {
			log: strings.ReplaceAll(clean, ",run,", ",2,"), args: []string{"--words", "key: 0=off, 2=run"}, want: "1600 rows",
		},
		"values missing": {log: strings.ReplaceAll(strings.ReplaceAll(clean, ",45.0,", ",,"), ",55.5,", ",NaN,"), want: "32 rows have no value"},
		"a gap":          {log: clean + "1000,30.0,run,0\n", want: "the recording is interrupted before line 1602, for 3m20.5s"},
		"a clock that runs back": {
			log: clean + "10,30.0,run,0\n", want: "the clock runs back in line 1602",
		},
		"the same time twice": {log: clean + "799.5,30.0,run,0\n", want: "line 1602 has the time of the row before"},
		"blank lines":         {log: strings.Replace(clean, "\n1,", "\n\n1,", 1), want: "1600 rows"},
		"a column for nothing": {
			log: strings.Replace(clean, ",motor\n", ",motor,mood\n", 1), args: []string{"--map", "mood=-"}, want: "mapped to nothing: mood",
		},
		"a setting without a column": {
			log: strings.ReplaceAll(strings.ReplaceAll(clean, ",run,", ","), ",key,", ","), args: []string{"--hold", "key=run"}, want: "held: key at run",
		},
		"an input without a column": {log: strings.ReplaceAll(strings.ReplaceAll(clean, ",run,", ","), ",key,", ","), want: "without a column, so taken anywhere: key"},
	} {
		t.Run(name, func(t *testing.T) {
			out, errs, status := replaying(t, c.log, c.args...)
			assert.Empty(t, errs)
			assert.Equal(t, 0, status, out)
			assert.Contains(t, out, c.want)
			assert.NotContains(t, out, "departs")
		})
	}
}

// Bad input gives a sentence and status 2.
func TestReplayRefuses(t *testing.T) {
	clean := blowerLog(60, 50, asIs)
	for want, c := range map[string]struct {
		log  string
		args []string
	}{
		"the recording is empty":                         {log: ""},
		"line 1: no column of the first":                 {log: "a,b\n1,2\n"},
		"no row comes behind the header":                 {log: "t,core,motor\n"},
		"line 3: column \"core [degC]\": \"warm\" is no": {log: strings.Replace(clean, ",30.5,", ",warm,", 1)},
		"line 2: column \"key\": \"on\" is none of its words; say which of off, run it means: --words \"key: on=…\"": {log: strings.ReplaceAll(clean, ",run,", ",on,")},
		"is no time":            {log: strings.Replace(clean, "\n1,", "\nnoon,", 1)},
		"no column is the time": {log: strings.Replace(clean, "t,", "u,", 1)},
		"no column records what the design decides":                               {log: "t,core\n1,2\n"},
		"is no unit that there is":                                                {log: clean, args: []string{"--accuracy", "core [degC]: 3 parsec"}},
		"the design has nothing that is called \"cora\"; the nearest is \"core\"": {log: clean, args: []string{"--map", "core [degC]=cora"}},
		"the recording has no column \"ECT\"":                                     {log: clean, args: []string{"--map", "ECT=core"}},
		"key has a column and can't be held":                                      {log: clean, args: []string{"--hold", "key=run"}},
		"--map takes COLUMN=THING":                                                {log: clean, args: []string{"--map", "core"}},
		"both mapped to core":                                                     {log: strings.Replace(clean, "t,", "t,", 1), args: []string{"--map", "key=core"}},
		"battery is a supply":                                                     {log: clean, args: []string{"--map", "key=battery"}},
		"a quotation mark is not closed":                                          {log: clean + "\"800,1,run,0\n"},
		"the file is UTF-16":                                                      {log: "\xff\xfet\x00"},
		"within: \"soon\" is no number with a unit":                               {log: clean, args: []string{"--within", "soon"}},
		"within: 3 V is a voltage, not a time":                                    {log: clean, args: []string{"--within", "3 V"}},
	} {
		out, errs, status := replaying(t, c.log, c.args...)
		assert.Equal(t, 2, status, "%s\n%s", want, out)
		assert.Contains(t, errs, want)
		assert.Empty(t, out)
	}
	_, errs, status := replayed(t, "blower.pintle", "nowhere.csv")
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "nowhere.csv")
}

// A mapping file beside the recording says what flags can, and more.
func TestReplayMapping(t *testing.T) {
	log := strings.Replace(blowerLog(60, 50, asIs), "t,core [degC],key,motor", "ms,ECT,K,M", 1)
	write := func(text string) (out, errs string, status int) {
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, "blower.pintle"), []byte(blower), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(folder, "log.csv"), []byte(log), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(folder, "log.toml"), []byte(text), 0o600))
		t.Chdir(folder)
		return replayed(t, "blower.pintle", "log.csv", "--no-faults")
	}
	const whole = `time = "ms"
time_unit = "ms"
within = "1 s"
[[column]]
name = "ECT"
thing = "core"
unit = "degF"
scale = 1.8
offset = 32
accuracy = "1 degC"
resolution = "0.5 degC"
[[column]]
name = "K"
thing = "key"
words = { "run" = "run" }
[[column]]
name = "M"
thing = "motor"
`
	out, errs, status := write(whole)
	require.Empty(t, errs)
	assert.Equal(t, 0, status)
	assert.Contains(t, out, "over 799.5 ms")
	_, errs, status = write(strings.Replace(whole, "thing", "think", 1))
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "log.toml: nothing is called column.think")
	_, errs, status = write("time = ")
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "log.toml: line 1:")
}
