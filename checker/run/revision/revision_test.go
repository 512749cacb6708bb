package revision_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/run/files"
	"pintle/checker/run/revision"
)

// repository makes one with two revisions of a file, and gives its folder.
func repository(t *testing.T) string {
	t.Helper()
	outside.Program(t, "git", "git version", "--version")
	dir := t.TempDir()
	git := func(args ...string) {
		c := exec.CommandContext(t.Context(), "git", append([]string{"-C", dir, "-c", "user.name=nobody", "-c", "user.email=nobody@localhost", "-c", "commit.gpgsign=false"}, args...)...)
		c.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_SYSTEM="+os.DevNull)
		out, err := c.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	write := func(name, text string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o750))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	git("init", "-q")
	write("a b/lamp.pintle", "one")
	require.NoError(t, os.Symlink("lamp.pintle", filepath.Join(dir, "a b/link.pintle")))
	git("add", "-A")
	git("commit", "-q", "-m", "first")
	write("a b/lamp.pintle", "two")
	git("commit", "-q", "-a", "-m", "second")
	return dir
}

func TestFiles(t *testing.T) {
	dir := repository(t)
	t.Chdir(filepath.Join(dir, "a b"))
	ctx := t.Context()
	old, err := revision.Open(ctx, ".", "HEAD~1")
	require.NoError(t, err)
	for _, name := range []string{"lamp.pintle", "../a b/lamp.pintle", filepath.ToSlash(filepath.Join(dir, "a b/lamp.pintle"))} {
		text, err := old.Read(ctx, nil, name, 100)
		require.NoError(t, err, name)
		assert.Equal(t, "one", string(text), name)
	}
	_, err = old.Read(ctx, nil, "lamp.pintle", 2)
	var size *files.SizeError
	require.ErrorAs(t, err, &size)
	_, err = old.Read(ctx, nil, "gone.pintle", 100)
	require.ErrorIs(t, err, os.ErrNotExist)
	_, err = old.Read(ctx, nil, "link.pintle", 100)
	require.EqualError(t, err, "it is a link")
	bound, err := old.Abs("b")
	require.NoError(t, err)
	_, err = old.Read(ctx, files.Bounds{bound}, "lamp.pintle", 100)
	var outside *files.OutsideError
	require.ErrorAs(t, err, &outside)
	list, err := old.List(ctx, ".", 100)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, "lamp.pintle", list[0].Name())
	list, err = old.List(ctx, "..", 100)
	require.NoError(t, err)
	assert.Len(t, list, 2) // with .git
}

func TestNoRevision(t *testing.T) {
	dir := repository(t)
	for _, rev := range []string{"nowhere", "--help", "", "HEAD:a b"} {
		_, err := revision.Open(t.Context(), dir, rev)
		require.ErrorContains(t, err, "has no revision", rev)
	}
	t.Setenv("GIT_CEILING_DIRECTORIES", filepath.Dir(t.TempDir()))
	_, err := revision.Open(t.Context(), t.TempDir(), "HEAD")
	require.ErrorContains(t, err, "lies in no git repository")
	t.Setenv("PATH", "")
	_, err = revision.Open(t.Context(), dir, "HEAD")
	require.ErrorContains(t, err, "`git` is not there")
}
