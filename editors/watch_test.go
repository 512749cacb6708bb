//go:build unix

package editors_test

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// patience is how long an editor may do nothing: neither say anything nor talk with the
// server. Each script waits for a step of its own for at most a minute.
const patience = 75 * time.Second

// watch looks at files that grow as long as something is done.
type watch struct {
	files []string
	size  int64
	last  time.Time
}

func watched(files ...string) *watch { return &watch{files: files, last: time.Now()} }

// moves reports whether one of the files became longer within the last patience.
func (w *watch) moves() bool {
	var size int64
	for _, f := range w.files {
		if info, err := os.Stat(f); err == nil {
			size += info.Size()
		}
	}
	if size != w.size {
		w.size, w.last = size, time.Now()
	}
	return time.Since(w.last) < patience
}

// run runs an editor to its end and gives what it wrote. One that does nothing any more is
// ended.
func (d *desk) run(t *testing.T, editor string, args ...string) string {
	t.Helper()
	log, err := os.CreateTemp(d.home, "said")
	require.NoError(t, err)
	defer log.Close()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	c := exec.CommandContext(ctx, editor, args...)
	c.Dir, c.Env, c.WaitDelay = d.workspace, d.env, time.Second
	c.Stdout, c.Stderr = log, log
	require.NoError(t, c.Start())
	gone := make(chan error, 1)
	go func() { gone <- c.Wait() }()
	look := watched(log.Name(), d.trace, d.log)
	for err, done := error(nil), false; !done; {
		select {
		case err = <-gone:
			done = true
			assert.NoError(t, err, "%s ended badly", editor)
		case <-time.After(100 * time.Millisecond):
			if !look.moves() {
				stop()
				<-gone
				done = true
				t.Errorf("%s did nothing for %v", editor, patience)
			}
		}
	}
	out, err := os.ReadFile(log.Name())
	require.NoError(t, err)
	if t.Failed() || testing.Verbose() {
		t.Logf("%s", out)
	}
	return string(out)
}

// ended waits until the server of a trace is gone: some editors don't wait for it.
func ended(t *testing.T, file string) {
	t.Helper()
	for look := watched(file); ; time.Sleep(20 * time.Millisecond) {
		raw, err := os.ReadFile(file)
		if err != nil || bytes.Contains(raw, []byte(`{"exit":`)) {
			return
		}
		require.True(t, look.moves(), "the server lives on")
	}
}
