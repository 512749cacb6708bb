package ide

import (
	"unicode"
	"unicode/utf8"
)

// Fuzzy reports whether the letters of a pattern occur in a text in their order, whatever
// their case, and how well: runs, beginnings of words and the very beginning count more.
func Fuzzy(pattern, text string) (score int, ok bool) {
	if pattern == "" {
		return 0, true
	}
	run, begin := 0, true
	for _, c := range text {
		p, n := utf8.DecodeRuneInString(pattern)
		if n == 0 {
			break
		}
		if unicode.ToLower(p) == unicode.ToLower(c) {
			pattern = pattern[n:]
			run++
			score += run
			if begin {
				score += 4
			}
			if p == c {
				score++
			}
		} else {
			run = 0
		}
		begin = !unicode.IsLetter(c) && !unicode.IsDigit(c)
	}
	if pattern != "" {
		return 0, false
	}
	return score*64 - min(len(text), 63), true
}
