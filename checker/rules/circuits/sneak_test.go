package circuits_test

import (
	"context"
	"embed"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/checker/rules/circuits"
	"pintle/checker/run"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Published sneak circuits, in the folder published: the rules find them, and the numbers
// are held against values computed with ngspice: from the text of a design, through the
// language, to volts and amperes. What users see tells stories of its own.

//go:embed published
var published embed.FS

// TestPublishedAreFound: each of them gets what is marked in it, and nothing else.
func TestPublishedAreFound(t *testing.T) {
	c, err := rule.NewCatalogue(circuits.Group())
	require.NoError(t, err)
	files, err := fs.Glob(published, "published/*.pintle")
	require.NoError(t, err)
	require.Len(t, files, 7)
	for _, f := range files {
		t.Run(f, func(t *testing.T) { checktest.Marked(t, c, published, f) })
	}
}

// solved is a fixture with some of its elements conducting.
type solved struct {
	t *testing.T
	d *model.Design
	*circuit.Solution
}

// fixture solves the design of a fixture with exactly the named contacts closed.
func fixture(t *testing.T, name string, closed ...string) solved {
	t.Helper()
	files := fs.FS(circuits.Group().Fixtures)
	if strings.HasPrefix(name, "published/") {
		files = published
	}
	text, err := fs.ReadFile(files, name)
	require.NoError(t, err)
	root := syntax.Parse(source.NewFile(name, string(text)), nil)
	read := elaborate.Elaborate(context.Background(), root, run.NewLoader(run.InFS(files), root))
	require.Empty(t, read.Findings)
	require.Len(t, read.Designs, 1)
	c, err := circuit.New(read.Designs[0], nil)
	require.NoError(t, err)
	found := 0
	is := map[circuit.Switch]bool{}
	for i, w := range c.Switches() {
		for _, e := range w.Elements {
			for _, name := range closed {
				if path := c.Element(e).Path; path == name || strings.HasPrefix(path, name+".") {
					is[circuit.Switch(i)] = true
					found++
				}
			}
		}
	}
	require.Equal(t, len(closed), found, "each contact is known by its own switch")
	s, err := c.Solve(context.Background(), func(w circuit.Switch) bool { return is[w] }, circuit.Nominal)
	require.NoError(t, err)
	return solved{t, read.Designs[0], s}
}

func (s solved) element(path string) model.ElementID {
	s.t.Helper()
	for i := range s.d.Elements {
		if s.d.Elements[i].Path == path {
			return model.ElementID(i)
		}
	}
	require.Fail(s.t, "no element is called "+path)
	return model.None
}

func (s solved) amps(path string) float64 { s.t.Helper(); return s.Amps(s.element(path)) }

func (s solved) volts(path string) float64 {
	s.t.Helper()
	for i := range s.d.Nodes {
		if s.d.Nodes[i].Path == path {
			return s.Volts(model.NodeID(i))
		}
	}
	require.Fail(s.t, "no node is called "+path)
	return 0
}

// at scales what is solved to so many volts at a node: the circuits without diodes are
// linear, and the published ones leave out fuses and the inside of the battery.
func (s solved) at(node string, volts float64) float64 { s.t.Helper(); return volts / s.volts(node) }

// The "sneak circuits" page of a car maker's diagnostic aids: four filaments of 2.618 ohm
// at 12 V, contacts of 1 mohm; computed with ngspice.
func TestHeadlamps(t *testing.T) {
	s := fixture(t, "published/headlamps.pintle", "dip_switch")
	k := s.at("right", 12)
	assert.InDelta(t, 4.581, k*s.amps("right_dip"), 5e-4)
	assert.InDelta(t, 1.527, k*s.amps("left_dip"), 5e-4)
	assert.InDelta(t, -1.527, k*s.amps("left_main"), 5e-4, "backwards")
	assert.InDelta(t, 6.1, k*k*s.amps("left_dip")*s.amps("left_dip")*2.618, 0.05, "W")
	assert.InDelta(t, 54.9, k*k*s.amps("right_dip")*s.amps("right_dip")*2.618, 0.05, "W")
	assert.InDelta(t, 8.002, k*s.volts("main_return"), 5e-4)
	assert.InDelta(t, 4.004, k*s.volts("left"), 5e-4)

	s = fixture(t, "published/headlamps.pintle", "dip_switch", "left_link")
	assert.InDelta(t, 0, s.amps("left_main"), 0.005, "with both fuses whole there is no sneak")
	s = fixture(t, "published/headlamps_diodes.pintle", "dip_switch")
	assert.False(t, s.Carries(s.element("left_dip")), "diodes are a remedy")
}

// An owners' club page, and the classic example of the literature: two lamps of 21 W
// (6.857 ohm each), a radio of 12 ohm, contacts of 10 mohm, 12 V; computed with ngspice.
func TestHazardRadio(t *testing.T) {
	s := fixture(t, "published/hazard_radio.pintle", "S2", "S3")
	k := s.at("feed", 12)
	assert.InDelta(t, 11.955, k*s.volts("lamp_feed"), 5e-4)
	assert.InDelta(t, 11.945, k*s.volts("rail15"), 5e-4)
	assert.InDelta(t, 0.995, k*s.amps("radio"), 5e-4)
	assert.Negative(t, s.amps("S2"), "backwards through the brake switch")

	assert.False(t, fixture(t, "published/hazard_radio.pintle", "S2").Carries(s.element("radio")))
	assert.False(t, fixture(t, "published/hazard_radio.pintle", "S3").Carries(s.element("radio")))
	good := fixture(t, "published/hazard_radio_diode.pintle", "S2", "S3")
	assert.False(t, good.Carries(good.element("radio")), "a diode is the remedy")
}

// Topology of our own, computed with ngspice: stop 21 W, tails of 5 W (28.8 ohm), 12 V.
func TestLostGround(t *testing.T) {
	s := fixture(t, "sneak-path/bad_lost_ground.pintle", "S1")
	k := s.at("stop_line", 12)
	assert.InDelta(t, 10.723, k*s.volts("lamp_earth"), 5e-4)
	assert.InDelta(t, 5.362, k*s.volts("tail_line"), 5e-4)
	assert.InDelta(t, 0.186, k*s.amps("far_tail"), 5e-4)
	assert.Negative(t, s.amps("near_tail"), "backwards")

	s = fixture(t, "sneak-path/bad_lost_ground.pintle", "S1", "earth_strap")
	assert.InDelta(t, 0, s.amps("far_tail"), 0.001, "with its earth fast there is no sneak")
}

// Mercury-Redstone 1, 21 November 1960: two connectors parted in the wrong order, the
// earth before the rest (published); the values are our own: 28 V, lamp 200 ohm, diode,
// winding 300 ohm. ngspice with a junction of 0.76 V gives 16.34 V and 54.5 mA; with the
// 0.7 V of the design it is (28 - 0.7) / 500 = 54.6 mA and 16.38 V.
func TestUmbilical(t *testing.T) {
	s := fixture(t, "published/umbilical.pintle")
	assert.InDelta(t, 27.3/500, s.amps("cut_off"), 5e-5)
	assert.InDelta(t, 16.38, s.volts("cut_feed"), 0.01)
	assert.InDelta(t, 16.34, s.volts("cut_feed"), 0.06, "ngspice, with a junction")

	s = fixture(t, "published/umbilical.pintle", "tie")
	assert.False(t, s.Carries(s.element("cut_off")), "with the tie in place nothing comes back")
}
