// Package spell finds the known word that was most likely meant by an unknown one.
package spell

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// longest is the length in bytes beyond which a word is not looked at: nothing
// that people name is as long, and the cost grows with the square.
const longest = 64

// Nearest returns the word of known that is the fewest slips away from word,
// capitals aside, if it is near enough to be meant: one slip for words of three
// letters or more, two from six, three from ten. Of equally near ones the first in
// known wins. A longer known word that word begins or ends (at least four letters)
// counts as near too, after all others.
func Nearest(word string, known []string) (string, bool) {
	if word == "" || len(word) > longest {
		return "", false
	}
	folded := strings.ToLower(word)
	best, least := "", allowed(utf8.RuneCountInString(word))+1
	for _, k := range known {
		if len(k) > longest {
			continue
		}
		if d := Distance(folded, strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	if best == "" && utf8.RuneCountInString(word) >= 4 {
		if i := slices.IndexFunc(known, func(k string) bool {
			k = strings.ToLower(k)
			return strings.HasPrefix(k, folded) || strings.HasSuffix(k, folded)
		}); i >= 0 {
			best = known[i]
		}
	}
	return best, best != ""
}

func allowed(letters int) int {
	switch {
	case letters >= 10:
		return 3
	case letters >= 6:
		return 2
	case letters >= 3:
		return 1
	}
	return 0
}

// Distance counts the slips between two words: a letter too many, too few or
// wrong, or two neighbours swapped (optimal string alignment).
func Distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, above, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			wrong := 1
			if x[i-1] == y[j-1] {
				wrong = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+wrong)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(y)]
}
