package bands_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/bands"
)

func TestFixtures(t *testing.T) { checktest.Run(t, bands.Group()) }
