package faults

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// shown bounds the faults of which the way to the violation is told.
const shown = 3

func faultViolatesRequirement() rule.Rule {
	return rule.Rule{
		Name:     "fault-violates-requirement",
		Severity: diag.Error,
		Summary:  "a requirement that is to hold despite any one fault and does not with some",
		Why:      "wires break, contacts weld and plugs come off; what one of these undoes is not safe, only lucky",
		Doc:      pages.Of("fault-violates-requirement"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Requirements {
				if got, ok := p.Despite(i); ok {
					judge(p, &p.Design.Requirements[i], &got)
				}
			}
		},
	}
}

// judge says what came of one requirement.
func judge(p *rule.Pass, r *model.Requirement, got *fault.Result) {
	switch got.Outcome {
	case fault.Undecided:
		p.UndecidedClaim(r.DespitePlace, r.Path, got.Why)
	case fault.Fails:
		f := violation(p, r, got)
		for i := range got.Beyond {
			f.Related = append(f.Related, diag.Related{
				Place: got.Beyond[i].Place,
				Note:  got.Beyond[i].Words + ": no fuse in the way surely opens; what comes after that is not judged",
			})
		}
		p.Report(f)
	}
}

// violation tells of a requirement with all the faults that undo it, the plainest first.
func violation(p *rule.Pass, r *model.Requirement, got *fault.Result) diag.Finding {
	failures := got.Failures
	plain := slices.Clone(failures)
	slices.SortStableFunc(plain, func(a, b fault.Failure) int { return cmp.Compare(a.Length, b.Length) })
	first := &plain[0]
	with := first.Faults[0].Words
	if first.Corner != "" {
		with += ", " + first.Corner
	}
	f := diag.Finding{
		Place: r.DespitePlace, Subject: r.Path,
		Message: fmt.Sprintf("%s: %s does not hold", with, r.Name),
		Help:    withstand(&first.Faults[0]),
	}
	if r.Form == model.Possible {
		f.Help = "give it a second way, or leave out `despite " + r.With.String() + "`"
	}
	others := -1
	for i := range plain {
		others += len(plain[i].Faults)
	}
	one, many := "other fault", "other faults"
	if got.Pairs > 0 { // it holds with each fault alone
		one, many = "other pair of faults", "other pairs of faults"
	}
	if others > 0 {
		f.Message += fmt.Sprintf("; nor with %s", number(others, one, many))
	}
	if got.Excepted != nil {
		f.Message += " (" + left(got.Excepted) + " left out, as it says)"
	}
	for i := range plain {
		if i < shown && plain[i].Verdict.Trace != nil {
			f.Evidence = append(f.Evidence, story(p.Ctx, "with "+plain[i].Faults[0].Words, p.Design, plain[i].System, plain[i].Verdict.Trace, r)...)
		}
		for j := range plain[i].Faults {
			if i+j == 0 {
				continue
			}
			x := &plain[i].Faults[j]
			note := x.Words
			if j > 0 {
				note += ", which does what " + plain[i].Faults[0].Words + " does"
			}
			if plain[i].Corner != "" {
				note += ", " + plain[i].Corner
			}
			f.Related = append(f.Related, diag.Related{Place: x.Place, Note: note})
		}
	}
	loose, err := p.Faults().OpenMeansGo(p.Ctx, r, failures)
	p.StopOn(err)
	if loose != nil {
		f.Help = goes(p.Design, loose)
	}
	return f
}

// withstand says what keeps a single fault of some kind from undoing a requirement.
func withstand(f *fault.Fault) string {
	for _, a := range f.Actions {
		switch a.Mode {
		case model.FaultShorted:
			return "give it a fuse of its own, or lead it where it can't touch"
		case model.FaultStuckMade, model.FaultStuckOn, model.FaultStuckOpen:
			return "put a second contact, driver or valve in series, or let something notice that it sticks"
		case model.FaultSwapped:
			return "make the two plugs unlike"
		}
	}
	return "let it take two faults: a second way for what comes off, or a reading that notices it and stops"
}

// goes says what a controller should read from a loose wire.
func goes(d *model.Design, l *fault.Loose) string {
	r := &d.Readings[l.Reading]
	if r.Sender {
		return fmt.Sprintf("with %s a loose wire means go: let %s count as %s while disconnected", l.Fault.Words, r.Path, l.CountsAs)
	}
	word := "low"
	if l.High {
		word = "high"
	}
	return fmt.Sprintf("with %s a loose wire means go: switch and pull %s the other way, so that it reads %s then", l.Fault.Words, r.Path, word)
}

// left names faults that a requirement excepts.
func left(fs []fault.Fault) string {
	words := make([]string, len(fs))
	for i := range fs {
		words[i] = fs[i].Words
	}
	return strings.Join(words, ", ")
}

func number(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
