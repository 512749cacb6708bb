package files_test

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"

	"pintle/checker/run/files"
)

func TestNames(t *testing.T) {
	type name struct{ name, clean, dir, joined string }
	names := []name{
		{"a/b.pintle", "a/b.pintle", "a", "a/b.pintle/x"}, {"a//b/../c", "a/c", "a", "a/c/x"}, {".", ".", ".", "x"}, {"größe/a b", "größe/a b", "größe", "größe/a b/x"},
	}
	abs := []name{{"/a/./b", "/a/b", "/a", "/a/b/x"}, {"/", "/", "/", "/x"}}
	if runtime.GOOS == "windows" {
		abs = append(abs, name{"C:/a/b", "C:/a/b", "C:/a", "C:/a/b/x"}, name{"C:/a", "C:/a", "C:/", "C:/a/x"}, name{"C:/", "C:/", "C:/", "C:/x"},
			name{"//server/share/a/../b", "//server/share/b", "//server/share/", "//server/share/b/x"}, name{`C:\a\b`, "C:/a/b", "C:/a", "C:/a/b/x"})
	} else {
		names = append(names, name{`a\b`, `a\b`, ".", `a\b/x`}, name{"C:/a", "C:/a", "C:", "C:/a/x"})
	}
	check := func(n name) {
		assert.Equal(t, n.clean, files.Clean(n.name), n.name)
		assert.Equal(t, n.dir, files.Dir(n.clean), n.name)
		assert.Equal(t, n.joined, files.Join(n.name, "x"), n.name)
	}
	for _, n := range names {
		check(n)
		assert.False(t, files.IsAbs(n.name), n.name)
	}
	for _, n := range abs {
		check(n)
		assert.True(t, files.IsAbs(n.name), n.name)
		// Upward there is an end.
		dir := n.clean
		for range 10 {
			dir = files.Dir(dir)
		}
		assert.Equal(t, dir, files.Dir(dir))
		assert.True(t, files.IsAbs(dir), dir)
	}
}
