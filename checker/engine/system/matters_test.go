package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// The way to where a current is highest has no move that has no say in it: the fan's switch is on the
// far side of a key that is off.
func TestMatters(t *testing.T) {
	ctx := context.Background()
	s := build(t, `ground body
supply battery: 12.6 V, from body to stud, inside 0.01 mohm
setting key: off, run
setting lights: off, side, head, in order
setting fan_knob: off, on
fuse F1: battery.stud to rail, 10 A
node rail, low, high, ign, fan_feed
contact S1: rail to low, make, made when lights is any of side, head
contact S2: rail to high, make, made when lights is head
contact S3: battery.stud to ign, make, made when key is run
contact S4: ign to fan_feed, make, made when fan_knob is on
load side: low to body, 10 W at 12 V
load head: high to body, 110 W at 12 V
load fan: fan_feed to body, 8 A at 12 V
`)
	d := s.Design()
	m := model.Measure{Kind: model.Amps, Element: d.Fuses[0].Element, A: model.None, B: model.None, Load: model.None}
	x, err := s.Search(ctx, m, system.On(nil))
	require.NoError(t, err)
	top, err := x.Ascend(ctx, nil)
	require.NoError(t, err)
	matters, err := x.Matters(ctx, top)
	require.NoError(t, err)
	v, err := s.PossibleHere(ctx, system.Literal(matters))
	require.NoError(t, err)
	require.NotNil(t, v.Trace)
	told := story(v)
	require.Contains(t, told, "set lights head")
	require.NotContains(t, told, "fan_knob")
	x, err = s.Search(ctx, m, system.On(nil))
	require.NoError(t, err)
	there, err := x.At(ctx, v.Trace)
	require.NoError(t, err)
	require.InDelta(t, top.Value, there.Value, 1e-6*top.Value)
}
