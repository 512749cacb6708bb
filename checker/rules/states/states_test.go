package states_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/states"
)

func TestFixtures(t *testing.T) { checktest.Run(t, states.Group()) }
