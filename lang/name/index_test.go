package name_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/elaborate"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

const root = `use "parts.pintle" as lib
quantity coolant: -40 to 150 degC
setting key: off, run
option market: home, export
ground block
supply battery: 12 V, from block to stud
## The fan's own relay.
fit K1: lib.Relay(resistance 90 ohm)
fit plug: 2 of lib.Relay(resistance 80 ohm)
fit box: {
    pin 1, 2, 3
    powered 1 to 2: works from 7 V
    input temp: at 3, reads sender, counts as 0 degC while disconnected
    threshold hot: temp, sets at 95 degC, clears at 90 degC
    modes state: starts in idle {
        mode idle, busy
        from idle to busy: when hot
    }
}
fit lamp: {
    pin 1, 2
    load bulb: 1 to 2, 5 W at 12 V, lit from 60 %
}
wire W1: battery.stud to K1.30
wire W2: each plug.30 to lamp.1
connector C1: 2 way
wire W3: C1.2 to K1.86
condition going: key is run and lamp.bulb is lit and K1.winding is energised
result r {
    row yes: when going
    row no: otherwise
}
bands b: over coolant {
    band low: -40 to 50 degC, box.state is idle
    band high: 50 to 150 degC, keeps, enters as low
}
require q: never (b is high and r is yes)
drive d {
    step: set key run, set coolant 20 degC
}
drive e: from the state of d {
    step: fail K1.main stuck made
}
only when market is home {
    node extra
}
accept unused: on q, because "for the test"
`

const parts = `part Relay {
    takes resistance: ohm
    pin 30, 85, 86, 87
    coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V
    contact main: 30 to 87, make
    shows winding
}
`

type two struct{ root, parts *syntax.File }

func (l two) Load(_ context.Context, _ *syntax.File, p string) (*syntax.File, error) {
	if p == "parts.pintle" {
		return l.parts, nil
	}
	return nil, errors.New("there is no such file")
}

func index(t *testing.T) (*name.Index, two) {
	t.Helper()
	l := two{
		syntax.Parse(source.NewFile("root.pintle", root), nil),
		syntax.Parse(source.NewFile("parts.pintle", parts), nil),
	}
	require.Empty(t, l.root.Findings)
	require.Empty(t, l.parts.Findings)
	r := elaborate.Elaborate(context.Background(), l.root, l)
	require.Empty(t, r.Findings)
	return r.Index, l
}

// at is the offset of the word marked by «» in a stretch of the text.
func at(t *testing.T, text, marked string) int {
	t.Helper()
	before, rest, ok := strings.Cut(marked, "«")
	require.True(t, ok)
	whole := before + strings.Replace(rest, "»", "", 1)
	i := strings.Index(text, whole)
	require.GreaterOrEqual(t, i, 0, whole)
	return i + len(before)
}

func TestDefinitionAt(t *testing.T) {
	x, l := index(t)
	for _, c := range []struct{ marked, path, word string }{
		{`fit K1: «lib».Relay`, "lib", "file"},
		{`fit K1: lib.«Relay»`, "Relay", "part"},
		{`Relay(«resistance» 90`, "Relay.resistance", "takes"},
		{`fit «K1»: lib`, "K1", "fit"},
		{`battery.«stud» to K1`, "battery.stud", "terminal"},
		{`to «K1».30`, "K1", "fit"},
		{`to K1.«30»`, "Relay.30", "pin"},
		{`each «plug».30`, "plug", "fit"},
		{`each plug.«30»`, "Relay.30", "pin"},
		{`«C1».2 to K1`, "C1", "connector"},
		{`«key» is run and`, "key", "setting"},
		{`key is «run» and`, "key.run", "position"},
		{`lamp.bulb is «lit» and`, "lamp.bulb.lit", "level"},
		{`K1.«winding» is energised`, "Relay.winding", "coil"},
		{`threshold hot: «temp»`, "box.temp", "input"},
		{`starts in «idle»`, "box.state.idle", "mode"},
		{`from «idle» to busy`, "box.state.idle", "mode"},
		{`from idle to «busy»`, "box.state.busy", "mode"},
		{`when «hot»`, "box.hot", "threshold"},
		{`when «going»`, "going", "condition"},
		{`over «coolant» {`, "coolant", "quantity"},
		{`box.state is «idle»`, "box.state.idle", "mode"},
		{`enters as «low»`, "b.low", "band"},
		{`b is «high» and`, "b.high", "band"},
		{`r is «yes»)`, "r.yes", "row"},
		{`set key «run»`, "key.run", "position"},
		{`the state of «d» {`, "d", "drive"},
		{`fail K1.«main» stuck`, "Relay.main", "contact"},
		{`only when «market» is`, "market", "option"},
		{`only when market is «home»`, "market.home", "position"},
		{`accept unused: on «q»`, "q", "require"},
		{`powered «1» to 2`, "box.1", "pin"},
	} {
		d, span := x.DefinitionAt(l.root.Src, at(t, root, c.marked))
		if assert.NotNil(t, d, c.marked) {
			assert.Equal(t, c.path, d.Path(), c.marked)
			assert.Equal(t, c.word, d.Word(), c.marked)
			assert.Equal(t, d.Name, root[span.Start:span.End], c.marked)
		}
	}
	d, _ := x.DefinitionAt(l.parts.Src, at(t, parts, `85 to 86, «resistance», pulls`))
	require.NotNil(t, d)
	assert.Equal(t, "Relay.resistance", d.Path())
	d, _ = x.DefinitionAt(l.parts.Src, at(t, parts, `shows «winding»`))
	require.NotNil(t, d)
	assert.Equal(t, "Relay.winding", d.Path())
	d, _ = x.DefinitionAt(l.root.Src, at(t, root, `never «(»b is`))
	assert.Nil(t, d)
}

func TestUsesOf(t *testing.T) {
	x, l := index(t)
	uses := func(f *syntax.File, text, marked string) []string {
		d, _ := x.DefinitionAt(f.Src, at(t, text, marked))
		require.NotNil(t, d, marked)
		var out []string
		for _, p := range x.UsesOf(d) {
			out = append(out, p.File.Name+" "+strings.TrimSpace(p.File.Line(p.File.LineOf(p.Start))))
		}
		return out
	}
	assert.Equal(t, []string{
		"root.pintle condition going: key is run and lamp.bulb is lit and K1.winding is energised",
		"root.pintle step: set key run, set coolant 20 degC",
	}, uses(l.root, root, `setting key: off, «run»`))
	assert.Equal(t, []string{
		"root.pintle fit K1: lib.Relay(resistance 90 ohm)",
		"root.pintle fit plug: 2 of lib.Relay(resistance 80 ohm)",
		"parts.pintle coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V",
	}, uses(l.parts, parts, `takes «resistance»`))
	assert.Equal(t, []string{"root.pintle wire W3: C1.2 to K1.86", "parts.pintle coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V"},
		uses(l.parts, parts, `85, «86», 87`))
}

func TestEveryUseNamesItsDefinition(t *testing.T) {
	x, l := index(t)
	for _, f := range []*syntax.File{l.root, l.parts} {
		for _, u := range x.Uses(f.Src) {
			assert.Equal(t, u.Def.Name, f.Src.Text[u.Start:u.End])
		}
		for _, d := range x.Definitions(f.Src) {
			assert.Equal(t, d.Name, f.Src.Text[d.NamePlace.Start:d.NamePlace.End])
			got, _ := x.DefinitionAt(f.Src, d.NamePlace.Start)
			assert.Equal(t, d.Path(), got.Path())
		}
	}
}

func names(defs []*name.Def) []string {
	var out []string
	for _, d := range defs {
		out = append(out, d.Name)
	}
	return out
}

func TestInScope(t *testing.T) {
	x, l := index(t)
	inBox := names(x.InScope(l.root.Src, at(t, root, `threshold hot: «temp»`)))
	assert.Subset(t, inBox, []string{"1", "temp", "hot", "state", "coolant", "key", "box"})
	assert.NotContains(t, inBox, "idle")
	top := names(x.InScope(l.root.Src, at(t, root, `wire «W1»`)))
	assert.Subset(t, top, []string{"coolant", "lib", "W2", "extra"})
	assert.NotContains(t, top, "temp")
	inPart := names(x.InScope(l.parts.Src, at(t, parts, `coil «winding»`)))
	assert.ElementsMatch(t, []string{"resistance", "30", "85", "86", "87", "winding", "main", "Relay"}, inPart)
	assert.NotEmpty(t, names(x.InScope(l.root.Src, at(t, root, `when «going»`))))
}

func TestMembers(t *testing.T) {
	x, l := index(t)
	def := func(marked string) *name.Def {
		d, _ := x.DefinitionAt(l.root.Src, at(t, root, marked))
		require.NotNil(t, d)
		return d
	}
	assert.ElementsMatch(t, []string{"30", "85", "86", "87", "winding"}, names(name.Members(def(`fit «K1»`))))
	assert.Equal(t, []string{"Relay"}, names(name.Members(def(`as «lib»`))))
	assert.Equal(t, []string{"stud"}, names(name.Members(def(`supply «battery»`))))
	assert.Equal(t, []string{"off", "run"}, names(name.Members(def(`setting «key»`))))
	assert.Equal(t, []string{"idle", "busy"}, names(name.Members(def(`modes «state»`))))
	assert.Contains(t, names(name.Members(def(`fit «box»`))), "hot")
	require.NotNil(t, name.PartOf(def(`fit «K1»`)))
	assert.Equal(t, "The fan's own relay.", def(`fit «K1»`).Doc())
}
