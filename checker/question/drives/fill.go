package drives

import (
	"fmt"
	"slices"

	"pintle/checker/engine/scenario"
)

// Recorder says how runs are recorded.
type Recorder struct {
	// Show are signals beside those of everything that changes.
	Show []Signal
	// Every, if it is not 0, adds a sample each so many ns: quantities lie on a straight line
	// between the moments at which something happens, and everything else stands.
	Every int64
	// Paces are those that are run; none: all that make a difference.
	Paces []scenario.Pace
}

// mostSamples bounds the samples that Every adds to one run.
const mostSamples = 1_000_000

// fill adds the samples of Recorder.Every.
func (c *Recording) fill(every int64) error {
	if every <= 0 || len(c.Samples) == 0 {
		return nil
	}
	first, last := c.Samples[0].At, c.Samples[len(c.Samples)-1].At
	if n := (last - first) / every; n > mostSamples {
		return fmt.Errorf("a sample every %s makes %d of %s; take a longer time, at most %d samples are written",
			scenario.Clocktime(every), n, scenario.Clocktime(last-first), mostSamples)
	}
	var out []Sample
	for k, s := range c.Samples {
		if k > 0 {
			for at := (c.Samples[k-1].At/every + 1) * every; at < s.At; at += every {
				out = append(out, c.between(&c.Samples[k-1], &s, at))
			}
		}
		out = append(out, s)
	}
	c.Samples = out
	return nil
}

// between is the sample at a time between two that follow each other.
func (c *Recording) between(was, is *Sample, at int64) Sample {
	out := Sample{At: at, Step: is.Step, Values: slices.Clone(was.Values), events: was.events}
	along := float64(at-was.At) / float64(is.At-was.At)
	for i := range c.Signals {
		if a, b := was.Values[i], is.Values[i]; c.Signals[i].Kind == OfQuantity && a.Known && b.Known {
			out.Values[i].Number = tidy(a.Number + (b.Number-a.Number)*along)
		}
	}
	return out
}

// Last are the samples by which everything stands at each time: of several at one time the last.
func (c *Recording) Last() (out []Sample) {
	for _, s := range c.Samples {
		if n := len(out); n > 0 && out[n-1].At == s.At {
			out[n-1] = s
		} else {
			out = append(out, s)
		}
	}
	return out
}

// Changes reports whether a signal, by its index, changes in the run.
func (c *Recording) Changes(i int) bool {
	return slices.ContainsFunc(c.Samples, func(s Sample) bool { return s.Values[i] != c.Samples[0].Values[i] })
}
