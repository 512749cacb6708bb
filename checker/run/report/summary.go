package report

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"pintle/checker/run"
	"pintle/lang/diag"
)

// summary writes the closing lines.
func (t text) summary(r *run.Result, o Options) {
	s := r.Summary
	if s.Files == 0 && len(r.Findings) == 0 && len(r.Failures) > 0 {
		return // what there is to say is said with the failures
	}
	var found []string
	for _, c := range []struct {
		n    int
		what string
	}{{s.Errors, "error"}, {s.Warnings, "warning"}, {s.Notes, "note"}} {
		if c.n > 0 {
			found = append(found, count(c.n, c.what))
		}
	}
	colour, head := green, "Nothing wrong found"
	switch {
	case s.Errors > 0:
		colour = red
	case s.Warnings > 0:
		colour = yellow
	}
	if len(found) > 0 {
		head = strings.Join(found, ", ")
	}
	switch n := following(r.Findings); n {
	case 0:
	case 1:
		head += " (1 of them follows from another)"
	default:
		head += fmt.Sprintf(" (%d of them follow from others)", n)
	}
	head = t.in(colour, head) + " in " + count(s.Files, "file")
	if n := len(r.Failures); n > 0 {
		head += fmt.Sprintf(", %d could not be looked at", n)
	}
	if s.Accepted > 0 {
		head += fmt.Sprintf(", %d accepted with a reason", s.Accepted)
	}
	fmt.Fprintf(t, "%s.\n", head)

	var looked []string
	if s.Designs > 0 {
		d := count(s.Designs, "design")
		if s.Benches > 0 {
			d += fmt.Sprintf(" (%s)", count(s.Benches, "bench"))
		}
		looked = append(looked, d)
	}
	if s.States != nil && s.States.Sign() > 0 {
		looked = append(looked, states(s.States)+" reached")
	}
	if c := s.Claims; c != (run.Claims{}) {
		looked = append(looked, claims(c))
	}
	if s.Drives > 0 {
		d := count(s.Drives, "drive") + " run"
		if s.DrivesFailed > 0 {
			d += fmt.Sprintf(", %d failed", s.DrivesFailed)
		}
		if s.DrivesUndecided > 0 {
			d += fmt.Sprintf(", %d undecided", s.DrivesUndecided)
		}
		if named := s.Undecided; len(named) > mostNamed {
			d += fmt.Sprintf(" (%s …)", strings.Join(named[:mostNamed], "; "))
		} else if named != nil {
			d += fmt.Sprintf(" (%s)", strings.Join(named, "; "))
		}
		looked = append(looked, d)
	}
	if s.Assumed > 0 {
		looked = append(looked, count(s.Assumed, "value")+" assumed (--notes tells which)")
	}
	if o.Costs {
		for i := range r.Costs {
			looked = append(looked, cost(&r.Costs[i]))
		}
	}
	if o.Elapsed > 0 {
		looked = append(looked, elapsed(o.Elapsed))
	}
	for _, l := range looked {
		fmt.Fprintf(t, "  %s\n", l)
	}
}

// mostNamed bounds the undecided drives that the summary names.
const mostNamed = 3

// following counts the findings that only follow from another one.
func following(fs []diag.Finding) int {
	n := 0
	for i := range fs {
		if fs[i].Follows != nil && fs[i].Waived == nil {
			n++
		}
	}
	return n
}

func claims(c run.Claims) string {
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{
		{c.Proved, "proved"}, {c.Vacuous, "never put to the test"}, {c.Nominal, "hold for nominal values only"},
		{c.Failed, "violated"}, {c.Undecided, "undecided"},
	} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
		if p.what == "proved" && c.Excepting > 0 {
			parts[len(parts)-1] += fmt.Sprintf(" (%d but for faults that they name)", c.Excepting)
		}
		if p.what == "proved" && c.Unprotected > 0 {
			parts[len(parts)-1] += fmt.Sprintf(" (%d with shorts that no fuse opens: --notes names them)", c.Unprotected)
		}
	}
	return "requirements: " + strings.Join(parts, ", ")
}

func count(n int, what string) string {
	switch {
	case n == 1:
		return "1 " + what
	case strings.HasSuffix(what, "ch"):
		return fmt.Sprintf("%d %ses", n, what)
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// states writes a number of states with its digits in groups, or as a power of ten
// where nobody would read it out.
func states(n *big.Int) string {
	digits := n.String()
	if len(digits) > 12 {
		f, _ := new(big.Float).SetInt(n).Float64()
		return fmt.Sprintf("%.3g states", f)
	}
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(d)
	}
	if digits == "1" {
		return "1 state"
	}
	return b.String() + " states"
}

func elapsed(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%d ms", d.Milliseconds())
	}
	return fmt.Sprintf("%.1f s", d.Seconds())
}
