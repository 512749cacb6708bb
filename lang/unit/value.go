package unit

// Value is an exact number with its unit: a point on a scale (made by [New]) or
// a difference between two points (made by [NewDifference]). The zero value is
// the bare number 0.
type Value struct {
	// N is the number in the base unit of the dimension.
	N Num
	// Written is the number in Unit, as it stands in the text.
	Written Num
	// Unit is the unit as written. For a difference of gauge or absolute
	// pressures it is the plain pressure unit.
	Unit Unit
	// Difference says that this is a difference, not a point.
	Difference bool
}

// New returns the point n in unit u: 68 degF is 20 degC. Call [Unit.Check]
// first where n comes from a text; a wire gauge that does not exist has no
// cross-section and becomes 0 mm2.
func New(n Num, u Unit) Value {
	if u.IsAWG() {
		area, _ := awgArea(n)
		return Value{N: area, Written: n, Unit: u}
	}
	return Value{N: u.toBase(n), Written: n, Unit: u}
}

// NewDifference returns a difference of n units: 9 degF is 5 degC. Wire gauges
// have no differences; n is then taken as mm2.
func NewDifference(n Num, u Unit) Value {
	u = linear(u.AsDifference())
	return Value{N: n.Mul(u.Factor()), Written: n, Unit: u, Difference: true}
}

// FromBase returns the point that is n in the base unit of u's dimension, to be
// written in u; as cross-sections lie between wire gauges, those are written in
// mm2.
func FromBase(n Num, u Unit) Value {
	u = linear(u)
	return Value{N: n, Written: u.fromBase(n), Unit: u}
}

// DifferenceFromBase is FromBase for a difference.
func DifferenceFromBase(n Num, u Unit) Value {
	u = linear(u.AsDifference())
	return Value{N: n, Written: over(n, u.Factor()), Unit: u, Difference: true}
}

// linear replaces AWG, on which nothing can be computed, by mm2.
func linear(u Unit) Unit {
	if u.IsAWG() {
		return Area.Base()
	}
	return u
}

// Dim returns the dimension.
func (v Value) Dim() Dim { return v.Unit.Dim }

// Float64 returns the number in the base unit.
func (v Value) Float64() float64 { return v.N.Float64() }

// String writes the value as it was written, in the canonical spelling: "85
// ohm", "2/0 AWG".
func (v Value) String() string {
	number := v.Written.String()
	if v.Unit.IsAWG() {
		number = awgText(v.Written)
	}
	if v.Unit.Symbol == "" {
		return number
	}
	return number + " " + v.Unit.Symbol
}

// Cmp compares the quantities, whatever their units: 1 V is 1000 mV. Different
// dimensions, and a temperature with a temperature difference, give a
// [*MismatchError].
func (v Value) Cmp(w Value) (int, error) {
	if err := v.comparable(w); err != nil {
		return 0, err
	}
	return v.N.Cmp(w.N), nil
}

// comparable returns nil when v and w stand on one scale.
func (v Value) comparable(w Value) error {
	if err := mismatch(v, w, v.Dim(), w.Dim()); err != nil {
		return err
	}
	if v.Difference != w.Difference && v.Dim().hasOffsetScale() {
		return &MismatchError{Left: v.String(), Right: w.String(),
			Why: "one is a temperature, the other a difference between two temperatures"}
	}
	return nil
}

// In returns the number of the value in another unit of its dimension, exactly;
// in AWG it is the nearest gauge. Another dimension gives a [*MismatchError].
func (v Value) In(u Unit) (Num, error) {
	if v.Difference {
		u = u.AsDifference()
	}
	if err := mismatch(v, u, v.Dim(), u.Dim); err != nil {
		return Num{}, err
	}
	switch {
	case u.IsAWG():
		return nearestAWG(v.N), nil
	case v.Difference:
		return over(v.N, u.Factor()), nil
	default:
		return u.fromBase(v.N), nil
	}
}

// Add moves v by a difference and keeps the unit of v. The difference has to be
// one for temperatures and for gauge and absolute pressures; elsewhere points
// and differences are the same.
func (v Value) Add(difference Value) (Value, error) { return v.shift(difference, false) }

// Sub moves v down by a difference; see Add.
func (v Value) Sub(difference Value) (Value, error) { return v.shift(difference, true) }

func (v Value) shift(d Value, down bool) (Value, error) {
	if err := mismatch(v, d, v.Unit.AsDifference().Dim, d.Dim()); err != nil {
		return Value{}, err
	}
	if v.Dim().hasOffsetScale() && !d.Difference {
		return Value{}, &MismatchError{Left: v.String(), Right: d.String(),
			Why: "two temperatures can't be added, only a temperature and a difference"}
	}
	n := d.N
	if down {
		n = n.Neg()
	}
	if v.Difference {
		return DifferenceFromBase(v.N.Add(n), v.Unit), nil
	}
	return FromBase(v.N.Add(n), v.Unit), nil
}

// From returns how far v lies above w, as a difference in the unit of v.
func (v Value) From(w Value) (Value, error) {
	if err := v.comparable(w); err != nil {
		return Value{}, err
	}
	return DifferenceFromBase(v.N.Sub(w.N), v.Unit), nil
}
