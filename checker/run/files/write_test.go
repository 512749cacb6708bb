package files_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/run/files"
)

func write(t *testing.T, name, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
	require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
}

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(text)
}

// only demands that a folder holds these files: nothing half-written stays.
func only(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	assert.ElementsMatch(t, names, got)
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "page.md")
	require.NoError(t, files.Write(name, []byte("one"), 0o644))
	require.NoError(t, files.Write(name, []byte("two"), 0o644))
	assert.Equal(t, "two", read(t, name))
	only(t, dir, "page.md")
	require.Error(t, files.Write(filepath.Join(dir, "none", "page.md"), nil, 0o644))
}

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a b é.pintle")
	write(t, name, "before")
	require.NoError(t, files.Replace(nil, name, []byte("before"), []byte("after")))
	assert.Equal(t, "after", read(t, name))
	only(t, dir, "a b é.pintle")
}

// A file with a name as long as it may be has room for its next text all the same.
func TestReplaceLongName(t *testing.T) {
	name := filepath.Join(t.TempDir(), strings.Repeat("n", 248)+".pintle")
	write(t, name, "before")
	require.NoError(t, files.Replace(nil, name, []byte("before"), []byte("after")))
	assert.Equal(t, "after", read(t, name))
}

func TestReplaceWhatChanged(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.pintle")
	for _, now := range []string{"befora", "before and more", "b", ""} {
		write(t, name, now)
		require.ErrorIs(t, files.Replace(nil, name, []byte("before"), []byte("after")), files.ErrChanged)
		assert.Equal(t, now, read(t, name))
		only(t, dir, "a.pintle")
	}
	require.NoError(t, os.Remove(name))
	require.ErrorIs(t, files.Replace(nil, name, []byte("before"), []byte("after")), os.ErrNotExist)
	only(t, dir)
}

func TestReplaceReadOnly(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.pintle")
	write(t, name, "before")
	require.NoError(t, os.Chmod(name, 0o444))
	require.ErrorContains(t, files.Replace(nil, name, []byte("before"), []byte("after")), "read-only")
	assert.Equal(t, "before", read(t, name))
	only(t, dir, "a.pintle")
	require.NoError(t, os.Chmod(name, 0o644)) // so that the folder can be removed everywhere
}

func TestReplaceHardLinks(t *testing.T) {
	dir := t.TempDir()
	name, other := filepath.Join(dir, "a.pintle"), filepath.Join(dir, "b.pintle")
	write(t, name, "before")
	if err := os.Link(name, other); err != nil {
		outside.Missing(t, "no hard links here: %v", err)
	}
	require.ErrorContains(t, files.Replace(nil, name, []byte("before"), []byte("after")), "under 2 names")
	assert.Equal(t, "before", read(t, name))
	only(t, dir, "a.pintle", "b.pintle")
}

func TestReplaceThroughALink(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a.pintle"), "before")
	link := filepath.Join(dir, "link.pintle")
	if err := os.Symlink("a.pintle", link); err != nil {
		outside.Missing(t, "no links here: %v", err)
	}
	require.NoError(t, files.Replace(nil, link, []byte("before"), []byte("after")))
	assert.Equal(t, "after", read(t, filepath.Join(dir, "a.pintle")))
	to, err := os.Readlink(link)
	require.NoError(t, err)
	assert.Equal(t, "a.pintle", to)
}

func TestReplaceKeepsTheMode(t *testing.T) {
	if runtime.GOOS == "windows" {
		outside.Missing(t, "there are no such modes")
	}
	name := filepath.Join(t.TempDir(), "a.pintle")
	for _, mode := range []os.FileMode{0o600, 0o664, 0o755, 0o222 | 0o400} {
		write(t, name, "before")
		require.NoError(t, os.Chmod(name, mode))
		require.NoError(t, files.Replace(nil, name, []byte("before"), []byte("after")))
		info, err := os.Stat(name)
		require.NoError(t, err)
		assert.Equal(t, mode, info.Mode().Perm())
		require.NoError(t, os.Remove(name))
	}
}

func TestReplaceWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	require.ErrorContains(t, files.Replace(nil, dir, nil, []byte("after")), "folder")
}
