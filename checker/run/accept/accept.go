// Package accept matches the acceptances that a design carries with the findings
// that the rules have, and reports those that take nothing, are out of date or
// name a rule that does not exist.
package accept

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

// The names of the rules about acceptances.
const (
	Unused = "acceptance-unused"
	Lapsed = "acceptance-lapsed"
	// UnknownRule is the rule under which an acceptance of a rule that does not
	// exist is reported: a name that nothing declares.
	UnknownRule = "undefined-name"
)

// dateLayout is how an acceptance writes its last day.
const dateLayout = time.DateOnly

// Matcher matches acceptances over all designs of one file: an acceptance is used
// when a finding in one of them matches. The zero value is not useful.
type Matcher struct {
	today string // as dateLayout, which sorts as text
	rules []string
	seen  []entry
	index map[key]int
}

type key struct {
	file string
	at   int
}

type entry struct {
	model.Acceptance
	used bool
	// checked tells that the rule was run where the acceptance stands; one whose
	// rule was left out by the caller or the settings is not unused.
	checked bool
}

// New makes a Matcher. Today decides which acceptances have lapsed; a zero time
// means that none has. Rules are the names of all rules that there are.
func New(today time.Time, rules []string) *Matcher {
	m := &Matcher{rules: rules, index: map[key]int{}}
	if !today.IsZero() {
		m.today = today.Format(dateLayout)
	}
	return m
}

// Apply marks those of the findings of a design that its acceptances take. Ran
// reports whether a rule was run at all. A lapsed acceptance takes nothing.
func (m *Matcher) Apply(design *model.Design, findings []diag.Finding, ran func(rule string) bool) {
	for _, a := range design.Acceptances {
		if a.Place.File == nil {
			continue
		}
		k := key{a.Place.File.Name, a.Place.Start}
		i, ok := m.index[k]
		if !ok {
			i = len(m.seen)
			m.index[k] = i
			m.seen = append(m.seen, entry{Acceptance: a})
		}
		m.seen[i].checked = m.seen[i].checked || ran(a.Rule)
		if m.lapsed(a) {
			continue
		}
		for j := range findings {
			if f := &findings[j]; f.Rule == a.Rule && covers(a.On, f.Subject) {
				m.seen[i].used = true
				if f.Waived == nil {
					f.Waived = &diag.Waiver{Reason: a.Reason, Place: a.Place}
				}
			}
		}
	}
}

// covers reports whether an acceptance on a thing takes a finding about subject: the
// thing itself or a part of it. An acceptance on the design takes them all.
func covers(on, subject string) bool {
	return on == "" || subject == on || strings.HasPrefix(subject, on+".")
}

func (m *Matcher) lapsed(a model.Acceptance) bool {
	return a.Until != "" && m.today != "" && a.Until < m.today
}

// All lists the acceptances that were seen, each once.
func (m *Matcher) All() []model.Acceptance {
	out := make([]model.Acceptance, len(m.seen))
	for i := range m.seen {
		out[i] = m.seen[i].Acceptance
	}
	return out
}

// Findings reports, once all designs of the file were seen, what is wrong with the
// acceptances themselves. Severity and reason are left to the catalogue.
func (m *Matcher) Findings() []diag.Finding {
	var out []diag.Finding
	for _, a := range m.seen {
		on := a.On
		if on == "" {
			on = "the design"
		}
		f := diag.Finding{Place: a.Place, Subject: a.On}
		switch {
		case !slices.Contains(m.rules, a.Rule):
			f.Rule = UnknownRule
			f.Severity = diag.Error
			f.Message = fmt.Sprintf("no rule is called %q", a.Rule)
			f.Why = "a misspelled acceptance has no effect, and its finding still stands"
			f.Help = "`pintle rules` lists the rules"
			if !a.RulePlace.IsZero() {
				f.Place = a.RulePlace
			}
			if nearest := spelling.Best(a.Rule, slices.Values(m.rules)); nearest != "" {
				f.Message += fmt.Sprintf("; the nearest is %q", nearest)
				f.Help = ""
				if !a.RulePlace.IsZero() {
					f.Fixes = []diag.Fix{{
						Title: "write " + nearest,
						Edits: []diag.Edit{{Place: a.RulePlace, New: nearest}},
					}}
				}
			}
		case m.lapsed(a.Acceptance):
			f.Rule = Lapsed
			f.Message = fmt.Sprintf("the acceptance of %s on %s ended on %s", a.Rule, on, a.Until)
			f.Help = "mend what the finding says, or agree on a new date"
		case a.checked && !a.used:
			f.Rule = Unused
			f.Message = fmt.Sprintf("nothing is left to accept: there is no %s on %s", a.Rule, on)
			f.Help = "take the acceptance out"
			f.Tags = []diag.Tag{diag.Unnecessary}
		default:
			continue
		}
		out = append(out, f)
	}
	return out
}
