package faults_test

import (
	"testing"

	"pintle/checker/checktest"
	"pintle/checker/rules/faults"
)

func TestFixtures(t *testing.T) { checktest.Run(t, faults.Group()) }
