package ide

import "strings"

// relative is the way from a folder to a file, both absolute.
func relative(dir, file string) string {
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
