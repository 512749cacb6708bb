package run

import (
	"fmt"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// identity is what makes findings one: the same rule says the same of the same place.
// Files are known by name, since one that many use may have been read more than once.
type identity struct {
	file, rule, message string
	span                source.Span
}

func identify(f *diag.Finding) identity {
	id := identity{rule: f.Rule, message: f.Message, span: f.Span}
	if f.File != nil {
		id.file = f.File.Name
	}
	return id
}

// mostPlaces is how many combinations, or roots, a merged finding names.
const mostPlaces = 3

// merge makes findings with the same identity one, the first in order, and names the
// places of all of them through where. One that is accepted in some of them only
// stands. The result is sorted.
func merge(fs []diag.Finding, where func(all []string) string) []diag.Finding {
	diag.Sort(fs)
	var out []diag.Finding
	var places [][]string
	index := make(map[identity]int, len(fs))
	for _, f := range fs {
		id := identify(&f)
		i, ok := index[id]
		if !ok {
			i = len(out)
			index[id] = i
			out = append(out, f)
			places = append(places, nil)
		}
		if !slices.Contains(places[i], f.Where) {
			places[i] = append(places[i], f.Where)
		}
		if f.Waived == nil {
			out[i].Waived = nil
		}
		if f.Follows == nil {
			out[i].Follows = nil // in one of them it stands by itself
		}
		out[i].Severity = max(out[i].Severity, f.Severity)
	}
	for i := range out {
		if len(places[i]) > 1 {
			out[i].Where = where(places[i])
		}
	}
	diag.Sort(out)
	return out
}

// mergeCombinations makes what several designs of one file have in common one finding;
// what all combinations of options have in common names none.
func mergeCombinations(fs []diag.Finding, combinations int) []diag.Finding {
	return merge(fs, func(all []string) string {
		if slices.Contains(all, "") || len(all) == combinations {
			return ""
		}
		return enumerate(all)
	})
}

// Merge makes the findings of several root files one list, in the way of [Check].
func Merge(roots ...[]diag.Finding) []diag.Finding { return mergeRoots(slices.Concat(roots...)) }

// mergeRoots does the same for what several files have in common.
func mergeRoots(fs []diag.Finding) []diag.Finding {
	out := merge(fs, func(all []string) string {
		if slices.Contains(all, "") {
			return ""
		}
		return enumerate(all)
	})
	settleRoots(out)
	return out
}

// settleRoots lets findings stand by themselves whose root is not among them, is accepted,
// or follows from nothing but them; the root of a root is the root of both. One that was
// made one with those of other fits stands for it.
func settleRoots(fs []diag.Finding) {
	type key struct{ rule, file string }
	by := map[key][]int{}
	at := func(rule string, p diag.Place) key {
		k := key{rule: rule}
		if !p.IsZero() {
			k.file = p.File.Name
		}
		return k
	}
	for i := range fs {
		k := at(fs[i].Rule, fs[i].Place)
		by[k] = append(by[k], i)
	}
	root := func(i int) int {
		r := fs[i].Follows
		if r == nil {
			return -1
		}
		near := -1
		for _, j := range by[at(r.Rule, r.Place)] {
			switch {
			case j == i || fs[j].Waived != nil || fs[j].Span != r.Span:
			case r.Is(&fs[j]):
				return j
			case near < 0:
				near = j
			}
		}
		return near
	}
	tops := make([]int, len(fs))
	for i := range fs {
		top, steps := root(i), 0
		for top >= 0 && fs[top].Follows != nil && steps <= len(fs) {
			top = root(top)
			steps++
		}
		if top == i || steps > len(fs) {
			top = -1
		}
		tops[i] = top
	}
	for i, top := range tops {
		if fs[i].Follows = nil; top >= 0 {
			r := &fs[top]
			fs[i].Follows = &diag.Root{Rule: r.Rule, Subject: r.Subject, Message: r.Message, Place: r.Place}
		}
	}
}

func enumerate(all []string) string {
	if more := len(all) - mostPlaces; more > 1 {
		return fmt.Sprintf("%s and %d more", strings.Join(all[:mostPlaces], "; "), more)
	}
	return strings.Join(all, "; ")
}

// mergeInstances makes what a rule says of several things that one statement of a part
// made, one for each fit of it, one finding: there is one text to mend. It names the
// others.
func mergeInstances(fs []diag.Finding) []diag.Finding {
	type key struct {
		file, rule string
		span       source.Span
		severity   diag.Severity
		waived     bool
	}
	var out []diag.Finding
	others := map[int][]string{}
	index := map[key]int{}
	for _, f := range fs {
		k := key{rule: f.Rule, span: f.Span, severity: f.Severity, waived: f.Waived != nil}
		if f.File != nil {
			k.file = f.File.Name
		}
		i, ok := index[k]
		if !ok || f.Subject == "" || f.Subject == out[i].Subject || !sameName(f.Subject, out[i].Subject) {
			if !ok {
				index[k] = len(out)
			}
			out = append(out, f)
			continue
		}
		if !slices.Contains(others[i], f.Subject) {
			others[i] = append(others[i], f.Subject)
		}
	}
	for i := range out {
		if o := others[i]; len(o) > 0 {
			slices.Sort(o)
			out[i].Related = append(slices.Clip(out[i].Related), diag.Related{Note: "the same holds for " + enumerate(o)})
		}
	}
	return out
}

// sameName reports whether two different paths end alike: K1.winding and K2.winding.
func sameName(a, b string) bool {
	return strings.Contains(a, ".") && strings.Contains(b, ".") &&
		a[strings.LastIndexByte(a, '.'):] == b[strings.LastIndexByte(b, '.'):]
}
