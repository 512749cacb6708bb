package run

import (
	"fmt"

	"pintle/lang/diag"
)

// ruleIn is a rule in a file.
type ruleIn struct{ rule, file string }

func fileName(f *diag.Finding) string {
	if f.File == nil {
		return ""
	}
	return f.File.Name
}

// first keeps the first findings of each rule in each file, up to most; in the place of
// the next one stands that there are more. Nobody reads thousands, and each takes room in
// an editor. Findings are sorted and stay so. 0: all are kept.
func first(most int, fs []diag.Finding) []diag.Finding {
	if most <= 0 || len(fs) <= most {
		return fs
	}
	said := map[ruleIn]int{}
	last := map[ruleIn]int{} // where the closing finding of each stands
	var out []diag.Finding
	for _, f := range fs {
		in := ruleIn{f.Rule, fileName(&f)}
		switch said[in]++; {
		case said[in] <= most:
			out = append(out, f)
		case said[in] == most+1:
			last[in] = len(out)
			out = append(out, diag.Finding{
				Rule: f.Rule, Severity: f.Severity, Place: f.Place, Waived: f.Waived,
				Message: fmt.Sprintf("more than %d findings of %s in this file: those from here on are not shown", most, f.Rule),
				Why:     f.Why,
				Help:    "so many of one kind often have one cause: look at the first",
			})
		default:
			closing := &out[last[in]]
			closing.Severity = max(closing.Severity, f.Severity)
			if f.Waived == nil {
				closing.Waived = nil
			}
		}
	}
	return out
}
