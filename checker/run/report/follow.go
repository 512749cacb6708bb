package report

import (
	"fmt"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// story is a finding with those that follow from it, as indices into the findings of a
// result.
type story struct {
	root    int
	follows []int
}

// stories puts findings under their roots, in the order of the roots. Accepted findings are
// in none.
func stories(fs []diag.Finding) []story {
	var out []story
	at := map[identity]int{}
	for i := range fs {
		if f := &fs[i]; f.Waived == nil && f.Follows == nil {
			if _, there := at[identify(f.Rule, f.Message, f.Place)]; !there {
				at[identify(f.Rule, f.Message, f.Place)] = len(out)
			}
			out = append(out, story{root: i})
		}
	}
	for i := range fs {
		f := &fs[i]
		if f.Waived != nil || f.Follows == nil {
			continue
		}
		if k, ok := at[identify(f.Follows.Rule, f.Follows.Message, f.Follows.Place)]; ok {
			out[k].follows = append(out[k].follows, i)
		} else {
			out = append(out, story{root: i}) // nothing is ever left out
		}
	}
	return out
}

// identity is what makes findings one, see package run.
type identity struct {
	file, rule, message string
	start, end          int
}

func identify(rule, message string, p diag.Place) identity {
	return identity{nameOf(p), rule, message, p.Start, p.End}
}

// mostFollowing is how many findings that follow from another are named below it.
const mostFollowing = 12

// following names the findings that follow from another, a line each.
func (t text) following(r *run.Result, s story) {
	if len(s.follows) == 0 {
		return
	}
	t.row("", fmt.Sprintf("and %s from it (--whole tells of each in full):", thatFollow(len(s.follows))))
	for n, i := range s.follows {
		if n == mostFollowing && len(s.follows) > mostFollowing+1 {
			t.row("", fmt.Sprintf("  and %d more", len(s.follows)-n))
			break
		}
		f := &r.Findings[i]
		where := ""
		if f.Where != "" {
			where = ", " + f.Where
		}
		t.row("", fmt.Sprintf("  %s: %s: %s (%s)", escape.Line(position(f.Place)), f.Severity, escape.Line(f.Message+where), f.Rule))
	}
}

// follows says in one line which finding another one follows from: the line where that
// stands, and the file where it is another one.
func follows(f *diag.Finding) string {
	r := f.Follows
	if r.IsZero() || nameOf(r.Place) != nameOf(f.Place) {
		return fmt.Sprintf("follows from %s at %s", r.Rule, position(r.Place))
	}
	return fmt.Sprintf("follows from %s in line %d", r.Rule, r.File.LineOf(r.Start)+1)
}

// followsFromIt stands before the message of what follows, where a root points to it.
const followsFromIt = "follows from it: "

func thatFollow(n int) string {
	if n == 1 {
		return "1 that follows"
	}
	return fmt.Sprintf("%d that follow", n)
}
