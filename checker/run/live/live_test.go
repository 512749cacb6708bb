package live

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/checktest/golden"
	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/model"
	"pintle/lang/unit"
)

const examples = "../../../examples/"

var background = context.Background()

func begin(t *testing.T, path, from string) *Session {
	t.Helper()
	s, err := Begin(t.Context(), run.OpenRequest{Path: examples + path}, from, scenario.Middle)
	require.NoError(t, err)
	return s
}

// All that can be said, on an example.
func TestTalk(t *testing.T) {
	s := begin(t, "glow_timer.pintle", "")
	var b strings.Builder
	for line := range strings.Lines(`moves
set key run
see K1.winding is energised
see wait_lamp.filament is glowing
see plug.1.element is glowing for 3 s
see lamp is lit
wait 5 s
why K1
why K1.winding
why K1.main
why plug.1.element
why key
why W3
why nothing_such
why plug.1.element is glowing and water above 0 degC
fail W3 open
see
see plug.1.element is glowing
mend
mend
set key runn
set water 20 degC,
wait 3 s }
sett key off
undo
ramp water to 20 degC over 3 s, see wait_lamp.filament is lit throughout
wait 20 s, see wait_lamp.filament is lit
list
write frosty_morning
write two words
write 9
write try_it
quit
`) {
		a, err := s.Do(t.Context(), line)
		require.NoError(t, err)
		fmt.Fprintf(&b, "> %s%s%s", line, a.Written, a.Text)
		if a.Refused {
			b.WriteString("(refused)\n")
		}
		if a.Missed {
			b.WriteString("(missed)\n")
		}
		if a.Quit {
			b.WriteString("(quit)\n")
		}
	}
	golden.Check(t, "testdata/talk.txt", b.String())
	assert.False(t, s.Unwritten())
}

// It begins where a drive ends, and in the options that are chosen.
func TestBegin(t *testing.T) {
	s := begin(t, "kickdown.pintle", "overtaking")
	a, err := s.Do(t.Context(), "see kick_valve.winding is energised")
	require.NoError(t, err)
	assert.Equal(t, "yes: kick_valve.winding is energised\n", a.Text)
	a, err = s.Do(t.Context(), "write after")
	require.NoError(t, err)
	assert.Contains(t, a.Written, "drive after: from the state of overtaking {")
	assert.Contains(t, a.Text, "after passes: 1 expectation met")
	_, err = Begin(t.Context(), run.OpenRequest{Path: examples + "kickdown.pintle"}, "overtakin", scenario.Middle)
	assert.ErrorContains(t, err, `the nearest is "overtaking"`)

	text := "title \"T\"\noption trim: plain, rich\nsetting key: off, run\nground body\nsupply b: 12 V, from body to stud\nload l: b.stud to body, 5 W at 12 V, lit from 60 %\n"
	in := run.OpenRequest{Path: run.StandardInput, Input: []byte(text)}
	_, err = Begin(t.Context(), in, "", scenario.Middle)
	assert.ErrorContains(t, err, "choose one with --option: trim plain; trim rich")
	in.Options = map[string]string{"trim": "rich"}
	s, err = Begin(t.Context(), in, "", scenario.Middle)
	require.NoError(t, err)
	_, err = s.Do(t.Context(), "set key run")
	require.NoError(t, err)
	a, err = s.Do(t.Context(), "write w")
	require.NoError(t, err)
	assert.Equal(t, "drive w: with trim is rich {\n    step: set key run\n}\n", a.Written)
}

// line draws a line that may be typed.
func line(t *rapid.T, d *model.Design) string {
	pick := func(of []string) string { return rapid.SampledFrom(of).Draw(t, "of") }
	var out []string
	for i := range d.Settings {
		out = append(out, "set "+d.Settings[i].Path+" "+pick(d.Settings[i].Positions))
	}
	for i := range d.Quantities {
		q := &d.Quantities[i]
		share := unit.Ratio(int64(rapid.IntRange(0, 20).Draw(t, "share")), 20)
		to := unit.FromBase(q.Lo.N.Add(q.Hi.N.Sub(q.Lo.N).Mul(share)), q.Lo.Unit).String()
		at := unit.FromBase(q.Lo.N.Add(q.Hi.N.Sub(q.Lo.N).Mul(unit.Ratio(7, 20))), q.Lo.Unit).String()
		out = append(out, "set "+q.Path+" "+to, "ramp "+q.Path+" to "+to+" over 3 s", "ramp "+q.Path+" to "+to+" over 1 s, wait 2 s", "see "+q.Path+" above "+at)
	}
	wires := []string{}
	for i := range d.Wires {
		wires = append(wires, d.Wires[i].Path)
	}
	w := pick(wires)
	path, word := d.Settings[0].Path, d.Settings[0].Path+" is "+d.Settings[0].Positions[1]
	if n := len(d.Loads); n > 0 {
		l := &d.Loads[rapid.IntRange(0, n-1).Draw(t, "load")]
		path, word = l.Path, l.Path+" is "+l.Levels[0].Name
	}
	out = append(out, "wait 500 ms", "wait 10 s", "fail "+w+" open", "fail "+w+" to ground", "mend "+w, "mend", "undo", "undo",
		"see "+word, "see "+word+" for 2 s", "see ("+word+") in the last 1 s", "why "+path, "set nothing", "see")
	return pick(out)
}

// Whatever is done by hand, and taken back, is written as a drive that runs the same, event by
// event, and in which all that was seen is so.
func TestWhatIsWrittenRunsTheSame(t *testing.T) {
	all, err := filepath.Glob(examples + "*.pintle")
	require.NoError(t, err)
	ran, written := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom(all).Draw(t, "design")
		ran++
		s, err := Begin(background, run.OpenRequest{Path: path}, "", scenario.Middle)
		if err != nil {
			require.ErrorContains(t, err, "choose one")
			return
		}
		for range rapid.IntRange(1, 8).Draw(t, "lines") {
			_, err := s.Do(background, line(t, s.hand.Design()))
			require.NoError(t, err)
		}
		a, err := s.Do(background, "write by_chance")
		require.NoError(t, err)
		if len(s.lines) == 0 {
			require.True(t, a.Refused)
			return
		}
		src := s.req.Source
		text := src.Tree.Src.Text + "\n" + a.Written
		req := s.req
		now := *src
		now.Tree, err = run.Behind(src.Tree, a.Written)
		require.NoError(t, err)
		req.Source = &now
		got, err := run.Drive(background, run.DriveRequest{OpenRequest: req, Names: []string{"by_chance"}, Paces: []scenario.Pace{scenario.Middle}})
		require.NoError(t, err, text)
		require.Len(t, got.Drives, 1)
		r := &got.Drives[0].Outcomes[0].Runs[0]
		standing, why := r.Standing()
		require.Equal(t, drives.Met, standing, why)
		require.Equal(t, told(s.done), told([][]drives.Event{r.Events}), a.Written)
		require.Equal(t, s.ends, r.Ends)
		require.Equal(t, s.hand.Now(background).State.Settings, r.Last.Settings)
		require.Equal(t, s.hand.Now(background).State.Quantities, r.Last.Quantities)
		written++
	})
	assert.Greater(t, 10*written, ran)
}

// told are the events but for the durations of conditions that were asked about: those are there
// from when they were asked, and in the drive from the start.
func told(all [][]drives.Event) []drives.Event {
	return slices.DeleteFunc(slices.Concat(all...), func(e drives.Event) bool { return strings.HasPrefix(e.Text, "(") })
}
