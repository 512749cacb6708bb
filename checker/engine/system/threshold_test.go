package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
)

// A threshold that sets at one value and clears below another is exact at both: it has
// set on 4200 itself, and has not cleared on 3900 itself.
func TestHysteresisAtBothEdges(t *testing.T) {
	s := build(t, `title "Edges"
quantity n: 0 to 7000 rpm
threshold fast: n, sets at 4200 rpm, clears below 3900 rpm

require set_on_the_point: fast whenever n at least 4200 rpm
require not_before: possible (not fast and n above 4199 rpm and n below 4200 rpm)
require never_clear_above: never (not fast and n at least 4200 rpm)
require clear_below: not fast whenever n below 3900 rpm
require holds_on_the_point: possible (fast and n at least 3900 rpm and n at most 3900 rpm)
require both_between: possible (fast and n between 3900 rpm and 4200 rpm)
require both_between_2: possible (not fast and n between 3900 rpm and 4200 rpm)
require set_below: possible (fast and n below 3900 rpm)
`)
	for _, name := range []string{"set_on_the_point", "not_before", "never_clear_above", "clear_below", "holds_on_the_point", "both_between", "both_between_2"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
	assert.Equal(t, system.Fails, decide(t, s, "set_below").Outcome)
	text, err := s.When(context.Background(), system.On(requirement(t, s.Design(), "both_between").A))
	require.NoError(t, err)
	assert.Equal(t, "n below 4200 rpm and fast", text, "that it is not below 3900 rpm goes without saying")
	v := decide(t, s, "both_between")
	assert.Equal(t, `at first: n 0 rpm
1. n rises to 4200 rpm
   fast sets
2. n falls below 4200 rpm
`, story(v))
}

// Sets above and clears at: the other pair of edges.
func TestHysteresisOtherEdges(t *testing.T) {
	s := build(t, `title "Edges"
quantity n: 0 to 7000 rpm
threshold fast: n, sets above 4200 rpm, clears at 3900 rpm
require set_on_the_point: possible (fast and n at least 4200 rpm and n at most 4200 rpm)
require clear_on_the_point: possible (not fast and n at least 4200 rpm and n at most 4200 rpm)
require cleared: never (fast and n at most 3900 rpm)
require above: fast whenever n above 4200 rpm
`)
	for _, name := range []string{"set_on_the_point", "clear_on_the_point", "cleared", "above"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
}

// A band that keeps is in the band that the quantity came from; with none to have come
// from it is in the one that it enters as.
func TestBandsThatKeep(t *testing.T) {
	s := build(t, `title "Keeps"
quantity n: 0 to 7000 rpm, starts at 4000 rpm
setting key: off, run
bands runners: over n, while key is run {
    band long: 0 to 3900 rpm
    band between: 3900 to 4200 rpm, keeps, enters as long
    band short: 4200 to 7000 rpm
}
require enters: runners is long whenever (key is run and n below 3900 rpm)
require short_at_the_top: runners is short whenever (key is run and n at least 4200 rpm)
require keeps_short: possible (runners is short and n at least 3900 rpm and n at most 3900 rpm)
require keeps_long: possible (runners is long and n between 3900 rpm and 4200 rpm)
require one_of_both: (runners is long or runners is short) whenever key is run
require speaks_only_then: never (runners is long and key is off)
`)
	for _, name := range []string{"enters", "short_at_the_top", "keeps_short", "keeps_long", "one_of_both", "speaks_only_then"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
	// Straight after the key is turned in the stretch between, it is long.
	v := decide(t, s, "keeps_long")
	assert.Len(t, v.Trace.Steps, 1)
	assert.Contains(t, story(v), "1. set key run")
}

// A quantity moves through everything between, and only within its range.
func TestQuantitiesMoveThroughNeighbours(t *testing.T) {
	s := build(t, `title "Path"
quantity n: 0 to 7000 rpm
threshold seen: n, sets at 3000 rpm, clears below 100 rpm
require passed: seen whenever n above 5000 rpm
require beyond: possible n above 7000 rpm
`)
	assert.Equal(t, system.Holds, decide(t, s, "passed").Outcome)
	assert.Equal(t, system.Fails, decide(t, s, "beyond").Outcome)
}
