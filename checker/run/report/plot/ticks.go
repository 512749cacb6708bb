package plot

import (
	"math"
	"strconv"
)

// niceStep is the least of 1, 2, 5, 10 … that is at least v.
func niceStep(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	ten := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range [...]float64{1, 2, 5} {
		if k*ten >= v*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// timeStep is how far ticks of a time axis of some length, in s, stand apart, in s, with the
// unit that they are written in and its length: no more than about ten of them.
func timeStep(length float64) (step float64, unit string, scale float64) {
	switch v := length / 10; {
	case v <= 10:
		return niceStep(v), "s", 1
	case v <= 600:
		for _, s := range [...]float64{15, 30, 60, 120, 300, 600} {
			if s >= v {
				if s < 60 {
					return s, "s", 1
				}
				return s, "min", 60
			}
		}
		fallthrough
	default:
		return niceStep(v/3600) * 3600, "h", 3600
	}
}

// ticks are the multiples of a step from one value to another. Where the values are so large
// that their difference drowns in rounding there are none.
func ticks(from, to, step float64) (out []float64) {
	k := math.Ceil(from/step - 1e-9)
	for range 30 {
		v := k * step
		if v > to+step*1e-9 || math.Abs(k) > 1<<50 {
			break
		}
		out = append(out, v)
		k++
	}
	return out
}

// number writes a value as it stands on an axis.
func number(v float64) string { return strconv.FormatFloat(v+0, 'g', 6, 64) } // + 0: not "-0"
