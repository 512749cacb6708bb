package convert

import (
	"net/url"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/uri"

	"pintle/checker/files"
)

// Name is what a document is known by inside: the absolute path of a file, with slashes,
// or, for one that is in no file (untitled:, git:), its URI as it is.
func Name(u uri.URI) string {
	if !IsFile(u) {
		return string(u)
	}
	name := u.FsPath()
	// A name that is no UTF-8, as file systems of Unix may have them: the library leaves
	// `%E9` as it is where it stands for that byte and for no letter.
	if raw, err := url.PathUnescape(name); err == nil && !utf8.ValidString(raw) {
		name = raw
	}
	return files.Clean(filepath.ToSlash(name))
}

// IsFile tells whether a URI stands for a file of this machine.
func IsFile(u uri.URI) bool { return u.IsFile() }

// URI of a document by its name.
func URI(name string) uri.URI {
	if InFile(name) {
		return uri.File(filepath.FromSlash(name))
	}
	return uri.URI(name)
}

// InFile tells whether a name is that of a file.
func InFile(name string) bool {
	return files.IsAbs(name) || !strings.Contains(name, ":")
}
