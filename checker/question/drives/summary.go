package drives

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pintle/checker/engine/scenario"
)

// Summary says in one line what came of a drive in the designs that it is meant for.
func Summary(name string, all []Outcome) string {
	runs := 0
	var seen [NotReached + 1]int
	open := ""
	for i := range all {
		o := &all[i]
		where := ""
		if o.Design.Name != "" {
			where = " (" + o.Design.Name + ")"
		}
		switch standing, why := o.Standing(); standing {
		case Missed:
			if o.hunts() {
				return fmt.Sprintf("%s could not be driven to its end%s: %s", name, where, why)
			}
			return fmt.Sprintf("%s fails in %s%s", name, why, where)
		case Undecided:
			if open == "" {
				open = fmt.Sprintf("%s is undecided: %s%s", name, why, where)
			}
		}
		for k := range o.Runs {
			runs += len(o.Runs[k].Paces)
		}
		for k, n := range o.Expected() {
			seen[k] += n
		}
	}
	switch {
	case open != "":
		return open
	case runs == 0:
		return name + " was not run: nothing of it could be read, or no combination of options is meant for it"
	case seen[Met] == 0:
		return name + " runs to its end; it expects nothing"
	}
	return fmt.Sprintf("%s passes: %s met in %s", name, Count(seen[Met], "expectation"), Count(runs, "run"))
}

// hunts reports whether the drive is missed because hardware never settles, with nothing missed
// before.
func (o *Outcome) hunts() bool {
	for i := range o.Runs {
		if s, _ := o.Runs[i].Standing(); s == Missed {
			return len(o.Runs[i].Failures) == 0 && errors.Is(o.Runs[i].Err, scenario.ErrHunts)
		}
	}
	return false
}

// Count writes a number of things.
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// AtFirst says how the inputs stand before the first step; empty where that was not recorded.
func (r *Run) AtFirst() string {
	if r.Recording == nil || len(r.Recording.Samples) == 0 {
		return ""
	}
	var out []string
	for i := range r.Recording.Signals {
		if s := &r.Recording.Signals[i]; s.Kind <= OfQuantity {
			out = append(out, s.Path+" "+s.With(r.Recording.Samples[0].Values[i]))
		}
	}
	return strings.Join(out, ", ")
}

// With is a value in words with its unit.
func (s *Signal) With(v Value) string {
	if text := s.Text(v); v.Known && s.Number() && s.Unit.Symbol != "" {
		return text + " " + s.Unit.Symbol
	}
	return s.Text(v)
}
