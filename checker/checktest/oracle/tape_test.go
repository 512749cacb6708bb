package oracle_test

import (
	"math/rand/v2"
	"slices"
)

// tape gives choices: those that it was made with, then random ones. It keeps what it
// gave, so that a drawing can be repeated, and made shorter by leaving choices out.
type tape struct {
	given  []int
	at     int
	random *rand.Rand // nil: 0 from where given ends
}

func drawn(seed uint64) *tape { return &tape{random: rand.New(rand.NewPCG(seed, 17))} }

// n is a choice among so many.
func (t *tape) n(many int) int {
	if many < 1 {
		panic("no choice")
	}
	x := 0
	switch {
	case t.at < len(t.given):
		x = t.given[t.at] % many
		t.given[t.at] = x
	case t.random != nil:
		x = t.random.IntN(many)
		t.given = append(t.given, x)
	default:
		t.given = append(t.given, 0)
	}
	t.at++
	return x
}

// yes is true once in so many times.
func (t *tape) yes(oneIn int) bool { return t.n(oneIn) == oneIn-1 }

func of[T any](t *tape, from ...T) T { return from[t.n(len(from))] }

// shorter looks for a shorter or smaller list of choices that still fails.
func shorter(choices []int, fails func([]int) bool, tries int) []int {
	best := slices.Clone(choices)
	try := func(c []int) bool {
		if tries--; tries < 0 || !fails(slices.Clone(c)) {
			return false
		}
		best = c
		return true
	}
	for better := true; better && tries > 0; {
		better = false
		for size := max(1, len(best)/2); size > 0; size /= 2 {
			for at := 0; at+size <= len(best); {
				if try(slices.Delete(slices.Clone(best), at, at+size)) {
					better = true
				} else {
					at += size
				}
			}
		}
		for at := 0; at < len(best); at++ {
			for _, x := range []int{0, best[at] / 2, best[at] - 1} {
				if at < len(best) && x >= 0 && x < best[at] {
					c := slices.Clone(best)
					c[at] = x
					if try(c) {
						better = true
						break
					}
				}
			}
		}
	}
	return best
}
