package unit

import (
	"strings"
	"unicode/utf8"

	"pintle/lang/spelling"
)

// Suggest returns the unit that was most likely meant by a word: the one that is
// spelled so but for case ("RPM"), whose name was written ("volts", "psig"), or
// that is one slip away ("rmp"; two from six letters on). A word that is read
// by [Lookup] is its own suggestion. It offers nothing for words of one or two
// letters that differ in more than case, as those are near to everything.
func Suggest(word string) (Unit, bool) {
	if u, ok := Lookup(word); ok {
		return u, u.Symbol != ""
	}
	const longest = 24 // bytes; no unit is longer
	if len(word) > longest || !utf8.ValidString(word) {
		return Unit{}, false
	}
	folded := strings.ToLower(word)
	limit := 0
	switch n := utf8.RuneCountInString(folded); {
	case n >= 6:
		limit = 2
	case n >= 3:
		limit = 1
	}
	best := Unit{}
	// Ordered by slips with case ignored, then with case; then table order.
	bestFolded, bestExact := limit+1, 0
	for _, e := range table[1:] {
		for candidate := range e.candidates() {
			f := spelling.Distance(folded, strings.ToLower(candidate))
			if f > bestFolded || f > 0 && utf8.RuneCountInString(candidate) < 3 {
				continue
			}
			x := spelling.Distance(word, candidate)
			if f < bestFolded || best.Symbol != "" && x < bestExact {
				best, bestFolded, bestExact = e.unit, f, x
			}
		}
	}
	return best, best.Symbol != ""
}

// candidates yields every word that stands for the unit.
func (e *entry) candidates() func(yield func(string) bool) {
	return func(yield func(string) bool) {
		if !yield(e.symbol) {
			return
		}
		for _, list := range [...][]string{e.also, e.meant} {
			for _, w := range list {
				if !yield(w) {
					return
				}
			}
		}
	}
}
