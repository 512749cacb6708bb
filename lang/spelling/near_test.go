package spelling

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestBest(t *testing.T) {
	names := []string{"battery", "coolant", "key", "K1", "fast"}
	for _, c := range []struct{ word, want string }{
		{"batery", "battery"},
		{"battrey", "battery"},
		{"coolent", "coolant"},
		{"kye", "key"},
		{"xyz", ""},
		{"K2", ""},
		{"key", ""},
		{"", ""},
	} {
		assert.Equal(t, c.want, Best(c.word, slices.Values(names)), c.word)
	}
}

func TestDistanceIsSymmetricAndZeroOnlyForEquals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "a"), rapid.String().Draw(t, "b")
		assert.Equal(t, Distance(a, b), Distance(b, a))
		assert.Equal(t, a == b, Distance(a, b) == 0)
		assert.LessOrEqual(t, Distance(a, b), max(len(a), len(b)))
	})
}
