// Package rootcause finds among the findings of one design those that only follow from
// another one: a lamp without an earth is one defect, and the claim that fails because of
// it, the drive that misses its light and the mode that is never reached are its effects.
//
// A finding follows from another where both of this hold:
//
//   - what the other one is about lies in its static slice: in all that its own subject is
//     computed from (conditions, memories, modes, the ways of the current to supplies and
//     to ground, and what an assumption lets an input do), see graph;
//   - the other rule is one whose defect comes before it: what is joined wrongly before
//     what is overloaded, that before what never moves, that before what is claimed and
//     what is driven, see ranks.
//
// The root is the most upstream of them: what a person would repair first. Nothing is
// checked again; nothing is taken away: a finding that follows from another keeps its
// severity and counts as before. Static slicing after Weiser, Program Slicing, IEEE
// Transactions on Software Engineering 10 (1984).
package rootcause

import (
	"cmp"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
)

// rank is how far upstream the defect lies that a rule speaks of, lowest first.
type rank int

const (
	none    rank = iota
	joined       // something is joined wrongly, or not at all
	loaded       // something gets too much, or current from where it should not
	starved      // something gets too little
	moving       // something never moves, or never rests
	logic        // something decided is never so
	claimed      // something claimed is not so
	empty        // something claimed says nothing
	driven       // something was not seen
)

// ranks of the rules that can be roots or effects; the others are neither.
var ranks = map[string]rank{
	"supply-to-ground-short": joined, "diode-across-feed": joined, "driver-conflict": joined, "supplies-joined": joined, "supplies-opposed": joined, "contacts-meet": joined,
	"no-feed": joined, "floating-ground": joined, "feed-and-ground-never-together": joined,
	"leads-nowhere": joined, "input-not-wired": joined, "output-not-wired": joined, "not-apart": joined, "series-share": joined,
	"sneak-path": joined, "back-feed": joined, "feeds-back": joined, "fluid-absent-when-needed": joined, "fed-and-vented": joined,

	"fuse-below-load": loaded, "contact-overload": loaded, "driver-overload": loaded, "wire-overload": loaded, "load-over-volts": loaded, "supply-sags": loaded,

	"driver-unpowered": starved, "voltage-drop": starved, "pull-in-not-reached": starved, "never-energised": starved, "always-energised": starved,

	"hunting": moving, "race": moving, "input-never-changes": moving, "threshold-never-moves": moving, "threshold-inverted": moving,

	"timer-never-runs": logic, "mode-unreachable": logic, "mode-trap": logic, "transition-never": logic,
	"output-gap": logic, "output-overlap": logic, "timed-cycle": logic, "runs-on": logic, "held-in-through-load": logic,

	"requirement-violated": claimed, "never-possible": claimed, "band-contradicted": claimed, "edge-mismatch": claimed,
	"depends-on-warmth": claimed, "depends-on-tolerance": claimed,

	"undecided": claimed,

	"requirement-vacuous": empty, "symptom-unexplained": empty, "fault-violates-requirement": empty,

	"scenario-failed": driven,
}

// switched are the rules whose finding is an effect of a defect in what its subject acts
// on, not in what it depends on: a key that changes nothing, since its lamp has no feed.
var switched = map[string]bool{"setting-reaches-nothing": true, "assumption-unused": true, "input-unread": true}

// harmless are the rules whose defect changes nothing that is lit, moved or decided at
// nominal values: no claim fails because of it. A fuse that opens does.
var harmless = map[string]bool{
	"contact-overload": true, "driver-overload": true, "wire-overload": true, "load-over-volts": true, "voltage-drop": true,
}

// byTolerance are claims that fail only where volts are not the nominal ones, or lamps cold.
var byTolerance = map[string]bool{"depends-on-warmth": true, "depends-on-tolerance": true}

// loose are the rules that speak of an end at which something is missing.
var loose = map[string]bool{"pin-unused": true, "wire-dangling": true, "splice-single": true, "supply-loose": true}

// mostWork bounds the things that all slices of a design visit together. What is left then
// stands by itself.
const mostWork = 20_000_000

// Fold sets Follows of the findings of one design that follow from another one. Accepted
// findings are left alone and are nobody's root.
func Fold(d *model.Design, found []diag.Finding) {
	f := &folding{found: found, roots: make([]int, len(found))}
	relevant := 0
	for i := range found {
		f.roots[i] = -1
		if f.rank(i) != none || f.actor(i) {
			relevant++
		}
	}
	if relevant < 2 {
		return
	}
	f.g, f.stacks = newGraph(d), stacked(d)
	f.slices()
	f.fold()
	f.ends()
	for i := range found {
		top := f.roots[i]
		for top >= 0 && f.roots[top] >= 0 {
			top = f.roots[top]
		}
		if top >= 0 {
			r := &found[top]
			found[i].Follows = &diag.Root{Rule: r.Rule, Subject: r.Subject, Message: r.Message, Place: r.Place}
		}
	}
}

// folding is the work on the findings of one design, by their index.
type folding struct {
	found []diag.Finding
	g     *graph
	roots []int // the one that each follows from, or -1
	// depends are the subjects of findings that lie in the slice of each, and the pieces
	// of metal without an end; speaks is what each claim speaks of itself.
	depends, speaks []map[string]bool
	stacks          map[string][]string // see stacked
}

func (f *folding) rank(i int) rank {
	if f.found[i].Waived != nil || f.found[i].Subject == "" {
		return none
	}
	return ranks[f.found[i].Rule]
}

// actor reports whether a finding is about something that acts on nothing, or ends in
// nothing.
func (f *folding) actor(i int) bool {
	k := &f.found[i]
	return k.Waived == nil && k.Subject != "" && (switched[k.Rule] || loose[k.Rule])
}

// slices works out what each finding depends on, as far as there are findings about it.
func (f *folding) slices() {
	subjects := map[string]bool{}
	for i := range f.found {
		if f.rank(i) != none || f.actor(i) {
			subjects[f.found[i].Subject] = true
		}
	}
	f.depends, f.speaks = make([]map[string]bool, len(f.found)), make([]map[string]bool, len(f.found))
	type about struct {
		subject string
		claim   bool
	}
	known := map[about]int{}
	for i := range f.found {
		r := f.rank(i)
		if r == none {
			continue
		}
		of := about{f.found[i].Subject, r >= claimed}
		if j, ok := known[of]; ok {
			f.depends[i], f.speaks[i] = f.depends[j], f.speaks[j]
			continue
		}
		known[of] = i
		f.depends[i] = map[string]bool{}
		for path := range f.g.slice(of.subject, of.claim, false).has {
			if subjects[path] || strings.HasPrefix(path, piece) {
				f.depends[i][path] = true
			}
		}
		if r >= claimed {
			f.speaks[i] = f.g.slice(of.subject, of.claim, true).has
		}
	}
}

func (f *folding) fold() {
	order := make([]int, 0, len(f.found))
	for i := range f.found {
		if f.rank(i) != none {
			order = append(order, i)
		}
	}
	// Roots come first: by rank, then the more severe, then as they stand in the text.
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(f.rank(a), f.rank(b)), cmp.Compare(f.found[b].Severity, f.found[a].Severity), diag.Compare(f.found[a], f.found[b]))
	})
	subjects, spoken := map[string][]int{}, map[string]int{} // by path: where in the order
	for n, i := range order {
		f.roots[i] = f.first(i, order[:n], subjects, spoken)
		if f.roots[i] < 0 && f.rank(i) < claimed {
			f.upstream(i, order[:n])
		}
		path := f.found[i].Subject
		subjects[path] = append(subjects[path], n)
		if f.rank(i) == joined {
			for p := range f.depends[i] {
				if strings.HasPrefix(p, piece) {
					subjects[p] = append(subjects[p], n)
				}
			}
		}
		for p := range f.speaks[i] {
			if _, there := spoken[p]; !there && p[0] != 0 {
				spoken[p] = n
			}
		}
	}
}

// first is the most upstream finding that i follows from, or -1.
func (f *folding) first(i int, before []int, subjects map[string][]int, spoken map[string]int) int {
	best := f.starvedBy(i, before)
	for path := range f.depends[i] {
		for _, n := range subjects[path] {
			if n < best && f.follows(i, before[n], path) {
				best = n
			}
		}
	}
	if f.rank(i) >= claimed {
		for _, n := range subjects[f.found[i].Subject] {
			if n < best && f.rank(before[n]) >= claimed && f.shares(i, before[n]) {
				best = n // another step of the same drive
			}
		}
		// Two claims that fail and speak of the same lamp, mode or condition.
		for path := range f.speaks[i] {
			if n, there := spoken[path]; there && n < best && f.shares(i, before[n]) {
				best = n
			}
		}
	}
	if best == len(before) {
		return -1
	}
	return before[best]
}

// follows reports whether finding i, in whose slice path lies, follows from j, which is
// about that and comes before it.
func (f *folding) follows(i, j int, path string) bool {
	a, b := f.rank(i), f.rank(j)
	switch {
	case b >= claimed:
		return false
	case f.found[i].Rule == undecided: // of what never settles, and only where it says so
		return f.found[j].Rule == "hunting" && strings.Contains(f.found[i].Message, f.found[j].Subject+" goes on switching")
	case a >= claimed && harmless[f.found[j].Rule]:
		return byTolerance[f.found[i].Rule]
	case strings.HasPrefix(path, piece):
		return a == joined && b == joined
	}
	return true
}

// undecided is the rule of what could not be decided.
const undecided = "undecided"

// shares reports whether two claims that speak of the same thing may fail for one cause.
func (f *folding) shares(i, j int) bool {
	a, b := &f.found[i], &f.found[j]
	return a.Rule != undecided && b.Rule != undecided && !f.g.opposed(a.Subject, b.Subject)
}

// upstream makes an earlier finding of the same rank follow from i, where it depends on
// what i is about and does not follow from anything yet.
func (f *folding) upstream(i int, before []int) {
	for n := len(before) - 1; n >= 0 && f.rank(before[n]) == f.rank(i); n-- {
		if j := before[n]; f.roots[j] < 0 && f.depends[j][f.found[i].Subject] {
			f.roots[j] = i
		}
	}
}

// ends folds what speaks of the other end of what is missing, and of what acts on nothing.
func (f *folding) ends() {
	var dead []int
	for i := range f.found {
		if f.rank(i) == joined && f.roots[i] < 0 {
			switch f.found[i].Rule {
			case "no-feed", "floating-ground", "input-not-wired", "feed-and-ground-never-together":
				dead = append(dead, i)
			}
		}
	}
	for i := range f.found {
		switch k := &f.found[i]; {
		case !f.actor(i):
		case loose[k.Rule] && len(dead) == 1:
			f.roots[i] = dead[0] // one thing lacks a wire, and something else has an end to spare
		case switched[k.Rule]:
			for j := range f.found {
				if r := f.rank(j); r != none && r < claimed && f.roots[j] < 0 && f.depends[j][k.Subject] {
					f.roots[i] = j
					break
				}
			}
		}
	}
}
