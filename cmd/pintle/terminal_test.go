//go:build linux

package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
)

// TestColoursOnlyWhereTheyAreTaken: on a terminal, unless NO_COLOR is set to anything
// (no-color.org) or TERM is dumb (common practice), and nowhere else.
func TestColoursOnlyWhereTheyAreTaken(t *testing.T) {
	terminal, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		outside.Missing(t, "no terminal can be made here: %v", err)
	}
	defer terminal.Close()
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	for _, c := range []struct {
		noColor, term string
		colour, steer bool
	}{
		{"", "xterm", true, true}, {"1", "xterm", false, true}, {"0", "xterm", false, true}, {"", "dumb", false, false}, {"", "", true, true},
	} {
		t.Setenv("NO_COLOR", c.noColor)
		t.Setenv("TERM", c.term)
		assert.Equal(t, c.colour, colourful(terminal), "%+v", c)
		assert.Equal(t, c.steer, newProgress(terminal, "%d of %d").w != nil, "%+v", c)
		assert.False(t, colourful(file), "%+v", c)
		assert.Nil(t, newProgress(file, "%d of %d").w)
	}
}
