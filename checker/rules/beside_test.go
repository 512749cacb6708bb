package rules_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/rules"
)

// What never settles silences only what it affects: a lamp beside a buzzer has its finding.
func TestWhatHuntsSilencesNothingElse(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	checktest.Marked(t, c, os.DirFS("testdata/beside"), "buzzer.pintle")
}
