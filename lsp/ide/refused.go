package ide

import "fmt"

// RefusedError tells why something is not renamed, in words for the person who asked.
type RefusedError struct{ Why string }

func (e *RefusedError) Error() string { return e.Why }

func Refused(format string, args ...any) error { return &RefusedError{fmt.Sprintf(format, args...)} }
