package ide

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Relative is the way from a folder to a file, both absolute.
func Relative(dir, file string) string {
	a, b := strings.Split(strings.Trim(dir, "/"), "/"), strings.Split(strings.Trim(file, "/"), "/")
	n := 0
	for n < len(a) && n < len(b)-1 && a[n] == b[n] {
		n++
	}
	if n == 0 && (strings.Contains(a[0], ":") || strings.HasPrefix(dir, "//")) {
		return file // on another drive or server
	}
	up := len(a) - n
	if dir == "/" {
		up = 0
	}
	return strings.Repeat("../", up) + strings.Join(b[n:], "/")
}

// Quotable reports whether a path can stand in quotes, whatever a file may be called: one
// that can't would end the text, or the line, and what follows would be read as statements.
// The `use` line then stays as it is, and a finding says that the file is missing.
func Quotable(p string) bool {
	return utf8.ValidString(p) && !strings.ContainsFunc(p, func(r rune) bool {
		return r == '"' || unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
	})
}
