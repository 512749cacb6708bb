package reading_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/reading"
)

func TestFixtures(t *testing.T) { checktest.Run(t, reading.Group()) }
