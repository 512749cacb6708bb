// Package escape makes names and texts of designs, and names of files, safe for what shows
// them: one function for each kind of output. A folder that a stranger wrote may hold
// anything: characters that steer a terminal, that turn the direction of a line around, or
// that mean a link or an image to what renders Markdown.
//
//	Line, Lines     terminals, and fields that are shown as plain text
//	Writer          streams for people: standard error, logs
//	Path            the path in front of `path:line:column:`
//	Markdown, Code, Fence
//	                hovers and other texts that an editor renders
//	SARIF           messages in SARIF
//	JSON            bytes of any JSON document; what it means stays the same
//
// XML is Lines behind the encoder of encoding/xml.
package escape

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Shown returns what stands for a character where it is shown, and whether that is another
// text than the character itself. Controls (C0, DEL, C1), separators of lines, and bytes that
// are no UTF-8 are shown as a question mark. What has no shape of its own but changes how its
// neighbours are shown, such as directional marks, is left out; only the joiner of pictographs
// stays. Size is the number of bytes that the character was decoded from.
func Shown(r rune, size int) (text string, changed bool) {
	switch {
	case r == utf8.RuneError && size <= 1, unicode.IsControl(r), r == '\u2028', r == '\u2029':
		return "?", true
	case unicode.In(r, unicode.Cf) && r != '\u200d':
		return "", true
	}
	return "", false
}

// Line makes a text safe on one line of a terminal: ends of lines and tabs become blanks.
func Line(s string) string {
	return replace(s, func(r rune, size int) (string, bool) {
		if r == '\n' || r == '\t' {
			return " ", true
		}
		return Shown(r, size)
	})
}

// Lines makes a text of several lines safe: ends of lines and tabs stay as they are.
func Lines(s string) string {
	return replace(s, func(r rune, size int) (string, bool) {
		if r == '\n' || r == '\t' {
			return "", false
		}
		return Shown(r, size)
	})
}

// Path makes a path safe in front of `path:line:column:`. A colon before a digit or a blank
// could be taken for the one behind the path; it is written as in a URI (RFC 3986, section 2.1),
// %3A, and so are all characters that [Line] would not leave as they are. A percent sign that
// could be taken for the start of such a code is written %25.
func Path(s string) string {
	i := 0
	return replace(s, func(r rune, size int) (string, bool) {
		raw := s[i : i+size]
		i += size
		rest := s[i:]
		switch _, changed := Shown(r, size); {
		case r == ':' && rest != "" && (rest[0] == ' ' || rest[0] >= '0' && rest[0] <= '9'):
		case r == '%' && len(rest) >= 2 && isHex(rest[0]) && isHex(rest[1]):
		case changed:
		default:
			return "", false
		}
		var b strings.Builder
		for _, c := range []byte(raw) {
			b.WriteByte('%')
			b.WriteByte(upperHex[c>>4])
			b.WriteByte(upperHex[c&15])
		}
		return b.String(), true
	})
}

const upperHex = "0123456789ABCDEF"

func isHex(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F'
}

// SARIF makes a text safe as the text of a SARIF message: what would be an embedded link
// (SARIF 2.1.0, section 3.11.6) or a placeholder (section 3.11.5) is written as the standard
// says for plain brackets and braces.
func SARIF(s string) string {
	s = Lines(s)
	if strings.Contains(s, "](") {
		s = strings.NewReplacer(`[`, `\[`, `]`, `\]`).Replace(s)
	}
	for i := 0; i < len(s); i++ {
		if s[i] != '{' {
			continue
		}
		j := i + 1
		for j < len(s) && s[j] >= '0' && s[j] <= '9' {
			j++
		}
		if j > i+1 && j < len(s) && s[j] == '}' {
			s = s[:i] + "{{" + s[i+1:j] + "}}" + s[j+1:]
			i = j + 2
		}
	}
	return s
}

// JSON writes the characters of a JSON document that [Lines] would change as \u codes: the
// document means the same, and shows nothing false where it is looked at as text. They can
// stand in its strings only.
func JSON(doc []byte) []byte {
	s := string(doc)
	return []byte(replace(s, func(r rune, size int) (string, bool) {
		if _, changed := Shown(r, size); !changed || r == '\n' || r == '\t' || r == '\r' {
			return "", false
		}
		if r > 0xFFFF { // a surrogate pair (RFC 8259, section 7)
			r -= 0x10000
			return unicodeEscape(0xD800+r>>10) + unicodeEscape(0xDC00+r&0x3FF), true
		}
		return unicodeEscape(r), true
	}))
}

func unicodeEscape(r rune) string {
	const digits = "0123456789abcdef"
	return string([]byte{'\\', 'u', digits[r>>12&15], digits[r>>8&15], digits[r>>4&15], digits[r&15]})
}

// replace puts another text for each character of which by says so. A text in which there is
// none is returned as it is.
func replace(s string, by func(r rune, size int) (string, bool)) string {
	var b strings.Builder
	kept := 0 // up to here all was written
	for i := 0; i < len(s); {
		r, size := rune(s[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(s[i:])
		}
		if text, changed := by(r, size); changed {
			b.WriteString(s[kept:i])
			b.WriteString(text)
			kept = i + size
		}
		i += size
	}
	if kept == 0 {
		return s
	}
	b.WriteString(s[kept:])
	return b.String()
}
