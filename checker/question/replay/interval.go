package replay

import "slices"

// Confidence is that of the intervals of switching points, and FewestPasses how many passes it
// needs.
const (
	Confidence   = 0.95
	FewestPasses = 6
)

// mostPasses is how many passes of one point are kept.
const mostPasses = 10000

// bracket is one pass over a switching point: the values that were recorded on its lower and on
// its upper side, a step of the last digit included.
type bracket struct{ low, high float64 }

// order gives the interval between order statistics that covers a switching point, however
// recorded values scatter.
//
// Of each pass the recorded values on both sides of the point are known: one before the state
// changed, one after it. If what is recorded is off by a random amount whose median is 0, the
// one on the lower side is at most the point with a probability of at least 1/2, since it is
// the value of something that was not above it; and the one on the upper side is at least the
// point likewise. So the number of n independent passes whose lower value lies above the point
// is at most a binomial variable of n and 1/2, and the k-th smallest of the lower values lies
// above the point with at most P(Bin(n, 1/2) < k); the k-th largest of the upper values lies
// below it with no more. This is the sign test turned into an interval (Conover, Practical
// Nonparametric Statistics, on confidence intervals for quantiles; David and Nagaraja, Order
// Statistics, on distribution-free ones; both from memory), for values that are only known to
// one side. It needs no distribution, no common step and no equal speed. A steady error, that
// of a sensor which reads too high for example, is not in it: that is the accuracy, and is
// added where the interval is held against the description.
//
// K is the largest for which the confidence is reached; with too few passes it is 1, and the
// confidence is what it then is, 1 - 2^(1-n).
func order(passes []bracket) (low, high, confidence float64) {
	n := len(passes)
	lows, highs := make([]float64, n), make([]float64, n)
	for i, p := range passes {
		lows[i], highs[i] = p.low, p.high
	}
	slices.Sort(lows)
	slices.Sort(highs)
	k, missed := 1, binomialBelow(n, 1)
	for k < (n+1)/2 && 2*binomialBelow(n, k+1) <= 1-Confidence {
		k++
		missed = binomialBelow(n, k)
	}
	low, high = lows[k-1], highs[n-k]
	return min(low, high), max(low, high), max(0, 1-2*missed)
}

// binomialBelow is P(Bin(n, 1/2) < k).
func binomialBelow(n, k int) float64 {
	// Terms are built from the first: 2^-n is no number for n beyond 1074, where the sum of so
	// few terms is 0 as well.
	term := 1.0
	halvings := n
	for halvings > 0 && term > 1e-300 {
		term /= 2
		halvings--
	}
	sum := 0.0
	for i := range k {
		sum += term
		term = term * float64(n-i) / float64(i+1)
		for halvings > 0 && term > 1 {
			term /= 2
			sum /= 2
			halvings--
		}
	}
	for ; halvings > 0 && sum > 0; halvings-- {
		sum /= 2
	}
	return sum
}

// middle is the median of the middles of passes.
func middle(passes []bracket) float64 {
	all := make([]float64, len(passes))
	for i, p := range passes {
		all[i] = (p.low + p.high) / 2
	}
	slices.Sort(all)
	n := len(all)
	return (all[(n-1)/2] + all[n/2]) / 2
}
