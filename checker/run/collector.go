package run

import (
	"slices"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// collector takes what the rules say of one design.
type collector struct {
	design  *model.Design
	found   []diag.Finding
	cleared map[clearance]bool
	most    int // findings of one rule in one file; 0: all
	said    map[ruleIn]int
	left    []rule.Rule // that did not look, or not to the end
}

// ran reports whether findings of a rule can have come up, of those that ran at all.
func (s *collector) ran(all func(string) bool) func(string) bool {
	return func(name string) bool {
		return all(name) && !slices.ContainsFunc(s.left, func(r rule.Rule) bool { return r.Name == name })
	}
}

// Report takes one more than may be shown, so that it is known that this is not all.
func (s *collector) Report(f diag.Finding) {
	if s.most > 0 {
		if s.said == nil {
			s.said = map[ruleIn]int{}
		}
		in := ruleIn{f.Rule, fileName(&f)}
		if s.said[in]++; s.said[in] > s.most+1 {
			return
		}
	}
	s.found = append(s.found, f)
}

func (s *collector) Clear(rule, subject string) {
	if s.design != nil {
		s.cleared[s.clearance(rule, subject)] = true
	}
}

func (s *collector) clearance(rule, subject string) clearance {
	c := clearance{rule: rule, subject: subject}
	if s.design.Bench {
		c.bench = s.design.Name
	}
	return c
}
