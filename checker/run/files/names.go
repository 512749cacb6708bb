package files

import (
	"fmt"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// Names of files have slashes on every system. On Windows they may begin with a drive,
// C:/dir, or with a server and what it shares, //server/share/dir: package path knows neither,
// and takes the root of a drive for a relative name. These functions do, and are those of
// package path elsewhere.

// Clean is the shortest name of the same file.
func Clean(name string) string { return filepath.ToSlash(filepath.Clean(filepath.FromSlash(name))) }

// Dir is the folder that a name stands in; that of a root is the root.
func Dir(name string) string { return filepath.ToSlash(filepath.Dir(filepath.FromSlash(name))) }

// Join is the name of what is called by a relative name in a folder.
func Join(dir, name string) string {
	return filepath.ToSlash(filepath.Join(filepath.FromSlash(dir), filepath.FromSlash(name)))
}

// IsAbs reports whether a name is not relative to a folder. On Windows that is so of one that
// begins with a slash too, though it is of the present drive.
func IsAbs(name string) bool { return path.IsAbs(name) || filepath.IsAbs(filepath.FromSlash(name)) }

// NameError is returned for a name that Windows takes for something else than the file of that
// name.
type NameError struct{ Element, Why string }

func (e *NameError) Error() string { return fmt.Sprintf("on Windows `%s` %s", e.Element, e.Why) }

// devices are the names that Windows takes for devices in every folder, whatever stands behind a
// dot: https://learn.microsoft.com/windows/win32/fileio/naming-a-file
var devices = []string{
	"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$",
	"COM0", "COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8", "COM9", "COM\u00b9", "COM\u00b2", "COM\u00b3",
	"LPT0", "LPT1", "LPT2", "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9", "LPT\u00b9", "LPT\u00b2", "LPT\u00b3",
}

// wellNamed returns what is wrong with a name on Windows, and nothing elsewhere.
func wellNamed(name string) error {
	if runtime.GOOS != "windows" {
		return nil
	}
	return wellNamedOnWindows(filepath.ToSlash(name[len(filepath.VolumeName(name)):]))
}

// wellNamedOnWindows looks at a name without its drive.
func wellNamedOnWindows(name string) error {
	for element := range strings.SplitSeq(name, "/") {
		if element == "." || element == ".." {
			continue
		}
		base, _, _ := strings.Cut(element, ".")
		base, _, stream := strings.Cut(base, ":")
		switch {
		case slices.Contains(devices, strings.ToUpper(strings.TrimRight(base, " "))):
			return &NameError{element, "is the name of a device, not of a file"}
		case stream || strings.Contains(element, ":"):
			return &NameError{element, "would be a stream within a file, not a file"}
		case strings.HasSuffix(element, ".") || strings.HasSuffix(element, " "):
			return &NameError{element, "would be the file without the dots and blanks at its end; write its name without them"}
		case strings.ContainsAny(element, `<>"|?*`) || strings.IndexFunc(element, func(r rune) bool { return r < ' ' }) >= 0:
			return &NameError{element, `can't be the name of a file`}
		}
	}
	return nil
}
