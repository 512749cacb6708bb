package outside_test

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
)

// TestWhatIsNotMeantIsMissing puts programs into the PATH that have the right name but are
// something else: the test that needs them is skipped, and fails in CI.
func TestWhatIsNotMeantIsMissing(t *testing.T) {
	if runtime.GOOS == "windows" {
		outside.Missing(t, "the programs here are scripts of a Unix shell")
	}
	dir := t.TempDir()
	for name, script := range map[string]string{
		"spin": "echo 'spin 3.2.0 (of web services)'",
		"gcc":  "echo 'stdio.h: No such file' >&2; exit 1",
		"good": "echo 'Good Version 6.5'",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script+"\n"), 0o755))
	}
	t.Setenv("PATH", dir+string(os.PathListSeparator)+os.Getenv("PATH"))
	for name, c := range map[string]struct {
		needs func(t testing.TB)
		there bool
	}{
		"good":       {func(t testing.TB) { outside.Program(t, "good", "^Good Version 6", "-V") }, true},
		"other spin": {func(t testing.TB) { outside.Program(t, "spin", "^Spin Version 6", "-V") }, false},
		"none":       {func(t testing.TB) { outside.Program(t, "no-such-program", "") }, false},
		"no headers": {func(t testing.TB) { outside.Compiler(t) }, false},
	} {
		for _, ci := range []string{"", "true"} {
			t.Setenv("CI", ci)
			p := &probed{TB: t}
			p.run(func() { c.needs(p) })
			assert.Equal(t, !c.there && ci == "", p.skipped, "%s, CI=%s: skipped", name, ci)
			assert.Equal(t, !c.there && ci == "true", p.failed, "%s, CI=%s: failed", name, ci)
		}
	}
}

// probed is a test whose end is written down.
type probed struct {
	testing.TB
	skipped, failed bool
}

func (p *probed) run(f func()) {
	done := make(chan struct{})
	go func() { defer close(done); f() }()
	<-done
}

func (p *probed) Skipf(string, ...any)  { p.skipped = true; runtime.Goexit() }
func (p *probed) Fatalf(string, ...any) { p.failed = true; runtime.Goexit() }
