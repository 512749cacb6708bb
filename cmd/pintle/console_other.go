//go:build !windows

package main

import "os"

// understands reports whether a terminal takes the sequences that colours are drawn with:
// TERM tells here.
func understands(*os.File) bool { return true }
