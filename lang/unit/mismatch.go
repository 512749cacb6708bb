package unit

import "fmt"

// MismatchError reports an attempt to compare, convert or combine quantities
// that have no common scale.
type MismatchError struct {
	// Left and Right are the quantities as people would read them: "12 V",
	// or the name of a unit.
	Left, Right string
	// Why says what stands between them, as a clause.
	Why string
}

func (e *MismatchError) Error() string {
	return fmt.Sprintf("%s and %s don't go together: %s", e.Left, e.Right, e.Why)
}

// mismatch returns nil when quantities of the two dimensions share a scale.
func mismatch(left, right fmt.Stringer, a, b Dim) error {
	if a == b {
		return nil
	}
	e := &MismatchError{Left: left.String(), Right: right.String()}
	switch {
	case a != Pressure && b != Pressure && a.IsPressure() && b.IsPressure():
		e.Why = "gauge is measured from the surrounding air and absolute from nothing, and the air pressure between them is not known; write both the same way"
	case a.IsPressure() && b.IsPressure():
		e.Why = "only one of them says gauge or absolute; say it after the unit of the other too"
	default:
		e.Why = fmt.Sprintf("one is %s, the other %s", a.Phrase(), b.Phrase())
	}
	return e
}
