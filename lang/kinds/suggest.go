package kinds

import "strings"

// Suggest names the kind that was probably meant by a word that is none, among
// those that may stand in the context; "" if nothing is near.
func Suggest(word string, in Context) string {
	best, bestAt := "", 1+len(word)/3
	for _, k := range All() {
		if k.Where&in == 0 {
			continue
		}
		if d := distance(word, k.Name); d < bestAt || d == bestAt && best == "" {
			best, bestAt = k.Name, d
		}
	}
	return best
}

// Suggest finds the form whose first words are nearest to what was written, or nil.
// It asks for one word in common or nearly so: a guess that is far off helps nobody.
func (k *Kind) Suggest(written []string) *Form {
	var best *Form
	bestAt := 1 << 30
	for _, f := range k.Forms {
		words := strings.Fields(f.literal())
		if len(words) == 0 || len(written) == 0 {
			continue
		}
		n := min(len(words), len(written))
		at := 2 * (len(words) - n) // each word that is left out
		near := false
		for i := range n {
			d := distance(written[i], words[i])
			near = near || d <= len(words[i])/3
			at += min(d, 3)
		}
		if near && at < bestAt {
			best, bestAt = f, at
		}
	}
	return best
}

// distance counts the letters that are too many, too few, wrong or swapped with
// their neighbour.
func distance(a, b string) int {
	const longest = 32 // words beyond are not a slip of the fingers
	if len(a) > longest || len(b) > longest {
		return longest
	}
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
