//go:build linux || darwin

package files

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// keepAttributes copies the extended attributes of a file, access control lists among
// them, as far as the next one does not have them already by lying in the same folder.
func keepAttributes(old, next *os.File) error {
	from, to := int(old.Fd()), int(next.Fd())
	names := make([]byte, 64<<10) // the most that Linux has
	n, err := unix.Flistxattr(from, names)
	if errors.Is(err, unix.ENOTSUP) || errors.Is(err, unix.ENOSYS) {
		return nil // there are none on this file system
	}
	if err != nil {
		return fmt.Errorf("its extended attributes: %w", err)
	}
	for name := range strings.SplitSeq(strings.TrimRight(string(names[:n]), "\x00"), "\x00") {
		if name == "" {
			continue
		}
		value, err := attribute(from, name)
		if err != nil {
			return fmt.Errorf("its extended attribute %q: %w", name, err)
		}
		if now, err := attribute(to, name); err == nil && bytes.Equal(now, value) {
			continue
		}
		if err := unix.Fsetxattr(to, name, value, 0); err != nil {
			return fmt.Errorf("its extended attribute %q: %w", name, err)
		}
	}
	return nil
}

func attribute(fd int, name string) ([]byte, error) {
	value := make([]byte, 64<<10)
	n, err := unix.Fgetxattr(fd, name, value)
	if err != nil {
		return nil, err
	}
	return value[:n], nil
}
