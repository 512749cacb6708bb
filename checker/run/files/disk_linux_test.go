package files_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"pintle/checker/checktest/outside"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
)

const most = 1000

func TestDiskStaysInBounds(t *testing.T) {
	top := t.TempDir()
	at := func(name string) string { return filepath.Join(top, name) }
	write(t, at("ws/a.pintle"), "a")
	write(t, at("ws/sub/b.pintle"), "b")
	write(t, at("out/secret.pintle"), "secret")
	for to, name := range map[string]string{
		"../out/secret.pintle":   "ws/link.pintle",
		at("out/secret.pintle"):  "ws/whole.pintle",
		"../out":                 "ws/folder",
		"../nowhere":             "ws/gone.pintle",
		"sub/b.pintle":           "ws/inner.pintle",
		at("ws/sub/b.pintle"):    "ws/inner_whole.pintle",
		"../ws/sub/../a.pintle":  "ws/sub/round.pintle",
		"../../ws/sub/b.pintle":  "ws/sub/again.pintle",
		"link.pintle":            "ws/twice.pintle",
		"/proc/self/environ":     "ws/environ.pintle",
		"/proc/self/cwd/../../x": "ws/cwd.pintle",
	} {
		require.NoError(t, os.Symlink(to, at(name)))
	}
	in := files.Bounds{at("ws")}
	disk := files.Disk{}
	for _, name := range []string{
		"ws/link.pintle", "ws/whole.pintle", "ws/folder/secret.pintle", "ws/gone.pintle", "ws/twice.pintle", "ws/environ.pintle", "ws/cwd.pintle",
		"out/secret.pintle", "ws/../out/secret.pintle", "out/not_there.pintle", "ws2/x.pintle", "",
	} {
		var outside *files.OutsideError
		_, err := disk.Read(t.Context(), in, at(name), most)
		assert.ErrorAs(t, err, &outside, name)
		_, err = disk.Stat(t.Context(), in, at(name))
		if name != "" {
			assert.ErrorAs(t, err, &outside, name)
		}
	}
	for name, want := range map[string]string{
		"ws/a.pintle": "a", "ws/sub/b.pintle": "b", "ws/inner.pintle": "b", "ws/inner_whole.pintle": "b", "ws/sub/../a.pintle": "a",
	} {
		text, err := disk.Read(t.Context(), in, at(name), most)
		require.NoError(t, err, name)
		assert.Equal(t, want, string(text), name)
	}
	// What the user allows may be linked to as well.
	text, err := disk.Read(t.Context(), append(in, at("out")), at("ws/link.pintle"), most)
	require.NoError(t, err)
	assert.Equal(t, "secret", string(text))
}

func TestDiskOpensPlainFilesOnly(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, unix.Mkfifo(pipe, 0o644))
	for name, want := range map[string]string{pipe: "a pipe", "/dev/zero": "a device", "/dev/tty": "a device", dir: "a folder"} {
		_, err := files.Disk{}.Read(t.Context(), nil, name, most)
		assert.ErrorContains(t, err, want, name)
	}
	_, err := files.Disk{}.List(t.Context(), pipe, most)
	assert.Error(t, err)
}

func TestDiskLimits(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.pintle")
	for size, ok := range map[int]bool{most: true, most + 1: false} {
		write(t, name, string(make([]byte, size)))
		_, err := files.Disk{}.Read(t.Context(), nil, name, most)
		assert.Equal(t, ok, err == nil, "%d bytes: %v", size, err)
	}
	// It says that it is empty, and is not.
	_, err := files.Disk{}.Read(t.Context(), nil, "/proc/self/maps", 10)
	var size *files.SizeError
	require.ErrorAs(t, err, &size)
	_, err = files.Disk{}.List(t.Context(), "/proc/self", 3)
	var count *files.CountError
	require.ErrorAs(t, err, &count)
	over, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = files.Disk{}.Read(over, nil, name, most)
	require.ErrorIs(t, err, context.Canceled)
}

func TestIdentity(t *testing.T) {
	dir := t.TempDir()
	a, b, c, l := filepath.Join(dir, "a"), filepath.Join(dir, "b"), filepath.Join(dir, "c"), filepath.Join(dir, "l")
	write(t, a, "x")
	write(t, c, "x")
	require.NoError(t, os.Link(a, b))
	require.NoError(t, os.Symlink(a, l))
	of := func(name string) files.Identity {
		info, err := os.Stat(name)
		require.NoError(t, err)
		return files.IdentityOf(name, info)
	}
	assert.Equal(t, of(a), of(b))
	assert.Equal(t, of(a), of(l))
	assert.NotEqual(t, of(a), of(c))
}

// Settings of a folder above count if they belong to the owner of the folder or to who
// runs the command, and to nobody else.
func TestSettingsOfSomebodyElse(t *testing.T) {
	if os.Getuid() != 0 {
		outside.Missing(t, "only root can give files away")
	}
	top := t.TempDir()
	mine := filepath.Join(top, "mine")
	write(t, filepath.Join(mine, "a.pintle"), "")
	set := filepath.Join(top, settings.FileName)
	write(t, set, "[limits]\nnodes = 7\n")
	find := func() *settings.Found {
		found, err := settings.NewFinder(settings.Search{Files: files.Disk{}}).For(t.Context(), mine)
		require.NoError(t, err)
		return found
	}
	assert.Equal(t, 7, find().Limits.Nodes)
	require.NoError(t, os.Chown(set, 1234, 1234))
	found := find()
	assert.Equal(t, settings.DefaultLimits(), found.Limits)
	assert.Equal(t, files.Bounds{mine}, found.Bounds)
	require.Len(t, found.Passed, 1)
	assert.Equal(t, settings.Passed{File: set, Why: "it belongs to somebody else (user 1234)"}, found.Passed[0])
	require.NoError(t, os.Chown(mine, 1234, 1234))
	assert.Equal(t, 7, find().Limits.Nodes, "of the owner of the folder")
}
