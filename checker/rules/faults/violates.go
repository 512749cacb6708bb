package faults

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// mostTold bounds the groups of faults of which the way to the violation is reported.
const mostShown = 12

// shownUnprotected bounds the shorts that are named as unprotected.
const shownUnprotected = 12

func faultViolatesRequirement() rule.Rule {
	return rule.Rule{
		Name:     "fault-violates-requirement",
		Severity: diag.Error,
		Summary:  "a requirement that should hold despite any one fault fails with some",
		Why:      "wires break, contacts weld and plugs come off: a design that one of these defeats is not safe, only lucky",
		Doc:      pages.Of("fault-violates-requirement"),
		Needs:    rule.States,
		Claims:   true,
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
		said := 0
		for i := range got.Unprotected {
			x := &got.Unprotected[i]
			if fails(got, x) || said == shownUnprotected {
				continue
			}
			said++
			f.Related = append(f.Related, diag.Related{Place: x.Place, Note: x.Words + ": it holds, but no fuse opens and the current flows on" + unprotected})
		}
		for i := range got.Beyond[:min(len(got.Beyond), shownUnprotected)] {
			f.Related = append(f.Related, diag.Related{
				Place: got.Beyond[i].Place,
				Note:  got.Beyond[i].Words + ": it is not certain that a fuse opens; what follows is not judged",
			})
		}
		p.Report(f)
	}
}

// violation tells of a requirement with all the faults that undo it, the plainest first.
func violation(p *rule.Pass, r *model.Requirement, got *fault.Result) diag.Finding {
	failures := got.Failures
	plain := slices.Clone(failures)
	bare := func(f *fault.Failure) int { // what burns is reported last
		if is(got.Unprotected, &f.Faults[0]) {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(plain, func(a, b fault.Failure) int {
		return cmp.Or(cmp.Compare(bare(&a), bare(&b)), cmp.Compare(a.Length, b.Length))
	})
	first := &plain[0]
	with := first.Faults[0].Words
	if bare(first) > 0 {
		with += unprotected
	}
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
	for n, group := range byMoves(plain) {
		head := &plain[group[0]]
		if head.Moves != nil {
			title := "with " + head.Faults[0].Words
			if m := len(group) - 1; m > 0 {
				title += " (and, by the same moves, with " + number(m, "other", "others") + ")"
			}
			if n < mostShown && head.Verdict.Trace != nil {
				f.Evidence = append(f.Evidence, story(p.Ctx, title, p.Design, head.System, head.Verdict.Trace, r)...)
			}
		}
		for k, i := range group {
			for j := range plain[i].Faults {
				if n+k+j == 0 {
					continue
				}
				x := &plain[i].Faults[j]
				note := x.Words
				switch {
				case j > 0:
					note += ", which does what " + plain[i].Faults[0].Words + " does"
				case k > 0:
					note += ", by the same moves as " + head.Faults[0].Words
				}
				if plain[i].Corner != "" {
					note += ", " + plain[i].Corner
				}
				if is(got.Unprotected, x) {
					note += unprotected
				}
				f.Related = append(f.Related, diag.Related{Place: x.Place, Note: note})
			}
		}
	}
	loose, err := p.Faults().OpenMeansGo(p.Ctx, r, failures)
	p.StopOn(err)
	if loose != nil {
		f.Help = goes(p.Design, loose)
	}
	return f
}

// unprotected is said of a short that no fuse opens.
const unprotected = " (unprotected)"

// is reports whether a fault is among some.
func is(among []fault.Fault, x *fault.Fault) bool {
	return slices.ContainsFunc(among, func(y fault.Fault) bool { return y.Words == x.Words })
}

// fails reports whether a requirement fails with a fault.
func fails(got *fault.Result, x *fault.Fault) bool {
	return slices.ContainsFunc(got.Failures, func(f fault.Failure) bool { return is(f.Faults, x) })
}

// byMoves puts failures together that come about by the same moves, but for the fault; in
// the order of the first of each.
func byMoves(failures []fault.Failure) [][]int {
	var out [][]int
	at := map[string]int{}
	for i := range failures {
		f := &failures[i]
		if f.Moves == nil {
			out = append(out, []int{i})
			continue
		}
		var text []string
		for _, l := range f.Moves {
			line := strings.ReplaceAll(l.Text, f.Faults[0].Event, "(fault)")
			text = append(text, strings.ReplaceAll(line, f.Faults[0].Words, "(fault)"))
		}
		key := f.Corner + "\n" + strings.Join(text, "\n")
		if k, ok := at[key]; ok {
			out[k] = append(out[k], i)
			continue
		}
		at[key] = len(out)
		out = append(out, []int{i})
	}
	return out
}

const inSeries = "put a second contact, driver or valve in series, or let something notice that it sticks"

// withstand says what keeps a single fault of some kind from undoing a requirement.
func withstand(f *fault.Fault) string {
	for _, a := range f.Actions {
		switch a.Mode {
		case model.FaultShorted:
			return "give it a fuse of its own, or lead it where it can't touch"
		case model.FaultStuckOpen:
			if a.Thing.Kind == model.ThingContact {
				continue
			}
			return inSeries
		case model.FaultStuckMade, model.FaultStuckOn:
			return inSeries
		case model.FaultSwapped:
			return "make the two plugs unlike"
		}
	}
	return "let it need two faults: a second path for what comes off, or a reading that notices the fault and stops"
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
