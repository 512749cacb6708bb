// Package spelling finds the word that was probably meant by a word that is none.
package spelling

import "iter"

// longest is the length beyond which a word is not taken for a slip of the fingers.
const longest = 64

// Distance counts the slips between two words: a byte too many, too few or wrong, or
// two neighbours swapped (optimal string alignment).
func Distance(a, b string) int {
	if len(a) > longest || len(b) > longest {
		return max(len(a), len(b))
	}
	var rows [3][longest + 1]int
	before, above, row := &rows[0], &rows[1], &rows[2]
	for j := range len(b) + 1 {
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

// Best returns the candidate nearest to word, the first of equals, or "" when none is
// within a slip in three letters. Words of one or two letters are near to everything
// and get no suggestion.
func Best(word string, candidates iter.Seq[string]) string {
	if len(word) < 3 {
		return ""
	}
	best, at := "", 1+len(word)/3
	for c := range candidates {
		if c == word || len(c) < 2 {
			continue
		}
		if n := len(c) - len(word); n >= at || -n >= at {
			continue
		}
		if d := Distance(word, c); d < at {
			best, at = c, d
		}
	}
	return best
}
