package unit

// Range is how a span of values of one dimension is written: "700 to 1400 rpm".
type Range struct{ Lo, Hi Value }

// String writes the unit once where both ends share it, except for AWG, which
// every size carries.
func (r Range) String() string {
	if r.Lo.Unit == r.Hi.Unit && !r.Lo.Unit.IsAWG() {
		return r.Lo.Written.String() + " to " + r.Hi.String()
	}
	return r.Lo.String() + " to " + r.Hi.String()
}
