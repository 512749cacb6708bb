package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

// nonblocking is not needed: pipes and devices do not lie in folders here.
const nonblocking = 0

// links is the number of names that a file has.
func links(f *os.File, _ fs.FileInfo) uint64 {
	var about windows.ByHandleFileInformation
	if windows.GetFileInformationByHandle(windows.Handle(f.Fd()), &about) != nil {
		return 1 // a file system that can't say has no such links
	}
	return uint64(about.NumberOfLinks)
}

// keep has nothing to do: [swap] keeps what the old file has.
func keep(*os.File, fs.FileInfo, *os.Root, string, *os.File) error { return nil }

var replaceFile = windows.NewLazySystemDLL("kernel32.dll").NewProc("ReplaceFileW")

// swap puts the file at from in the place of another one, which is gone then. The file
// keeps the access list, the attributes and the further streams of the old one:
// https://learn.microsoft.com/windows/win32/api/winbase/nf-winbase-replacefilew
func swap(dir *os.Root, from, to string) error {
	old, err := windows.UTF16PtrFromString(filepath.Join(dir.Name(), to))
	if err != nil {
		return err
	}
	next, err := windows.UTF16PtrFromString(filepath.Join(dir.Name(), from))
	if err != nil {
		return err
	}
	ok, _, err := replaceFile.Call(uintptr(unsafe.Pointer(old)), uintptr(unsafe.Pointer(next)), 0, 0, 0, 0)
	if ok == 0 {
		return &fs.PathError{Op: "replace", Path: to, Err: err}
	}
	return nil
}

// numbers are those by which the system knows a file.
func numbers(name string, info fs.FileInfo) (device, number uint64, ok bool) {
	if info.Sys() == nil || !info.Mode().IsRegular() {
		return 0, 0, false
	}
	if _, ok := info.Sys().(*syscall.Win32FileAttributeData); !ok {
		return 0, 0, false // not of the disk
	}
	f, err := os.Open(filepath.FromSlash(name))
	if err != nil {
		return 0, 0, false
	}
	defer closing(f)
	var about windows.ByHandleFileInformation
	if windows.GetFileInformationByHandle(windows.Handle(f.Fd()), &about) != nil {
		return 0, 0, false
	}
	return uint64(about.VolumeSerialNumber), uint64(about.FileIndexHigh)<<32 | uint64(about.FileIndexLow), true
}

// Owner is the number of the user that a file belongs to; ok is false where files have
// none.
func Owner(fs.FileInfo) (user int, ok bool) { return 0, false }
