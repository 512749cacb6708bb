package circuit

// interval is where a value lies, ends included.
type interval struct{ lo, hi float64 }

// minus, times and plus compute with all values at once, each with each.
func (x interval) minus(y interval) interval { return interval{x.lo - y.hi, x.hi - y.lo} }

// and takes in a value.
func (x interval) and(v float64) interval { return interval{min(x.lo, v), max(x.hi, v)} }

// or takes in another interval, with what lies between.
func (x interval) or(y interval) interval { return interval{min(x.lo, y.lo), max(x.hi, y.hi)} }

// both is where a value lies that two bounds hold for. Where rounding has parted them it is x.
func (x interval) both(y interval) interval {
	if lo, hi := max(x.lo, y.lo), min(x.hi, y.hi); lo <= hi {
		return interval{lo, hi}
	}
	return x
}

func (x interval) times(f float64) interval {
	if f < 0 {
		return interval{x.hi * f, x.lo * f}
	}
	return interval{x.lo * f, x.hi * f}
}

func (x interval) plus(y interval) interval { return interval{x.lo + y.lo, x.hi + y.hi} }

// abs is where the magnitude lies.
func (x interval) abs() interval {
	switch {
	case x.lo >= 0:
		return x
	case x.hi <= 0:
		return interval{-x.hi, -x.lo}
	}
	return interval{0, max(-x.lo, x.hi)}
}
