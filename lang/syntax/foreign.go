package syntax

import (
	"unicode/utf8"
)

// signs are those that people bring along, with what is written here instead.
var signs = map[string]string{
	"->": "write `to`", "=>": "write `to`", ">": "write `above`", "<": "write `below`",
	">=": "write `at least`", "<=": "write `at most`", "=": "write `is`", "==": "write `is`",
	"!=": "write `is not`", "<>": "write `is not`", "!": "write `not`", "&&": "write `and`", "&": "write `and`",
	"||": "write `or`", "|": "write `or`", ";": "end the line, or write a comma",
	"'": "write double quotes, `\"`", "`": "write double quotes, `\"`", "‘": "write double quotes, `\"`", "’": "write double quotes, `\"`",
	"“": "write straight quotes, `\"`", "”": "write straight quotes, `\"`", "„": "write straight quotes, `\"`",
	"–": "write `-` before a number and `to` in a range", "—": "write `-` before a number and `to` in a range",
	"−": "write `-`", "[": "write `(`", "]": "write `)`", "*": "write the number before its unit",
	".": "a number begins with a digit, as in `0.5`, and a path joins names without spaces",
	"+": "write `+-` for a tolerance", "-": "a number is joined to its minus, as in `-30 degC`",
}

// strange reports a token that means nothing in the language, and reports whether it is
// one.
func (p *parser) strange(i int) bool {
	switch p.kindAt(i) {
	case Foreign:
	case Text:
		if t := p.textAt(i); len(t) < 2 || t[len(t)-1] != '"' {
			p.broken = true
			p.report(p.spanAt(i), "this text has no closing quote", "write `\"` where the text ends")
			return true
		}
		return false
	default:
		return false
	}
	p.broken = true
	text := p.textAt(i)
	if r, n := utf8.DecodeRuneInString(text); r == utf8.RuneError && n <= 1 {
		p.report(p.spanAt(i), "a byte that is no text stands here", "save the file as UTF-8")
		return true
	}
	p.report(p.spanAt(i), "`"+text+"` has no meaning here", signs[text])
	return true
}
