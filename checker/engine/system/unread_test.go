package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// A machine of a controller that could not be read leaves the rest of the design to be
// decided.
func TestMachineThatCannotBeRead(t *testing.T) {
	f := syntax.Parse(source.NewFile("t.pintle", `setting key: off, run
ground block
supply battery: 12 V, from block to stud
contact lock: battery.stud to feed, made when key is run
node feed
load lamp: feed to block, 5 W at 12 V, lit from 60 %
fit box: {
    pin 1, 2
    powered 1 to 2: works from 6 V
    modes stage: starts in nowhere {
        mode rest, busy
        from rest to busy: when lit_now
        from busy to rest: when not lit_now
    }
    threshold lit_now: volts at 1, sets above 8 V, clears below 6 V
}
wire W1: feed to box.1
wire W2: block to box.2
require lit: lamp is lit whenever key is run
require busy: box.stage is busy whenever key is run
`), nil)
	d := elaborate.Elaborate(context.Background(), f, nil).Designs[0]
	s, err := system.Build(context.Background(), d, system.Options{})
	require.NoError(t, err)
	assert.Equal(t, system.Holds, decide(t, s, "lit").Outcome)
	assert.Equal(t, system.Unknown, decide(t, s, "busy").Outcome)
}

// Where the coil of a changeover is not known, nothing is known of what is connected to it: not
// even that one of its throws is closed when the other is not.
func TestChangeoverThatCannotBeRead(t *testing.T) {
	f := syntax.Parse(source.NewFile("t.pintle", `setting key: off, run
ground block
supply battery: 12 V, from block to stud
node rest, work
fit relay: {
    pin 1, 2, 3
    contact main: 1 rests on 2, goes to 3, by nobody
}
wire W1: battery.stud to relay.1
wire W2: relay.2 to rest
wire W3: relay.3 to work
load lamp: rest to block, 5 W at 12 V, lit from 60 %
require one: never (rest is live and not work is live)
`), nil)
	d := elaborate.Elaborate(context.Background(), f, nil).Designs[0]
	s, err := system.Build(context.Background(), d, system.Options{})
	require.NoError(t, err)
	assert.Equal(t, system.Unknown, decide(t, s, "one").Outcome)
	c := s.Circuit()
	k := d.Contacts[0]
	a, _, _ := c.SwitchOf(k.RestElem)
	b, _, _ := c.SwitchOf(k.WorkElem)
	assert.NotEqual(t, a, b)
}
