package format

import "strings"

// mark is the byte-order mark that some editors begin a text with.
const mark = "\ufeff"

// endings is how most lines of a text end.
func endings(text string) string {
	both := strings.Count(text, "\r\n")
	feeds, returns := strings.Count(text, "\n")-both, strings.Count(text, "\r")-both
	switch {
	case both > feeds && both >= returns:
		return "\r\n"
	case returns > feeds:
		return "\r"
	}
	return "\n"
}

var plain = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// withEndings gives all lines of a text the same ending.
func withEndings(text, ending string) string {
	if strings.Contains(text, "\r") {
		text = plain.Replace(text)
	}
	if ending == "\n" {
		return text
	}
	return strings.ReplaceAll(text, "\n", ending)
}
