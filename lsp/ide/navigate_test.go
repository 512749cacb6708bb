package ide_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lsp/ide"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/navigate"
)

// Two roots that share the parts of a third file.
var garage = map[string]string{
	"parts.pintle": `## A relay.
part Relay {
    ## Of the winding.
    takes resistance: ohm, 85 ohm unless said
    takes held: condition
    pin 30, 85, 86, 87
    coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V
    contact main: 30 to 87, make, by winding
    contact lever: 30 to 87, make, made when held
    load pilot: 85 to 86, 1 W at 12 V, glows from 15 %
    shows winding, main, pilot
}
`,
	"van.pintle": `use "parts.pintle"
setting key: off, run
option side: left, right
ground block
supply battery: 12 V, from block to stud
fit K1: Relay(resistance 90 ohm, held when key is run)
fit K2: Relay(held when key is off)
only when side is left {
    node extra
}
only when side is right {
    node extra
}
wire W1: battery.stud to K1.30, red
wire W2: K1.87 to extra, red
wire W3: extra to K1.86, red
wire W4: K1.85 to block, brown
modes state: starts in idle {
    mode idle, busy
    from idle to busy: when K1.winding is energised
    from busy to idle: when not K1.main is made
}
result says {
    row yes: when K1.pilot is glowing
    row no: otherwise
}
chart c: follows key {
    row run: extra to block
    row off: open
}
condition on: state is busy or says is yes
require fine: never (on and key is off)
drive fine {
    step: set key run, see on
    step: fail K1.winding open, see not on
}
accept sneak-path: on K1.winding, because "it is so"
`,
	"bus.pintle": `use "parts.pintle" as lib
setting knob: off, on
ground block
supply battery: 24 V, from block to stud
fit K1: lib.Relay(held when knob is on)
wire W1: battery.stud to K1.86, red
wire W2: K1.85 to block, brown
condition pulled: K1.winding is energised
`,
}

func places(list []diag.Place) []string {
	var out []string
	for _, p := range list {
		out = append(out, fmt.Sprintf("%s:%d %s", strings.TrimPrefix(p.File.Name, idetest.Folder), p.File.Position(p.Start).Line, p.File.Text[p.Start:p.End]))
	}
	return out
}

func targetsOf(list []navigate.Target) []string {
	var out []string
	for _, t := range list {
		out = append(out, fmt.Sprintf("%s:%d %s", strings.TrimPrefix(t.File.Name, idetest.Folder), t.File.Position(t.Name.Start).Line, t.File.Text[t.Name.Start:t.Name.End]))
	}
	return out
}

func TestGoing(t *testing.T) {
	for _, c := range []struct{ file, spot, definition, declaration, typed, implementation string }{
		{"van.pintle", "fit K‸1: Relay", "van.pintle:6 K1", "van.pintle:6 K1", "parts.pintle:2 Relay", "van.pintle:6 K1 van.pintle:7 K2 bus.pintle:5 K1"},
		{"van.pintle", "fit K2: Rel‸ay", "parts.pintle:2 Relay", "parts.pintle:2 Relay", "", "van.pintle:6 K1 van.pintle:7 K2 bus.pintle:5 K1"},
		{"van.pintle", "when K1.wind‸ing is energised", "parts.pintle:7 winding", "parts.pintle:11 winding", "parts.pintle:2 Relay", ""},
		{"van.pintle", "stud to K1.3‸0", "parts.pintle:6 30", "parts.pintle:6 30", "parts.pintle:2 Relay", ""},
		{"van.pintle", "Relay(resi‸stance 90", "parts.pintle:4 resistance", "parts.pintle:4 resistance", "parts.pintle:2 Relay", "van.pintle:6 resistance"},
		{"van.pintle", "K1.87 to ext‸ra", "van.pintle:9 extra van.pintle:12 extra", "van.pintle:9 extra van.pintle:12 extra", "", ""},
		{"van.pintle", "state is bus‸y or", "van.pintle:19 busy", "van.pintle:19 busy", "van.pintle:18 state", ""},
		{"van.pintle", `use "par‸ts`, "parts.pintle:1 ", "parts.pintle:1 ", "", ""},
		{"bus.pintle", "K1: li‸b.Relay", "bus.pintle:1 lib", "bus.pintle:1 lib", "", ""},
		{"bus.pintle", "lib.Rel‸ay", "parts.pintle:2 Relay", "parts.pintle:2 Relay", "", "bus.pintle:5 K1 van.pintle:6 K1 van.pintle:7 K2"},
		{"bus.pintle", "24 ‸V", "", "", "", ""},
	} {
		t.Run(c.spot, func(t *testing.T) {
			v := idetest.Files(t, garage, c.file)
			off := idetest.Find(t, v, c.spot)
			d, err := navigate.Definition(t.Context(), v, off)
			require.NoError(t, err)
			assert.Equal(t, c.definition, strings.Join(targetsOf(d), " "))
			d, err = navigate.Declaration(t.Context(), v, off)
			require.NoError(t, err)
			assert.Equal(t, c.declaration, strings.Join(targetsOf(d), " "))
			d, err = navigate.TypeDefinition(t.Context(), v, off)
			require.NoError(t, err)
			assert.Equal(t, c.typed, strings.Join(targetsOf(d), " "))
			d, err = navigate.Implementation(t.Context(), v, off)
			require.NoError(t, err)
			assert.Equal(t, c.implementation, strings.Join(targetsOf(d), " "))
		})
	}
}

func TestReferencesOfAllRoots(t *testing.T) {
	v := idetest.Files(t, garage, "parts.pintle")
	got, err := navigate.References(t.Context(), v, idetest.Find(t, v, "coil win‸ding"), true)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"bus.pintle:8 winding", "parts.pintle:7 winding", "parts.pintle:8 winding", "parts.pintle:11 winding",
		"van.pintle:20 winding", "van.pintle:35 winding", "van.pintle:37 winding",
	}, places(got))
	got, err = navigate.References(t.Context(), v, idetest.Find(t, v, "gl‸ows"), false)
	require.NoError(t, err)
	assert.Equal(t, []string{"van.pintle:24 glowing"}, places(got))
}

func TestHighlights(t *testing.T) {
	v := idetest.Files(t, garage, "van.pintle")
	got, err := navigate.Highlights(t.Context(), v, idetest.Find(t, v, "setting k‸ey"))
	require.NoError(t, err)
	var text []string
	for _, h := range got {
		text = append(text, fmt.Sprint(v.Src().Position(h.Start).Line, map[bool]string{true: " write", false: " read"}[h.Write]))
	}
	assert.Equal(t, []string{"2 write", "6 read", "7 read", "27 read", "32 read", "34 write"}, text)
}

func rename(t *testing.T, file, spot, to string) (map[string]string, error) {
	t.Helper()
	v := idetest.Files(t, garage, file)
	edits, err := navigate.Rename(t.Context(), v, idetest.Find(t, v, spot), to)
	if err != nil {
		return nil, err
	}
	texts := map[string]string{}
	by := map[string][]diag.Edit{}
	for n, text := range garage {
		texts[n] = text
	}
	for _, e := range edits {
		n := strings.TrimPrefix(e.File.Name, idetest.Folder)
		by[n] = append(by[n], e)
	}
	for n, list := range by {
		texts[n] = ide.Apply(texts[n], list)
	}
	return texts, nil
}

func TestRename(t *testing.T) {
	for _, c := range []struct {
		file, spot, to string
		want           []string // pieces that must be there afterwards
		gone           string
	}{
		{"van.pintle", "fit K‸1", "K7", []string{"fit K7: Relay", "K7.30", "K7.winding is", "on K7.winding,", "fail K7.winding"}, ""},
		{"van.pintle", "key: off, r‸un", "go", []string{"key: off, go", "held when key is go", "row go:", "set key go"}, "run"},
		{"van.pintle", "mode id‸le", "rest", []string{"starts in rest", "mode rest, busy", "from rest to busy", "busy to rest"}, "idle"},
		{"van.pintle", "row ye‸s", "surely", []string{"row surely", "says is surely"}, ""},
		{"van.pintle", "block to stu‸d", "post", []string{"from block to post", "battery.post to"}, "12 V, from block to stud"},
		{"van.pintle", "    node ext‸ra\n}\nonly when side is r", "bar", []string{"node bar\n}\nonly when side is right {\n    node bar", "W2: K1.87 to bar"}, "extra"},
		{"van.pintle", "option si‸de", "hand", []string{"hand: left", "only when hand is left", "only when hand is right"}, ""},
		{"van.pintle", "side: le‸ft", "port_side", []string{"side is port_side"}, "left"},
		{"van.pintle", "require fi‸ne", "good", []string{"require good: never", "drive fine"}, ""},
		{"van.pintle", "K1.mai‸n is made", "contacts", []string{"contact contacts: 30", "shows winding, contacts, pilot", "K1.contacts is made"}, "main"},
		{"van.pintle", "Relay(resi‸stance 90", "ohms", []string{"takes ohms: ohm", "85 to 86, ohms, pulls", "Relay(ohms 90 ohm"}, "resistance"},
		{"parts.pintle", "takes he‸ld", "pressed", []string{"made when pressed", "Relay(pressed when key is off)", "lib.Relay(pressed when knob"}, "held"},
		{"parts.pintle", "pin 30, 85, 86, 8‸7", "87a", []string{"pin 30, 85, 86, 87a", "30 to 87a, make, by", "K1.87a to extra"}, ""},
		{"parts.pintle", "part Rel‸ay", "Switch", []string{"part Switch", "fit K1: Switch(", "lib.Switch("}, "Relay("},
		{"parts.pintle", "gl‸ows from", "warms", []string{"warms from 15 %", "K1.pilot is warms"}, "glow"},
		{"bus.pintle", "as li‸b", "p", []string{`"parts.pintle" as p`, "p.Relay("}, "lib"},
	} {
		t.Run(c.spot, func(t *testing.T) {
			got, err := rename(t, c.file, c.spot, c.to)
			require.NoError(t, err)
			all := got["parts.pintle"] + got["van.pintle"] + got["bus.pintle"]
			for _, w := range c.want {
				assert.Contains(t, all, w)
			}
			if c.gone != "" {
				assert.NotContains(t, all, c.gone)
			}
		})
	}
}

func TestRenameRefuses(t *testing.T) {
	for _, c := range []struct{ file, spot, to, why string }{
		{"van.pintle", "fit K‸1", "K2", "there is a fit `K2` already, in line 7"},
		{"van.pintle", "fit K‸1", "a b", "is not a name"},
		{"van.pintle", "fit K‸1", "a.b", "a name holds no dot"},
		{"van.pintle", "fit K‸1", "", "is not a name"},
		{"van.pintle", "fit K‸1", "B+", "only pins"},
		{"van.pintle", "fit K‸1", "3.5", "is a number"},
		{"van.pintle", "fi‸t K1", "x", "is a word of the language"},
		{"van.pintle", "key: off, r‸un", "off", "there is a position `off` already"},
		{"van.pintle", "condition o‸n:", "not", "would"},
		{"parts.pintle", "takes he‸ld", "87", "already"},
		{"parts.pintle", "part Rel‸ay", "K1", "would"}, // van.pintle has a K1
		{"van.pintle", "12 V‸,", "x", "is not the name of anything"},
	} {
		t.Run(c.spot+" "+c.to, func(t *testing.T) {
			_, err := rename(t, c.file, c.spot, c.to)
			var r *ide.RefusedError
			require.Truef(t, errors.As(err, &r), "%v", err)
			assert.Contains(t, r.Why, c.why)
		})
	}
}

func TestPrepareRename(t *testing.T) {
	v := idetest.Files(t, garage, "van.pintle")
	got, err := navigate.PrepareRename(t.Context(), v, idetest.Find(t, v, "stud to K1.3‸0"))
	require.NoError(t, err)
	assert.Equal(t, "30", got.Name)
	assert.Equal(t, "30", v.Src().Text[got.Span.Start:got.Span.End])
}
