package replay

import (
	"math"
	"strconv"
	"strings"
)

// decimal writes a number with as many digits as a hundredth of a width is worth, six
// significant ones at most.
func decimal(v, width float64) string {
	digits := 3
	if width > 0 {
		digits = int(math.Ceil(2 - math.Log10(width)))
	}
	if v != 0 {
		digits = min(digits, 5-int(math.Floor(math.Log10(math.Abs(v)))))
	}
	s := strconv.FormatFloat(v, 'f', max(0, digits), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// either joins words: "a", "a or b", "a, b or c".
func either(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
