package spell

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	known := []string{"sneak-path", "no-feed", "no-suppression", "wire-overload", "floating-ground"}
	for word, want := range map[string]string{
		"sneakpath":              "sneak-path",
		"NO-FEED":                "no-feed",
		"no-fed":                 "no-feed",
		"wire-overlaod":          "wire-overload",
		"floating":               "floating-ground",
		"suppression":            "no-suppression",
		"zz":                     "",
		"":                       "",
		"something-else":         "",
		strings.Repeat("x", 100): "",
	} {
		got, ok := Nearest(word, known)
		assert.Equal(t, want, got, "nearest to %q", word)
		assert.Equal(t, want != "", ok)
	}
}

// Distance is symmetric, zero only between equals, and at most the longer length.
func TestDistanceIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.StringN(0, 12, -1).Draw(t, "a"), rapid.StringN(0, 12, -1).Draw(t, "b")
		d := Distance(a, b)
		assert.Equal(t, d, Distance(b, a))
		assert.Equal(t, a == b, d == 0)
		assert.LessOrEqual(t, d, max(len([]rune(a)), len([]rune(b))))
	})
}
