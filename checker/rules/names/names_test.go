package names_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/rules"
	"pintle/checker/rules/names"
)

// Acceptances and what is undecided are about other rules, so that all of them run.
func TestFixtures(t *testing.T) {
	all, err := rules.All()
	require.NoError(t, err)
	checktest.RunAmong(t, all, names.Group())
}
