package unit

import (
	"strings"
	"unicode/utf8"
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
	folded := []rune(strings.ToLower(word))
	limit := 0
	switch n := len(folded); {
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
			f := distance(folded, []rune(strings.ToLower(candidate)))
			if f > bestFolded || f > 0 && utf8.RuneCountInString(candidate) < 3 {
				continue
			}
			x := distance([]rune(word), []rune(candidate))
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

// distance counts the slips between two words: a letter too many, too few or
// wrong, or two neighbours swapped (optimal string alignment).
func distance(a, b []rune) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			wrong := 1
			if a[i-1] == b[j-1] {
				wrong = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
