package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/question/ask"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report/reporttest"
)

// A heater plate behind a relay: all its numbers can be worked out on paper.
const heaterPlate = `title "Heater plate"
setting key: off, run
setting button: out, in, springs back from in to out
ground body
supply battery: 12 V, from body to stud, anywhere between 10 V and 15 V
fuse F1: battery.stud to rail, 10 A
node rail, on, feed
contact S1: rail to on, make, made when key is run
contact K1_main: rail to feed, make, by K1
coil K1: on to body, 100 ohm, pulls in at 7 V, drops out at 2 V
resistor plate: feed to body, 4 ohm +-10 %
resistor high: rail to tap, 1 kohm
resistor low: tap to body, 2 kohm
node tap
require warms: current through plate above 2 A whenever key is run
option trim: plain, rich
fault wrong_relay: fail K1_main stuck made
`

// asking runs the verb and gives what it says and its status.
func asking(t *testing.T, args ...string) (out, errs string, status int) {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "plate.pintle"), []byte(heaterPlate), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "many.txt"), []byte("# two questions\nkey is run\n\nwhen K1 is energised\n"), 0o600))
	t.Chdir(folder)
	var o, e bytes.Buffer
	status = execute(t.Context(), append([]string{"ask", "plate.pintle"}, args...), stdio{in: strings.NewReader("key is off\n"), out: &o, err: &e})
	return o.String(), e.String(), status
}

// askEnds are the numbers of a range.
type askEnds struct {
	Low, High struct {
		Value  float64
		Proved bool
		Corner string
		Moves  []string
	}
}

// The numbers are Ohm's law: 12 V on 4 ohm; 10 to 15 V on 3.6 to 4.4 ohm; two thirds of the volts.
func TestAskRanges(t *testing.T) {
	out, errs, status := asking(t, "--option", "trim=plain", "--as", "json", "current through plate", "volts at tap", "current through F1", "volts tap to rail")
	require.Empty(t, errs)
	assert.Equal(t, 0, status)
	var doc struct {
		Answers []struct {
			Replies []struct {
				Outcome         string
				Nominal, Within askEnds
				Tolerances      askEnds `json:"within_tolerances"`
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &doc))
	for i, want := range [][4]float64{
		{0, 3, 0, 15 / 3.6},
		{8, 8, 10 * 2.0 / 3, 10},
		{12.0 / 3000, 3 + 0.12 + 12.0/3000, 10.0 / 3000, 15/3.6 + 0.15 + 15.0/3000},
		{-4, -4, -5, -10.0 / 3},
	} {
		r := doc.Answers[i].Replies[0]
		for k, end := range []struct{ got, want float64 }{
			{r.Nominal.Low.Value, want[0]}, {r.Nominal.High.Value, want[1]}, {r.Tolerances.Low.Value, want[2]}, {r.Tolerances.High.Value, want[3]},
		} {
			// Battery, fuse and contact have some 26 milliohm together.
			assert.InDelta(t, end.want, end.got, 0.01*math.Abs(end.want)+1e-9, "question %d, end %d", i+1, k+1)
		}
		assert.True(t, r.Nominal.Low.Proved && r.Nominal.High.Proved && r.Tolerances.Low.Proved && r.Tolerances.High.Proved, "question %d", i+1)
	}
	assert.Equal(t, "battery at 15 V, plate at 3.6 ohm", doc.Answers[0].Replies[0].Tolerances.High.Corner)
	assert.Contains(t, strings.Join(doc.Answers[0].Replies[0].Tolerances.High.Moves, "\n"), "set key run")
	reporttest.Conforms(t, filepath.Join(packageFolder, "../../checker/run/report/ask.schema.json"), []byte(out))
}

func TestAsk(t *testing.T) {
	out, errs, status := asking(t, "--option", "trim=plain", "K1 is energised and key is off", "K1 is energised", "when K1 is energised", "volts at rail above 14 V")
	require.Empty(t, errs)
	assert.Equal(t, 0, status)
	assert.Contains(t, out, "no reachable state has: K1 is energised and key is off")
	assert.Contains(t, out, "\n  yes\n    at first: key is off\n    1. set key run\n       K1 pulls in\n    then: key is run, K1 is energised\n")
	assert.Contains(t, out, "\n  when key is run\n")
	assert.Contains(t, out, "not at nominal values, but with battery at 15 V")
	again, _, _ := asking(t, "--option", "trim=plain", "K1 is energised and key is off", "K1 is energised", "when K1 is energised", "volts at rail above 14 V")
	assert.Equal(t, out, again)

	out, _, _ = asking(t, "current through plate above 1 A", "when current through plate above 1 A", "--given", "key is off")
	assert.Equal(t, 2, strings.Count(out, "no reachable state has: current through plate above 1 A"), "in either trim")
	assert.Contains(t, out, "never: in no reachable state")
	for _, fault := range []string{"wrong_relay", "K1_main stuck made"} {
		out, _, _ = asking(t, "current through plate above 1 A", "when current through plate above 1 A", "--given", "key is off", "--fault", fault)
		assert.Contains(t, out, "\n    yes\n", fault)
		assert.Contains(t, out, "always: in every reachable state", fault)
		assert.NotContains(t, out, "!", "what a fault is made of in the engine")
	}
	out, _, _ = asking(t, "key is run", "--given", "plate is")
	assert.Empty(t, out)

	out, _, status = asking(t, "--questions", "many.txt", "--option", "trim=rich")
	assert.Equal(t, 0, status)
	assert.Contains(t, out, "\nkey is run\n  yes\n")
	assert.Contains(t, out, "\nwhen K1 is energised\n  when key is run\n")
	out, _, _ = asking(t, "--questions", "-", "--option", "trim=rich")
	assert.Contains(t, out, "\nkey is off\n  yes\n    at first: key is off\n    then: key is off\n")
}

// Bad questions get a sentence, a place in the question, and status 2; nothing is answered.
func TestAskBadly(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"K1 is energized"}, "question 1: `K1` is a coil"},
		{[]string{"key is run", "kex is run"}, "question 2: `kex` is not known here\npintle:     kex is run\npintle:     ^^^"},
		{[]string{"volts at tap above 3 A"}, "write a voltage"},
		{[]string{"key is"}, "is expected here"},
		{[]string{"key is run) or (key is off"}, "never opened"},
		{[]string{"key is run }"}, "without braces"},
		{[]string{"key is run # off"}, "without braces and without `#`"},
		{[]string{"when "}, "the question is empty"},
		{[]string{"volts at"}, "question 1"},
		{[]string{"current through K1_mai"}, "`K1_mai` is not known here"},
		{[]string{"key is run, despite any one fault"}, "question 1"},
		{[]string{"key is run", "--given", "key is walk"}, "--given: "},
		{[]string{"key is run", "--fault", "plate burnt"}, "--fault: "},
		{[]string{"key is run", "--fault", "W9 open"}, "--fault: `W9` is not known here"},
		{[]string{"key is run", "--option", "trim"}, "takes NAME=POSITION"},
		{[]string{"key is run", "--option", "trin=rich"}, `the nearest is "trim"`},
		{[]string{"key is run", "--option", "trim=ritch"}, `the nearest is "rich"`},
		{[]string{}, "there is no question"},
		{[]string{"--questions", "none.txt"}, "none.txt"},
	} {
		out, errs, status := asking(t, c.args...)
		assert.Contains(t, errs, c.want, c.args)
		assert.Empty(t, out, c.args)
		assert.Equal(t, 2, status, c.args)
		assert.NotContains(t, errs, "instead of `)`", c.args)
	}
}

// packageFolder is where the tests of the package begin.
var packageFolder = func() string {
	dir, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	return dir
}()

// The moves of an answer, driven, lead to what was asked: a drive is another reading of the
// meaning than the search over states.
func TestAskDriven(t *testing.T) {
	catalogue, err := rules.All()
	require.NoError(t, err)
	driven := 0
	for file, questions := range map[string][]string{
		"two_speed_fan.pintle": {"M1.rotor is at_speed", "fans is slow and key is run", "fan_box.hot and not fan_box.fast is on", "K2.winding is energised and fan_box.warm"},
	} {
		path := filepath.Join(packageFolder, "../../examples", file)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		r, err := run.Ask(t.Context(), run.AskRequest{
			OpenRequest: run.OpenRequest{Path: filepath.ToSlash(path), Rules: catalogue.Names()}, Questions: questions,
		})
		require.NoError(t, err)
		for _, a := range r.Answers {
			reply := a.Replies[0]
			require.Equal(t, ask.Found, reply.Outcome, a.Text)
			drive := "\ndrive as_answered {\n"
			for _, l := range reply.Moves {
				if l.Step != "" {
					drive += "    step: " + l.Step + "\n"
				}
			}
			drive += "    step: wait 1 ms, see (" + a.Text + ") at end\n}\n"
			folder := t.TempDir()
			require.NoError(t, os.CopyFS(folder, os.DirFS(filepath.Join(packageFolder, "../../examples"))))
			require.NoError(t, os.WriteFile(filepath.Join(folder, "driven.pintle"), append(text, drive...), 0o600))
			out := pintle(t, folder, "check", "--as", "lines", "--only", "scenario-failed", "driven.pintle")
			assert.Empty(t, out, "%s\n%s", a.Text, drive)
			driven++
		}
	}
	assert.Equal(t, 4, driven)
}

// The state of an end is one that no fewer moves lead to: at rest no current runs already.
func TestAskEndsByFewestMoves(t *testing.T) {
	out, errs, status := asking(t, "--option", "trim=plain", "--as", "json", "current through plate", "volts at rail")
	require.Empty(t, errs)
	assert.Equal(t, 0, status)
	var doc struct {
		Answers []struct{ Replies []struct{ Nominal askEnds } }
	}
	require.NoError(t, json.Unmarshal([]byte(out), &doc))
	assert.Len(t, doc.Answers[0].Replies[0].Nominal.Low.Moves, 1)
	assert.Len(t, doc.Answers[0].Replies[0].Nominal.High.Moves, 3) // at first, the key, and the relay
	assert.Len(t, doc.Answers[1].Replies[0].Nominal.High.Moves, 1)
}

// What can be reached from where a drive has come to: modes that only go on, a relay that holds
// itself, and a timer that has to run out first. Worked by hand.
func TestAskFromADrive(t *testing.T) {
	const text = `title "Ratchet"
setting key: off, run
setting button: out, in
quantity oil: 0 to 100 degC, starts at 20 degC
ground body
supply battery: 12 V, from body to stud
contact S1: battery.stud to on, make, made when key is run
node on, hold
contact B1: on to hold, make, made when button is in
coil K1: hold to body, 100 ohm, pulls in at 7 V, drops out at 2 V
contact K1_hold: on to hold, make, by K1
modes stage: starts in first {
    mode first, second, third
    from first to second: when key is run
    from second to third: when key is off
}
drive away {
    step: set key run, see stage is second
    step: set button in, see K1 is energised
    step: set button out, see K1 is energised
    step: set key off, see stage is third
}
drive volts {
    step: set battery 11 V
}
drive warm {
    step: set oil 40 degC
}
`
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "ratchet.pintle"), []byte(text), 0o600))
	t.Chdir(folder)
	ask := func(args ...string) (string, int) {
		var o, e bytes.Buffer
		status := execute(t.Context(), append([]string{"ask", "ratchet.pintle"}, args...), stdio{in: strings.NewReader(""), out: &o, err: &e})
		return o.String() + e.String(), status
	}
	for _, c := range []struct {
		question, from, after, says string
		status                      int
	}{
		{"stage is first", "", "0", "yes", 0},
		{"stage is first", "away", "0", "no reachable state has: stage is first", 0},
		{"stage is second", "away", "0", "no reachable state has: stage is second", 0},
		{"stage is second", "away", "3", "at first: key is run", 0},
		{"stage is third", "away", "1", "1. set key off", 0},
		{"K1 is energised and button is out and key is run", "away", "3", "at first: key is run, button is out", 0},
		{"when stage is third", "away", "0", "always", 0},
		{"oil above 60 degC", "warm", "0", "at first: oil 40 degC", 0},
		{"stage is first", "awy", "0", `the nearest is "away"`, 2},
		{"stage is first", "away", "5", "away has 4 steps", 2},
		{"stage is first", "", "2", "--after-step is for --from", 2},
		{"stage is first", "volts", "0", "undecided: volts sets the volts of a supply", 1},
	} {
		out, status := ask(c.question, "--from", c.from, "--after-step", c.after)
		assert.Contains(t, out, c.says, c)
		assert.Equal(t, c.status, status, c)
	}
}
