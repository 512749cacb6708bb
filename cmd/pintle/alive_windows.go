package main

import (
	"errors"

	"golang.org/x/sys/windows"
)

// alive reports whether a process runs. One that may not be asked is there. One that has
// ended can still be opened as long as somebody holds it, but no longer waited for.
func alive(pid int) bool {
	h, err := windows.OpenProcess(windows.SYNCHRONIZE, false, uint32(pid))
	if err != nil {
		return errors.Is(err, windows.ERROR_ACCESS_DENIED)
	}
	event, err := windows.WaitForSingleObject(h, 0)
	_ = windows.CloseHandle(h) // looking was all that was wanted
	return err != nil || event == uint32(windows.WAIT_TIMEOUT)
}
