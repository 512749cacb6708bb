package circuittest

import (
	"fmt"
	"strconv"
)

func formatted(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func numbered(name string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("%s.%d", name, i+1)
	}
	return out
}
