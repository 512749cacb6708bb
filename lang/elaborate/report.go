package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// findingKey makes findings that several designs share one.
type findingKey struct {
	place         diag.Place
	rule, message string
}

// report keeps a finding unless it was made before, in this combination or another.
func (e *elaboration) report(f diag.Finding) {
	if f.Severity == diag.Off {
		f.Severity = diag.Error
	}
	key := findingKey{f.Place, f.Rule, f.Message}
	i, ok := e.seen[key]
	if !ok {
		if e.full(f) {
			return
		}
		i = len(e.findings)
		e.seen[key] = i
		e.findings = append(e.findings, f)
		e.found = append(e.found, nil)
	}
	if !slices.Contains(e.found[i], e.where) {
		e.found[i] = append(e.found[i], e.where)
	}
}

// maxFindings bounds what is said by one rule about one file; nobody reads more. What is
// shown has a bound of its own, which is lower, so that it is known there that this is not all.
const maxFindings = 1001

type ruleIn struct {
	rule string
	file *source.File
}

// full reports whether a rule has said all that it may of a file.
func (e *elaboration) full(f diag.Finding) bool {
	key := ruleIn{f.Rule, f.File}
	e.said[key]++
	return e.said[key] > maxFindings
}

// finishFindings says of each finding in which combinations of options it occurs, if
// not in all, and sorts them.
func (e *elaboration) finishFindings() {
	for i := range e.findings {
		var in []string // of the design; of benches only where it is found on them alone
		some := false
		for _, where := range e.found[i] {
			if _, bench := e.bench[where]; !bench {
				in = append(in, where)
			}
		}
		switch {
		case slices.Contains(in, ""):
		case len(in) > 0:
			some = len(in) < e.combos
		default:
			in = e.found[i]
			some = len(in) > 0 && len(in) < e.bench[in[0]]
		}
		if !some {
			continue
		}
		if len(in) > 3 {
			in = append(slices.Clone(in[:3]), "…")
		}
		e.findings[i].Where = strings.Join(in, "; ")
	}
	diag.Sort(e.findings)
}
