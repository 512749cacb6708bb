package convert

import (
	"path/filepath"
	"strings"

	"go.lsp.dev/uri"

	"pintle/checker/run/files"
)

// Name is what a document is known by inside: the absolute path of a file, with slashes,
// or, for one that is in no file (untitled:, git:), its URI as it is. The URI has gone through
// FromWire.
func Name(u uri.URI) string {
	if !IsFile(u) {
		return string(u)
	}
	return files.Clean(filepath.ToSlash(decodeBytes(u.FsPath())))
}

// IsFile reports whether a URI stands for a file of this machine.
func IsFile(u uri.URI) bool { return u.IsFile() }

// URI of a document by its name, to go through ToWire.
func URI(name string) uri.URI {
	if InFile(name) {
		return uri.File(filepath.FromSlash(encodeBytes(name)))
	}
	return uri.URI(name)
}

// InFile reports whether a name is that of a file.
func InFile(name string) bool {
	return files.IsAbs(name) || !strings.Contains(name, ":")
}
