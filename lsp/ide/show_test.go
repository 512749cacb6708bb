package ide_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/navigate"
	"pintle/lsp/ide/show"
)

func whole(v *ide.View) source.Span { return source.Span{Start: 0, End: len(v.Src().Text)} }

// TestTokens writes each line of an example with the types of its words below it.
func TestTokens(t *testing.T) {
	for _, file := range []string{"kickdown.pintle", "glow_timer.pintle", "parts/relays.pintle"} {
		v := idetest.Examples(t, examples, file)
		list, err := show.Tokens(t.Context(), v, whole(v))
		require.NoError(t, err)
		var b strings.Builder
		line, end := -1, 0
		for _, x := range list {
			require.GreaterOrEqual(t, x.Start, end, "tokens overlap")
			require.Greater(t, x.End, x.Start)
			end = x.End
			if n := v.Src().LineOf(x.Start); n != line {
				line = n
				fmt.Fprintf(&b, "%s\n", v.Src().Line(n))
			}
			fmt.Fprintf(&b, "    %s: %s", v.Src().Text[x.Start:x.End], show.TokenTypes[x.Type])
			for i, m := range show.TokenModifiers {
				if x.Traits&(1<<i) != 0 {
					b.WriteString(" " + m)
				}
			}
			b.WriteByte('\n')
		}
		golden.Check(t, "testdata/tokens/"+strings.ReplaceAll(file, "/", "_")+".txt", b.String())
	}
}

// Tokens of a stretch are those of the whole text that begin in it.
func TestTokensOfARange(t *testing.T) {
	v := idetest.Examples(t, examples, "kickdown.pintle")
	all, err := show.Tokens(t.Context(), v, whole(v))
	require.NoError(t, err)
	in := source.Span{Start: v.Src().LineStart(30), End: v.Src().LineStart(60)}
	part, err := show.Tokens(t.Context(), v, in)
	require.NoError(t, err)
	want := slices.DeleteFunc(slices.Clone(all), func(x show.Token) bool { return x.Start < in.Start || x.Start >= in.End })
	assert.Equal(t, want, part)
	nothing, err := show.Tokens(t.Context(), v, source.Span{Start: 30, End: 30})
	require.NoError(t, err)
	assert.Empty(t, nothing)
}

// TestHints writes the hints into the text of an example, where an editor shows them.
func TestHints(t *testing.T) {
	for _, file := range []string{"kickdown.pintle", "headlamps.pintle", "glow_timer.pintle", "parts/relays.pintle"} {
		v := idetest.Examples(t, examples, file)
		list, err := show.Hints(t.Context(), v, whole(v))
		require.NoError(t, err)
		golden.Check(t, "testdata/hints/"+strings.ReplaceAll(file, "/", "_"), hinted(v, list))
	}
}

func hinted(v *ide.View, list []show.Hint) string {
	var b strings.Builder
	at := 0
	for _, h := range list {
		b.WriteString(v.Src().Text[at:h.At] + "⟦" + h.Label + "⟧")
		at = h.At
	}
	return b.String() + v.Src().Text[at:]
}

const hintText = `quantity heat: 0 to 100 degC
ground g
supply battery: 12 V, from g to plus, inside 10 mohm
node a
part Lamp {
    takes power: W, 5 W unless said
    takes share: count, 1 unless said
    pin 1, 2
    load filament: 1 to 2, power at 12 V, lit from 60 %
}
fit H1: Lamp
fit H2: Lamp(power 10 W)
threshold hot: heat, sets at 80 degC, clears below 70 degC
contact c: a to H1.1, make, made when hot
connector C1: 2 way, plugs onto H1.1, H1.2
wire W1: battery.plus to a, 1 mm2, 1 m
wire W2: H1.2 to g
`

// The lamp has 12 V squared over 5 W, 28.8 ohm; with it in line are 10 mohm of the battery,
// 5 mohm of the contact and twice 17.24 mohm of wire: 416 mA, and 7.172 mV across a wire.
func TestHintsAreSwitchable(t *testing.T) {
	for _, c := range []struct {
		name string
		want ide.HintPreferences
		has  []string
		not  []string
	}{
		{"dead bands", ide.HintPreferences{DeadBands: true}, []string{"70 degC⟦dead band 10 degC⟧"}, []string{"mm2 ", "(power", "1:", " A"}},
		{"arguments", ide.HintPreferences{Arguments: true}, []string{"Lamp⟦(power 5 W, share 1)⟧", "Lamp(power 10 W⟦, share 1⟧)", "⟦1:⟧H1.1, ⟦2:⟧H1.2"}, []string{"⟦dead", "⟦cross"}},
		{"defaults", ide.HintPreferences{Defaults: true}, []string{"wire W2: H1.2 to g⟦cross-section 1 mm2⟧⟦length 1 m⟧"}, []string{"⟦dead", "⟦(power"}},
		{"currents", ide.HintPreferences{Currents: true}, []string{"1 m⟦416 mA⟧"}, []string{" mV⟧", "⟦dead"}},
		{"drops", ide.HintPreferences{Drops: true}, []string{"1 m⟦7.172 mV⟧"}, []string{" mA⟧"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := idetest.Files(t, map[string]string{"main.pintle": hintText}, "main.pintle")
			v.Preferences.InlayHints = c.want
			list, err := show.Hints(t.Context(), v, whole(v))
			require.NoError(t, err)
			text := hinted(v, list)
			for _, s := range c.has {
				assert.Contains(t, text, s)
			}
			for _, s := range c.not {
				for _, h := range list {
					assert.NotContains(t, "⟦"+h.Label+"⟧", s)
				}
			}
		})
	}
	v := idetest.Files(t, map[string]string{"main.pintle": hintText}, "main.pintle")
	v.Preferences.InlayHints = ide.HintPreferences{}
	list, err := show.Hints(t.Context(), v, whole(v))
	require.NoError(t, err)
	assert.Empty(t, list)
}

// Of circuits with more switches than are tried out for a hint there is none; a hover
// tells of them.
func TestHintsOfLargeCircuits(t *testing.T) {
	for _, c := range []struct{ lamps, hints int }{{10, 10}, {11, 0}} {
		var b strings.Builder
		b.WriteString("ground g\nsupply battery: 12 V, from g to plus, inside 10 mohm\n")
		for i := range c.lamps {
			fmt.Fprintf(&b, "setting s%[1]d: off, on\ncontact c%[1]d: battery.plus to n%[1]d, make, made when s%[1]d is on\nnode n%[1]d, m%[1]d\n"+
				"wire W%[1]d: n%[1]d to m%[1]d\nload l%[1]d: m%[1]d to g, 5 W at 12 V\n", i)
		}
		v := idetest.Files(t, map[string]string{"main.pintle": b.String()}, "main.pintle")
		v.Preferences.InlayHints = ide.HintPreferences{Currents: true}
		list, err := show.Hints(t.Context(), v, whole(v))
		require.NoError(t, err)
		assert.Len(t, list, c.hints)
	}
}

// A hint that can be written into the text says nothing new: what was taken is then said,
// the findings stay as they are, and the hint is gone.
func TestHintsCanBeWritten(t *testing.T) {
	v := idetest.Files(t, map[string]string{"main.pintle": hintText}, "main.pintle")
	before := verdicts(t, v)
	list, err := show.Hints(t.Context(), v, whole(v))
	require.NoError(t, err)
	text, n := hintText, 0
	for i := len(list) - 1; i >= 0; i-- {
		if len(list[i].Edits) > 0 {
			text = ide.Apply(text, list[i].Edits)
			n++
		}
	}
	require.Equal(t, 4, n)
	after := idetest.Files(t, map[string]string{"main.pintle": text}, "main.pintle")
	require.Empty(t, after.Tree.Findings, text)
	assert.Equal(t, before, verdicts(t, after))
	list, err = show.Hints(t.Context(), after, whole(after))
	require.NoError(t, err)
	for _, h := range list {
		assert.Empty(t, h.Edits, h.Label)
	}
}

func TestLenses(t *testing.T) {
	v := idetest.Examples(t, examples, "kickdown.pintle")
	list, err := lens.Lenses(t.Context(), v)
	require.NoError(t, err)
	var got []string
	for _, l := range list {
		assert.Equal(t, l.Name, v.Src().Text[l.Start:l.End])
		switch l.Kind {
		case lens.LensDrive:
			got = append(got, "run "+l.Name)
		case lens.LensReferences:
			places, err := navigate.References(t.Context(), v, l.Start, false)
			require.NoError(t, err)
			got = append(got, l.Name+": "+lens.ReferencesTitle(places))
		case lens.LensFaults:
			fit, faults, err := lens.FaultsOf(t.Context(), v, l.Start)
			require.NoError(t, err)
			require.Equal(t, l.Name, fit.Name)
			words := ""
			for _, f := range faults {
				words += "; " + f.Words
			}
			got = append(got, l.Name+": "+lens.FaultsTitle(len(faults))+words)
		}
	}
	golden.Check(t, "testdata/lenses/kickdown.txt", strings.Join(got, "\n")+"\n")

	v.Preferences.CodeLenses = ide.LensPreferences{Drives: true}
	list, err = lens.Lenses(t.Context(), v)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, lens.LensDrive, list[0].Kind)
	v.Preferences.CodeLenses = ide.LensPreferences{}
	list, err = lens.Lenses(t.Context(), v)
	require.NoError(t, err)
	assert.Empty(t, list)
}

const clock = `title "Clock"
ground body
supply battery: 12 V, from body to stud
fuse F1: battery.stud to tap, 5 A
fuse F2: battery.stud to other, 5 A
node tap, other
load clock: tap to body, 2 W at 12 V, running from 60 %
load lamp: other to body, 2 W at 12 V, lit from 60 %
symptom no_clock "the clock stands": not clock is running
require runs: always clock is running, despite any one fault
require lit: always lamp is lit
`

// The lenses of a symptom and of a requirement despite faults lead to the table that the command
// prints: F1 blown stops the clock and F2 blown does not.
func TestFaultTable(t *testing.T) {
	v := idetest.Files(t, map[string]string{"clock.pintle": clock}, "clock.pintle")
	list, err := lens.Lenses(t.Context(), v)
	require.NoError(t, err)
	var seen []string
	for _, l := range list {
		if l.Kind != lens.LensTable {
			continue
		}
		seen = append(seen, l.Name)
		table, err := lens.FaultTableOf(t.Context(), v, l.Start)
		require.NoError(t, err)
		require.NotNil(t, table)
		assert.Contains(t, string(table.Text), "F1 blown")
		assert.NotContains(t, string(table.Text), "F2 blown")
		var tables []struct {
			Faults []struct{ Faults []string }
		}
		require.NoError(t, json.Unmarshal(table.JSON, &tables))
		require.Len(t, tables, 1)
		assert.NotEmpty(t, tables[0].Faults)
	}
	assert.Equal(t, []string{"no_clock", "runs"}, seen)
	none, err := lens.FaultTableOf(t.Context(), v, strings.Index(clock, "F1"))
	require.NoError(t, err)
	assert.Nil(t, none)
}

func TestRunDrive(t *testing.T) {
	v := idetest.Examples(t, examples, "kickdown.pintle")
	out, err := lens.RunDrive(t.Context(), v, "overtaking", 0)
	require.NoError(t, err)
	require.NotNil(t, out)
	assert.True(t, out.Passed())
	assert.Equal(t, "overtaking passes: 8 expectations met in 1 run", out.Summary())
	golden.Check(t, "testdata/drive/overtaking.txt", out.Text)

	inside, err := lens.RunDrive(t.Context(), v, "", strings.Index(v.Src().Text, "drive overtaking {")+30)
	require.NoError(t, err)
	assert.Equal(t, out, inside)
	none, err := lens.RunDrive(t.Context(), v, "nowhere", 0)
	require.NoError(t, err)
	assert.Nil(t, none)
}

// A drive tells the same failure as the finding about it.
func TestRunDriveThatFails(t *testing.T) {
	v, _ := idetest.One(t, "setting key: off, run‸\nground g\nsupply battery: 12 V, from g to plus, inside 10 mohm\n"+
		"contact c: battery.plus to a, make, made when key is run\nnode a\nload lamp: a to g, 5 W at 12 V, lit from 60 %\n"+
		"drive d {\n    step: set key run, see not lamp is lit\n    step: set key off, see not lamp is lit\n}\n")
	out, err := lens.RunDrive(t.Context(), v, "d", 0)
	require.NoError(t, err)
	assert.False(t, out.Passed())
	require.Len(t, out.Runs, 1)
	require.Len(t, out.Runs[0].Failures, 1)
	assert.Equal(t, 8, out.Runs[0].Failures[0].Line)
	found, err := v.Findings(t.Context())
	require.NoError(t, err)
	i := slices.IndexFunc(found, func(f diag.Finding) bool { return f.Rule == "scenario-failed" })
	require.GreaterOrEqual(t, i, 0)
	assert.Contains(t, found[i].Message, out.Runs[0].Failures[0].Seen)
	golden.Check(t, "testdata/drive/failing.txt", out.Text)
}

// A drive never passes over text that could not be read: it is undecided, with the step.
func TestRunDriveThatIsHalfWritten(t *testing.T) {
	const head = `‸setting key: off, run
ground body
supply battery: 12.6 V, from body to stud
fuse F1: battery.stud to feed, 10 A
node feed, p
contact c: feed to p, make, made when key is run
load l: p to body, 2 A at 12 V, lit from 60 %
beat slow: on 1 s, off 1 s, while key is run
`
	for steps, why := range map[string]string{
		"step: set key run, see l is lit\n    step: see l is lit, see": "step 2",
		"step: set key run, see l is lit, see slw is on":               "step 1",
		"step: set key run, see l is lit\n    step tail: see l is":     "tail",
		"step: set key run, see l is lit\n    step: set kye run":       "step 2",
		"step: set key run, see l is lit\n    stp: see l is lit":       "could not be read",
		"step: set key run, see l is lit once":                         "step 1",
		"step: set key run, see l is lit\n    step: wait":              "step 2",
		"step: set key run, see l is lit, set":                         "step 1",
		"step: set key run, see l is lt":                               "step 1",
	} {
		v, _ := idetest.One(t, head+"drive d {\n    "+steps+"\n}\n")
		out, err := lens.RunDrive(t.Context(), v, "d", 0)
		require.NoError(t, err)
		require.NotNil(t, out, steps)
		assert.False(t, out.Passed(), steps)
		assert.Contains(t, out.Summary(), why, steps)
		for _, word := range []string{"passes", "runs to its end"} {
			assert.NotContains(t, out.Text, word, steps)
		}
	}
}

// A drive on a bench of a part that others use is run on its bench.
func TestRunDriveOfABench(t *testing.T) {
	v := idetest.Examples(t, examples, "parts/relays.pintle")
	n := 0
	for _, st := range v.Tree.All() {
		if st.Kind == nil || st.Kind.Name != "drive" {
			continue
		}
		n++
		out, err := lens.RunDrive(t.Context(), v, "", st.Name().Start)
		require.NoError(t, err)
		assert.True(t, out.Passed(), out.Text)
	}
	assert.NotZero(t, n)
}
