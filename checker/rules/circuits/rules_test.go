package circuits_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/circuits"
)

func TestFixtures(t *testing.T) { checktest.Run(t, circuits.Group()) }
