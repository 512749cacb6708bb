package run

import (
	"cmp"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/syntax"
)

// ClaimChange is a claim that is new, gone, said otherwise or stands otherwise.
type ClaimChange struct {
	Kind, Name string
	// Old and New are how it stood and stands; nil: there was none, there is none.
	Old, New *Verdict
	// Reworded: it says something else than before. OldText and NewText are what it says then.
	Reworded         bool
	OldText, NewText string
}

// Standing says how a claim stands beside how it stood.
type Standing uint8

// The standings.
const (
	StandsAsBefore Standing = iota
	Stronger
	Weaker
	Otherwise // as strong, but not with the same corner or for the same reason
)

// strength orders outcomes by how much they say for a claim.
var strength = map[Outcome]int{Fails: 0, Unread: 1, Undecided: 1, NominalOnly: 2, Vacuous: 3, Proved: 4}

// Stands says how a claim that is in both stands beside how it stood.
func (c *ClaimChange) Stands() Standing {
	if c.Old == nil || c.New == nil {
		return StandsAsBefore
	}
	switch was, is := strength[c.Old.Outcome], strength[c.New.Outcome]; {
	case is > was:
		return Stronger
	case is < was:
		return Weaker
	case c.Old.Outcome != c.New.Outcome || c.Old.Corner != c.New.Corner:
		return Otherwise
	}
	return StandsAsBefore
}

// claimChanges holds the verdicts on two designs against each other.
func claimChanges(old, fresh *comparedSide, d, e *model.Design, renamed func(string) string) []ClaimChange {
	if old.checked == nil || fresh.checked == nil {
		return nil
	}
	mine := func(s *comparedSide, d *model.Design) []*Verdict {
		var out []*Verdict
		for i := range s.checked.Verdicts {
			if v := &s.checked.Verdicts[i]; v.Design == d.Name {
				out = append(out, v)
			}
		}
		return out
	}
	before, after := mine(old, d), mine(fresh, e)
	var out []ClaimChange
	paired := map[*Verdict]bool{}
	for _, v := range before {
		name := renamed(v.Name)
		i := slices.IndexFunc(after, func(w *Verdict) bool { return w.Kind == v.Kind && w.Name == name && !paired[w] })
		c := ClaimChange{Kind: v.Kind, Name: v.Name, Old: v}
		if i >= 0 {
			c.New = after[i]
			paired[c.New] = true
			was, is := old.saying(v.Place), fresh.saying(c.New.Place)
			if c.Reworded = renamed(was) != is; c.Reworded {
				c.OldText, c.NewText = was, is
			}
		}
		if c.New == nil || c.Reworded || c.Stands() != StandsAsBefore {
			out = append(out, c)
		}
	}
	for _, v := range after {
		if !paired[v] {
			out = append(out, ClaimChange{Kind: v.Kind, Name: v.Name, New: v})
		}
	}
	return out
}

// saying is the text of the statement at a place, with single spaces.
func (o *Opened) saying(at diag.Place) string {
	if at.File == nil {
		return ""
	}
	for _, f := range append([]*syntax.File{o.Tree}, o.Read.Files...) {
		if f.Src.Name != at.File.Name {
			continue
		}
		var in *syntax.Stmt
		for _, s := range f.All() {
			if s.Span.Start <= at.Start && at.Start < s.Span.End && (in == nil || s.Span.End-s.Span.Start < in.Span.End-in.Span.Start) {
				in = s
			}
		}
		if in != nil {
			return strings.Join(strings.Fields(f.Src.Text[in.Span.Start:in.Span.End]), " ")
		}
	}
	return ""
}

// FindingChange is a rule of which there are more or fewer findings now.
type FindingChange struct {
	Rule     string
	Old, New int
}

// findingChanges counts findings that are not accepted, rule by rule.
func findingChanges(old, fresh []diag.Finding) []FindingChange {
	count := map[string]*FindingChange{}
	of := func(f *diag.Finding) *FindingChange {
		if count[f.Rule] == nil {
			count[f.Rule] = &FindingChange{Rule: f.Rule}
		}
		return count[f.Rule]
	}
	for i := range old {
		if old[i].Waived == nil {
			of(&old[i]).Old++
		}
	}
	for i := range fresh {
		if fresh[i].Waived == nil {
			of(&fresh[i]).New++
		}
	}
	var out []FindingChange
	for _, c := range count {
		if c.Old != c.New {
			out = append(out, *c)
		}
	}
	slices.SortFunc(out, func(a, b FindingChange) int { return cmp.Compare(a.Rule, b.Rule) })
	return out
}
