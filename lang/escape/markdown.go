package escape

import (
	"regexp"
	"strings"
)

// Markdown makes a text read as it is written where Markdown is rendered (CommonMark 0.31
// with the tables, strikethrough and bare links of GitHub): no link, image, heading, list,
// table or HTML follows from it. Only `code` in backticks, within one line, stays code, since that
// is how people write names in comments.
func Markdown(s string) string {
	lines := strings.Split(Lines(s), "\n")
	for i, l := range lines {
		lines[i] = markdownLine(strings.TrimLeft(l, " \t"))
	}
	return strings.Join(lines, "\n")
}

// Code makes a text a span of code: the fence of backticks is longer than any in it.
func Code(s string) string {
	s = Line(s)
	if strings.TrimSpace(s) == "" {
		return s
	}
	fence := longer(s, 1)
	if strings.HasPrefix(s, "`") || strings.HasSuffix(s, "`") {
		s = " " + s + " " // one blank at each end is taken off again
	}
	return fence + s + fence
}

// Fence makes a text a block of code in a language.
func Fence(language, s string) string {
	s = strings.TrimRight(Lines(s), "\n")
	fence := longer(s, 3)
	return fence + language + "\n" + s + "\n" + fence
}

// longer is a run of backticks that is in no text, at least n of them.
func longer(s string, n int) string {
	run := 0
	for i := range len(s) {
		if s[i] != '`' {
			run = 0
			continue
		}
		run++
		n = max(n, run+1)
	}
	return strings.Repeat("`", n)
}

func markdownLine(l string) string {
	var b strings.Builder
	for l != "" {
		i := strings.IndexByte(l, '`')
		if i < 0 {
			b.WriteString(escapeMarkup(l, b.Len() == 0))
			break
		}
		b.WriteString(escapeMarkup(l[:i], b.Len() == 0))
		l = l[i:]
		run := len(l) - len(strings.TrimLeft(l, "`"))
		// Code ends at the next run of as many backticks, not more and not fewer.
		end := closing(l[run:], run)
		if end < 0 || strings.TrimSpace(l[run:run+end]) == "" {
			b.WriteString(strings.Repeat("\\`", run))
			l = l[run:]
			continue
		}
		b.WriteString(Code(strings.TrimSpace(l[run : run+end])))
		l = l[run+end+run:]
	}
	return b.String()
}

// closing is where a run of just n backticks begins; -1: nowhere.
func closing(s string, n int) int {
	for i := 0; i < len(s); {
		if s[i] != '`' {
			i++
			continue
		}
		run := len(s[i:]) - len(strings.TrimLeft(s[i:], "`"))
		if run == n {
			return i
		}
		i += run
	}
	return -1
}

var (
	// What means something anywhere, what makes a bare link, and entities.
	markup = regexp.MustCompile(`[\\*_<>\[\]|~]|:\/\/|(?i:www\.)|(?i:\b(?:mailto|xmpp|command|javascript|data|file):)|@|\$\(|&#?[0-9A-Za-z]+;`)
	// What means something where a line begins. CommonMark wants a blank after #; not every
	// renderer does.
	opening = regexp.MustCompile(`^(?:#|[0-9]*(?:[=:-]+\s*$|(?:[+-]|[.)])(?:\s|$)))`)
)

func escapeMarkup(s string, begins bool) string {
	s = markup.ReplaceAllStringFunc(s, func(m string) string {
		switch last := len(m) - 1; {
		case m == "://":
			return `\://`
		case m[last] == '.', len(m) > 1 && m[last] == ':':
			return m[:last] + `\` + m[last:]
		}
		return `\` + m
	})
	if !begins {
		return s
	}
	return opening.ReplaceAllStringFunc(s, func(m string) string {
		n := len(m) - len(strings.TrimLeft(m, "0123456789")) // a number that counts a list stays one
		return m[:n] + `\` + m[n:]
	})
}
