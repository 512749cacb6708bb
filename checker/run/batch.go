package run

import (
	"os"
	"runtime/debug"
)

// Batch tunes the garbage collector for a program that ends when its check does: there
// is little to keep and much to throw away, so collecting seldom saves a fifth of the
// time on many small files, and a soft limit keeps the heap below a gigabyte on large
// ones. GOGC and GOMEMLIMIT, where they are set, stand.
func Batch() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(800)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(768 << 20)
	}
}

// Resident tunes it for a program that stays: memory that others want is given back, at
// the price of time, from a soft limit on. GOMEMLIMIT, where it is set, stands.
func Resident() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(160 << 20)
	}
}
