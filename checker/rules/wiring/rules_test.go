package wiring_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/wiring"
)

func TestFixtures(t *testing.T) { checktest.Run(t, wiring.Group()) }
