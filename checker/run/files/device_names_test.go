package files

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestNamesOfWindows: https://learn.microsoft.com/windows/win32/fileio/naming-a-file
func TestNamesOfWindows(t *testing.T) {
	for name, why := range map[string]string{
		"NUL": "a device", "a/nul.pintle": "a device", "con": "a device", "COM1.x.pintle": "a device", "LPT9/a.pintle": "a device", "aux .pintle": "a device",
		"com\u00b2.pintle": "a device", "CONIN$": "a device", "nul:x": "a device",
		"a.pintle:x": "a stream", "a.pintle::$DATA": "a stream", "a:b/c.pintle": "a stream",
		"a.pintle.": "without the dots", "a/b /c.pintle": "without the dots", "a.pintle ": "without the dots", ".../x": "without the dots",
		"a?.pintle": "can't be", "a\x01.pintle": "can't be", "a|b": "can't be",
	} {
		assert.ErrorContains(t, wellNamedOnWindows(name), why, name)
	}
	for _, name := range []string{"", "/", "a.pintle", "./a/../b.pintle", "/a/.b/..c", "console.pintle", "COM10.pintle", "nul_.pintle", "größe/a b.pintle", "a.nul"} {
		assert.NoError(t, wellNamedOnWindows(name), name)
	}
}
