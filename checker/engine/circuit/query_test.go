package circuit_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// fan is a motor behind a fuse and a relay's contact (switch 0), with a coil that an
// open wire should feed, and a lamp that nothing leads to.
func fan() (b *circuittest.Builder, id map[string]model.ElementID) {
	b = circuittest.New()
	id = map[string]model.ElementID{}
	id["battery"] = b.Supply("battery", "gnd", "stud", 12, 0.01)
	id["W1"] = b.Wire("W1", "stud", "F.in", 0.005)
	id["F"] = b.Fuse("F", "F.in", "F.out", 0.005, 20)
	id["W2"] = b.Wire("W2", "F.out", "K.30", 0.01)
	id["K"] = b.Contact("K", "K.30", "K.87", circuittest.Free(0))
	id["W3"] = b.Wire("W3", "K.87", "M.1", 0.02)
	id["M"] = b.Load("M", "M.1", "M.2", 1)
	id["W4"] = b.Wire("W4", "M.2", "gnd", 0.03)
	id["F2"] = b.Fuse("F2", "F.out", "F2.out", 0.02, 5)
	id["W5"] = b.Wire("W5", "F2.out", "coil.86", 0.05)
	id["coil"] = b.Coil("coil", "coil.86", "coil.85", 85)
	id["lamp"] = b.Load("lamp", "lamp.1", "lamp.2", 6)
	return b, id
}

func paths(c interface {
	Element(model.ElementID) model.Element
}, ids []model.ElementID) []string {
	out := []string{}
	for _, id := range ids {
		out = append(out, c.Element(id).Path)
	}
	return out
}

func TestWays(t *testing.T) {
	b, id := fan()
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)

	way, ok := c.GroundWay(b.Node("M.1"), id["W3"])
	require.True(t, ok)
	require.Equal(t, []string{"M", "W4"}, paths(c, way))
	way, ok = c.FeedWay(b.Node("M.1"), id["M"])
	require.True(t, ok)
	require.Equal(t, []string{"W3", "K", "W2", "F", "W1"}, paths(c, way))
	_, ok = c.GroundWay(b.Node("coil.85"), id["coil"])
	require.False(t, ok, "the coil's earth is missing")
	_, ok = c.FeedWay(b.Node("lamp.1"), id["lamp"])
	require.False(t, ok)

	require.True(t, c.NoReference(b.Node("lamp.1")))
	require.False(t, c.NoReference(b.Node("coil.85")))
	require.False(t, c.NoReference(b.Node("gnd")))
}

func TestGroundWayRespectsDiodes(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Load("L", "stud", "x", 6)
	b.Diode("V", "gnd", "x")
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	_, ok := c.GroundWay(b.Node("x"))
	require.False(t, ok)
}

func TestFusesAndWhatTheyProtect(t *testing.T) {
	b, id := fan()
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"W2", "K", "W3"}, paths(c, c.Beyond(id["F"])))
	require.Equal(t, []string{"W5"}, paths(c, c.Beyond(id["F2"])))
	require.Equal(t, []string{"W1"}, paths(c, c.Unfused()))
}

func TestDrops(t *testing.T) {
	b, id := fan()
	s := solved(t, b, 0)
	d, ok := s.DropOf(id["M"])
	require.True(t, ok)
	require.Equal(t, id["battery"], d.Source)
	amps := 12 / (0.01 + 0.005 + 0.005 + 0.01 + 0.005 + 0.02 + 1 + 0.03)
	require.InDelta(t, amps*(0.005+0.005+0.01+0.005+0.02), d.Feed, 1e-9)
	require.InDelta(t, amps*0.03, d.Ground, 1e-9)
	require.Len(t, d.FeedWay, 5)
	require.Empty(t, d.Series)
	_, ok = solved(t, b).DropOf(id["M"])
	require.False(t, ok, "it carries no current")
}

func TestShorts(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Contact("K", "stud", "x", circuittest.Free(0))
	b.Diode("V", "x", "gnd")
	require.Empty(t, solved(t, b).Shorts())
	short := solved(t, b, 0).Shorts()
	require.Len(t, short, 1)
	require.Equal(t, []string{"K", "V"}, paths(solved(t, b).Circuit(), short[0].Way))
	require.InDelta(t, (12-0.7)/0.025, short[0].Amps, 1e-6)
}

func TestCharged(t *testing.T) {
	b := circuittest.New()
	battery := b.Supply("battery", "gnd", "stud", 12, 0.05)
	b.Supply("alternator", "gnd", "stud", 14, 0.05, circuittest.OneWay(), circuittest.When(circuittest.Free(0)))
	require.Empty(t, solved(t, b).Charged())
	require.Equal(t, []model.ElementID{battery}, solved(t, b, 0).Charged())
	require.Empty(t, solved(t, b).Shorts(), "an absent supply has no terminals to short")
}

func TestOneWaySupplyIsNotCharged(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 14, 0.05)
	weak := b.Supply("converter", "gnd", "stud", 12, 0.05, circuittest.OneWay())
	s := solved(t, b)
	require.Empty(t, s.Charged())
	require.True(t, s.Blocks(weak))
	require.Zero(t, s.Amps(weak))
}

func TestLiveThroughDiodesOneWay(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Diode("V1", "stud", "fed")
	b.Diode("V2", "not fed", "stud")
	b.Diode("V3", "earthed", "gnd")
	b.Diode("V4", "gnd", "not earthed")
	s := solved(t, b)
	for node, want := range map[string][2]bool{
		"stud": {true, false}, "fed": {true, false}, "not fed": {false, false},
		"earthed": {false, true}, "not earthed": {false, false}, "gnd": {false, true},
	} {
		n := b.Node(node)
		require.Equal(t, want, [2]bool{s.Live(n), s.Grounded(n)}, node)
		require.Equal(t, want == [2]bool{}, s.Floating(n), node)
	}
	path, ok := s.LivePath(b.Node("fed"))
	require.True(t, ok)
	require.Equal(t, []string{"V1"}, paths(s.Circuit(), path))
}

func TestShortToGroundMakesNothingElseLive(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Wire("short", "stud", "gnd", 0.01)
	b.Wire("W", "gnd", "other", 0.01)
	s := solved(t, b)
	require.True(t, s.Live(b.Node("stud")))
	require.True(t, s.Grounded(b.Node("stud")))
	require.False(t, s.Live(b.Node("other")))
}

func TestPiecesWithoutGround(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Supply("pack", "minus", "plus", 300, 0.1)
	b.Load("heater", "plus", "minus", 100)
	s := solved(t, b)
	require.False(t, s.HasZero(b.Node("plus")))
	v, ok := s.Between(b.Node("plus"), b.Node("minus"))
	require.True(t, ok)
	require.InDelta(t, 300*100/100.1, v, 1e-9)
	_, ok = s.Between(b.Node("plus"), b.Node("gnd"))
	require.False(t, ok)
	m, err := s.Measure(context.Background(), model.Measure{Kind: model.Volts, A: b.Node("plus"), B: b.Node("gnd")})
	require.NoError(t, err)
	require.Zero(t, m, "a meter between two pieces closes no circuit")
	require.NotEqual(t, s.Piece(b.Node("plus")), s.Piece(b.Node("stud")))
	require.Equal(t, s.Piece(b.Node("gnd")), s.Piece(b.Node("stud")))
}

func TestMeterOnLooseEnds(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Diode("V", "stud", "behind")
	b.Resistor("R", "loose", "looser", 10)
	s := solved(t, b)
	for node, want := range map[string]float64{"behind": 11.3, "loose": 0, "stud": 12} {
		v, err := s.Measure(context.Background(), model.Measure{Kind: model.Volts, A: b.Node(node), B: b.Node("gnd")})
		require.NoError(t, err)
		require.InDelta(t, want, v, 1e-6, node)
	}
}

func TestTwoOpposingWindings(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.001)
	one := b.Coil("A", "stud", "gnd", 100)
	two := b.Coil("B", "stud", "gnd", 100, circuittest.When(circuittest.Free(0)))
	m := model.Measure{Kind: model.AmpereTurns, Windings: []model.ElementTurns{{Element: one, Turns: 500}, {Element: two, Turns: -500}}}
	for _, c := range []struct {
		closed []circuit.Switch
		want   float64
	}{{nil, 60}, {[]circuit.Switch{0}, 0}} {
		v, err := solved(t, b, c.closed...).Measure(context.Background(), m)
		require.NoError(t, err)
		require.InDelta(t, c.want, v, 0.01)
	}
}

func TestAmpacity(t *testing.T) {
	table := circuit.ThinWall()
	for _, c := range []struct {
		area, amps float64
		ok         bool
	}{{1, 16.5, true}, {1.2, 16.5, true}, {10, 70, true}, {0.5, 11, true}, {0.35, 0, false}, {16, 0, false}} {
		amps, ok := table.Amps(c.area)
		require.Equal(t, c.ok, ok, "%v mm2", c.area)
		require.Equal(t, c.amps, amps, "%v mm2", c.area)
	}
}

// Between two points that nothing joins a meter shows what its own current leaves: nothing
// where one side has no way back, whether it is one loose end or several, and the feed less
// the drop where a diode lets that current on.
func TestMeterBetweenPieces(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "feed", 12, 0.01)
	b.Load("lamp", "feed", "gnd", 6)
	b.Wire("loose", "a", "b", 0.01)
	b.Resistor("r", "c", "gnd", 1000)
	b.Diode("V1", "d", "c") // 0.7 V
	b.Diode("V2", "c", "e")
	b.Node("alone")
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	s, err := c.Solve(context.Background(), func(circuit.Switch) bool { return true }, circuit.Nominal)
	require.NoError(t, err)
	for node, want := range map[string]float64{"alone": 0, "a": 0, "b": 0, "c": 12, "d": 11.3, "e": 0, "gnd": 12} {
		for sign, ends := range map[float64][2]string{1: {"feed", node}, -1: {node, "feed"}} {
			got, err := s.Measure(context.Background(), model.Measure{Kind: model.Volts, A: b.Node(ends[0]), B: b.Node(ends[1]), Element: model.None})
			require.NoError(t, err)
			require.InDelta(t, sign*want, got, 0.03, ends)
		}
	}
}

func TestBlocking(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Contact("K", "stud", "sw", circuittest.Free(0))
	v1 := b.Diode("V1", "a", "sw")
	behind := b.Load("behind", "a", "gnd", 6)
	b.Resistor("R", "sw", "b", 100)
	v2, v3 := b.Diode("V2", "c", "b"), b.Diode("V3", "gnd", "d")
	twice := b.Load("twice", "c", "d", 6)
	b.Diode("V4", "sw", "e")
	b.Diode("V5", "e", "sw")
	passed := b.Load("passed", "e", "gnd", 6)
	loose := b.Load("loose", "f", "gnd", 6)
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	require.Equal(t, []model.ElementID{v1}, c.Blocking(behind))
	require.Equal(t, []model.ElementID{v2, v3}, c.Blocking(twice), "the nearest to the feed side first")
	require.Empty(t, c.Blocking(passed))
	require.Empty(t, c.Blocking(loose), "no way at all")
}
