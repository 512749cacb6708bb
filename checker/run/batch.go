package run

import (
	"os"
	"runtime/debug"
)

// Batch tunes the garbage collector for a program that ends when its check does: there is little
// to keep and much to throw away. At 300 % a library of 64 designs takes about 250 MB and a vehicle
// of 1,000 lines 140 MB; at 800 % they take 730 and 290 MB, and more time besides, since memory
// that is new has to be cleared by the system. A soft limit keeps the heap below a gigabyte on large
// designs. GOGC and GOMEMLIMIT, where they are set, stand.
func Batch() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300)
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
