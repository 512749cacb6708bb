package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// understands reports whether a terminal takes the sequences that colours are drawn with, and
// makes a console of Windows take them: one older than Windows 10 never does.
func understands(f *os.File) bool {
	var mode uint32
	h := windows.Handle(f.Fd())
	if windows.GetConsoleMode(h, &mode) != nil {
		return false
	}
	const wanted = windows.ENABLE_PROCESSED_OUTPUT | windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING
	return mode&wanted == wanted || windows.SetConsoleMode(h, mode|wanted) == nil
}
