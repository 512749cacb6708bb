//go:build linux

package files_test

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"pintle/checker/checktest/outside"
	"pintle/checker/run/files"
)

func TestReplaceKeepsTheOwner(t *testing.T) {
	if os.Getuid() != 0 {
		outside.Missing(t, "only root can give files away")
	}
	name := filepath.Join(t.TempDir(), "a.pintle")
	write(t, name, "before")
	require.NoError(t, os.Chown(name, 1234, 1235))
	require.NoError(t, os.Chmod(name, 0o664|os.ModeSetgid))
	require.NoError(t, files.Replace(nil, name, []byte("before"), []byte("after")))
	info, err := os.Stat(name)
	require.NoError(t, err)
	s := info.Sys().(*syscall.Stat_t)
	assert.Equal(t, []uint32{1234, 1235}, []uint32{s.Uid, s.Gid})
	assert.Equal(t, 0o664|os.ModeSetgid, info.Mode())
}

func TestReplaceKeepsExtendedAttributes(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.pintle")
	write(t, name, "before")
	if err := unix.Setxattr(name, "user.origin", []byte("bench"), 0); err != nil {
		outside.Missing(t, "no extended attributes here: %v", err)
	}
	require.NoError(t, files.Replace(nil, name, []byte("before"), []byte("after")))
	value := make([]byte, 10)
	n, err := unix.Getxattr(name, "user.origin", value)
	require.NoError(t, err)
	assert.Equal(t, "bench", string(value[:n]))
	assert.Equal(t, "after", read(t, name))
}

func TestReplaceOpensNoPipe(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.pintle")
	require.NoError(t, unix.Mkfifo(name, 0o644))
	require.ErrorContains(t, files.Replace(nil, name, nil, []byte("after")), "pipe")
}
