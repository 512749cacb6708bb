//go:build unix

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/report"
)

// TestHostileNamesOfFiles gives every verb files whose names steer a terminal, some of them
// with nothing to read behind. Windows allows no such names.
func TestHostileNamesOfFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	const steers = "\x1b[2J\u009b31m\u202e\x7f:1:2: error: no (y)\n"
	good, bad, broken := steers+".pintle", "bad"+steers+".pintle", "broken"+steers+".pintle"
	require.NoError(t, os.WriteFile(good, []byte("node   a\n"), 0o600))
	require.NoError(t, os.WriteFile(bad, []byte("use \""+strings.ReplaceAll(steers, "\n", "")+"\"\nfit K\x1b[2J: 5 \u202e\n"), 0o600))
	require.NoError(t, os.Symlink("nowhere"+steers, broken))
	require.NoError(t, os.Mkdir("settings"+steers, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join("settings"+steers, "pintle.toml"), []byte("[\x1b[2J\u202e"), 0o600))
	commands := [][]string{
		{"check", "none" + steers}, {"check", broken}, {"check", "settings" + steers}, {"format", "--check", "."}, {"format", broken}, {"format", bad},
		{"check", "--only", steers, "."}, {"check", "--as", steers}, {"rules", steers}, {steers}, {"check", "--" + steers}, {"serve", "--log", steers + "/x"},
	}
	for _, form := range report.Formats() {
		commands = append(commands, []string{"check", "--as", form, bad, good})
	}
	said := 0
	for _, args := range commands {
		var out, errs bytes.Buffer
		execute(t.Context(), args, stdio{in: strings.NewReader(""), out: &out, err: &errs})
		for _, r := range out.String() + errs.String() {
			if r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf)) {
				t.Fatalf("%q writes %U: %q %q", args, r, out.String(), errs.String())
			}
		}
		said += out.Len() + errs.Len()
		assert.Positive(t, out.Len()+errs.Len(), "%q says nothing", args)
	}
	assert.Positive(t, said)
}
