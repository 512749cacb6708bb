package run

import (
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run/files"
	"pintle/checker/run/settings"
)

var tree = fstest.MapFS{
	"a.pintle":             {},
	"b/b.pintle":           {},
	"b/notes.txt":          {},
	"b/faulty/x.pintle":    {},
	"b/pintle.toml":        {Data: []byte("[paths]\nleave_out = [\"faulty\", \"draft*.pintle\"]\n[limits]\nnodes = 5\n")},
	"b/draft1.pintle":      {},
	".git/c.pintle":        {},
	".hidden.pintle":       {},
	"folder.pintle/d.html": {},
	"z/zz/deep.pintle":     {},
	"empty/readme.txt":     {},
}

func discover(t *testing.T, disk files.Files, paths ...string) ([]string, []Failure) {
	t.Helper()
	found, err := Search(t.Context(), disk, nil, files.CheckLimits(), paths, nil)
	require.NoError(t, err)
	var names []string
	for _, r := range found.Roots {
		require.NotNil(t, r.Settings)
		names = append(names, r.Name)
	}
	return names, found.Failures
}

func TestDiscover(t *testing.T) {
	for _, c := range []struct{ paths, want []string }{
		{[]string{"."}, []string{"a.pintle", "b/b.pintle", "z/zz/deep.pintle"}},
		{[]string{"b"}, []string{"b/b.pintle"}},
		{[]string{"b/faulty"}, []string{"b/faulty/x.pintle"}},
		{[]string{"b/faulty/x.pintle", "b/draft1.pintle"}, []string{"b/faulty/x.pintle", "b/draft1.pintle"}},
		{[]string{"z", "./a.pintle", "."}, []string{"z/zz/deep.pintle", "a.pintle", "b/b.pintle"}},
		{[]string{"a.pintle", "a.pintle", "./a.pintle"}, []string{"a.pintle"}},
		{[]string{"z/zz/deep.pintle", "z"}, []string{"z/zz/deep.pintle"}},
		{[]string{"-", "a.pintle"}, []string{"-", "a.pintle"}},
		{[]string{"b/notes.txt"}, []string{"b/notes.txt"}},
	} {
		got, failures := discover(t, InFS(tree), c.paths...)
		assert.Equal(t, c.want, got, c.paths)
		assert.Empty(t, failures, c.paths)
	}
}

func TestDiscoverFailures(t *testing.T) {
	got, failures := discover(t, InFS(tree), "gone.pintle", "empty", "a.pintle")
	assert.Equal(t, []string{"a.pintle"}, got, "the rest is found all the same")
	require.Len(t, failures, 2)
	assert.Equal(t, "gone.pintle: there is no such file", failures[0].String())
	assert.Equal(t, "empty: no .pintle file to look at in this folder", failures[1].String())

	// As of a script whose variable is not set: not the present folder, and nothing more allowed.
	got, failures = discover(t, InFS(tree), "")
	assert.Empty(t, got)
	require.Len(t, failures, 1)
	assert.Contains(t, failures[0].String(), "an empty name")
	_, err := Search(t.Context(), InFS(tree), nil, files.CheckLimits(), []string{"."}, []string{""})
	require.ErrorContains(t, err, "an empty name")
}

func TestDiscoverSettingsAreOfTheNearestFolder(t *testing.T) {
	found, err := Search(t.Context(), InFS(tree), nil, files.CheckLimits(), []string{"b/faulty/x.pintle", "a.pintle"}, nil)
	require.NoError(t, err)
	assert.Equal(t, 5, found.Roots[0].Settings.Limits.Nodes)
	assert.Equal(t, settings.DefaultLimits(), found.Roots[1].Settings.Limits)

	bad := InFS(fstest.MapFS{"pintle.toml": {Data: []byte("[rules]\nx = \"off\"\n")}, "a.pintle": {}, "b.pintle": {}})
	got, failures := discover(t, bad, "a.pintle", "b.pintle")
	assert.Equal(t, []string{"a.pintle", "b.pintle"}, got, "settings that can't be used stop nothing")
	require.Len(t, failures, 1, "they are told once")
	assert.Contains(t, failures[0].String(), "pintle.toml:2")
}

// On a disk: links to files are checked, links to folders are not walked, so that a
// ring of them ends, and a folder that can't be entered does not stop the rest.
func TestDiscoverOnDisk(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.MkdirAll("d/e", 0o755))
	require.NoError(t, os.WriteFile("d/real.txt", nil, 0o644))
	require.NoError(t, os.WriteFile("d/e/e.pintle", nil, 0o644))
	require.NoError(t, os.Symlink("real.txt", "d/link.pintle"))
	require.NoError(t, os.Symlink("nowhere", "d/broken.pintle"))
	require.NoError(t, os.Symlink("..", "d/e/ring"))
	got, failures := discover(t, files.Disk{}, ".")
	assert.Equal(t, []string{"d/e/e.pintle", "d/link.pintle"}, got)
	require.Len(t, failures, 1)
	assert.Contains(t, failures[0].String(), "d/broken.pintle: the link leads nowhere")

	abs, err := filepath.Abs("d/e/e.pintle")
	require.NoError(t, err)
	got, _ = discover(t, files.Disk{}, abs)
	assert.Equal(t, []string{filepath.ToSlash(abs)}, got)
}
