// Package soak lets tests that draw designs at random draw others, and more of them, than
// they do in every run. Two environment variables say how:
//
//	PINTLE_SEED=70000   other drawings: this is added to every seed
//	PINTLE_SOAK=20      so many times as many
package soak

import (
	"os"
	"strconv"
)

// Seed is what is added to the seeds of drawings.
func Seed() int { return number("PINTLE_SEED", 0) }

// Times is how many things to draw where a test draws n in every run.
func Times(n int) int { return n * max(1, number("PINTLE_SOAK", 1)) }

func number(name string, otherwise int) int {
	n, err := strconv.Atoi(os.Getenv(name))
	if err != nil {
		return otherwise
	}
	return n
}
