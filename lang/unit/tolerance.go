package unit

import (
	"errors"
	"fmt"
)

// Tolerance is how far a value may lie to either side: "+-10 %" or "+-5 ohm".
// The zero value allows nothing.
type Tolerance struct {
	// Percent says that N is in percent of the value; otherwise N is in the
	// base unit of By's dimension. N is never negative.
	Percent bool
	N       Num
	// By is the tolerance as written, a percentage or a difference.
	By Value
}

// PercentTolerance returns a tolerance of n percent, which has to lie between 0
// and 100.
func PercentTolerance(n Num) (Tolerance, error) {
	if n.Sign() < 0 || n.Cmp(Int(100)) > 0 {
		return Tolerance{}, fmt.Errorf("a tolerance of %s %% is not possible: it lies between 0 and 100 %%", n)
	}
	return Tolerance{Percent: true, N: n, By: New(n, Percentage.Base())}, nil
}

// AbsoluteTolerance returns a tolerance of n units, which must not be negative:
// 9 degF allows 5 degC.
func AbsoluteTolerance(n Num, u Unit) (Tolerance, error) {
	if u.IsAWG() {
		return Tolerance{}, errors.New("a tolerance can't be given in AWG, whose steps are of different size: write it in mm2 or %")
	}
	by := NewDifference(n, u)
	if n.Sign() < 0 {
		return Tolerance{}, fmt.Errorf("a tolerance of %s is not possible: it reaches to both sides and is written without a sign", by)
	}
	return Tolerance{N: by.N, By: by}, nil
}

// String writes the tolerance canonically: "+-10 %".
func (t Tolerance) String() string { return "+-" + t.By.String() }

// Toleranced is a value and, where Has is set, how far it may lie off.
type Toleranced struct {
	Value
	Tol Tolerance
	Has bool
}

// Exact returns v without a tolerance.
func Exact(v Value) Toleranced { return Toleranced{Value: v} }

// WithTolerance joins a value and its tolerance. It refuses a tolerance of
// another dimension and a percentage of a temperature, which would be a
// percentage of an arbitrary zero.
func WithTolerance(v Value, t Tolerance) (Toleranced, error) {
	if t.Percent {
		if v.Dim().hasOffsetScale() && !v.Difference {
			return Toleranced{}, fmt.Errorf("%s of %s means nothing, as the zero of the scale is arbitrary: write the tolerance in %s", t, v, v.Unit)
		}
	} else if _, err := v.Add(t.By); err != nil {
		return Toleranced{}, err
	}
	return Toleranced{Value: v, Tol: t, Has: true}, nil
}

// Min returns the least that the value may be.
func (t Toleranced) Min() Value { return t.at(t.margin().Neg()) }

// Max returns the most that the value may be.
func (t Toleranced) Max() Value { return t.at(t.margin()) }

// margin returns the distance to either end, in the base unit.
func (t Toleranced) margin() Num {
	switch {
	case !t.Has:
		return Num{}
	case t.Tol.Percent:
		return t.N.Abs().Mul(t.Tol.N).Mul(Ratio(1, 100))
	default:
		return t.Tol.N
	}
}

func (t Toleranced) at(offset Num) Value {
	switch {
	case offset.Sign() == 0:
		return t.Value
	case t.Difference:
		return DifferenceFromBase(t.N.Add(offset), t.Unit)
	default:
		return FromBase(t.N.Add(offset), t.Unit)
	}
}

// String writes "85 ohm +-10 %".
func (t Toleranced) String() string {
	if !t.Has {
		return t.Value.String()
	}
	return t.Value.String() + " " + t.Tol.String()
}
