package rootcause

import (
	"slices"

	"pintle/lang/model"
)

// indexClaims says by path where the slice of a claim begins.
func (g *graph) indexClaims() {
	d := g.d
	add := func(path string, begin func(*slice)) {
		if path != "" && g.claims[path] == nil {
			g.claims[path] = begin
		}
	}
	for i := range d.Requirements {
		r := &d.Requirements[i]
		add(r.Path, func(s *slice) {
			s.cond(r.A)
			s.cond(r.B)
			if r.Form == model.Apart {
				s.node(r.X, model.None)
				s.node(r.Y, model.None)
			}
		})
	}
	for i := range d.Bands {
		b := &d.Bands[i]
		for j := range b.Bands {
			add(b.Bands[j].Path, func(s *slice) {
				s.cond(b.Bands[j].Claim)
				s.cond(b.While)
			})
		}
	}
	for i := range d.Notices {
		n := &d.Notices[i]
		add(n.Path, func(s *slice) {
			for _, c := range []*model.Cond{n.Shows, n.Refuses, n.Before} {
				if c != nil {
					s.cond(c)
				}
			}
		})
	}
	for i := range d.Symptoms {
		add(d.Symptoms[i].Path, func(s *slice) { s.cond(d.Symptoms[i].Cond) })
	}
	for i := range d.Drives {
		add(d.Drives[i].Path, func(s *slice) {
			for _, step := range d.Drives[i].Steps {
				for _, see := range step.Sees {
					s.cond(see.Cond)
					s.cond(see.Once)
				}
			}
		})
	}
}

// assumed adds what an input depends on by the assumptions about it: a pressure that rises
// only while a pump turns.
func (s *slice) assumed(about func(*model.Assumption) bool) {
	for i := range s.g.d.Assumptions {
		if k := &s.g.d.Assumptions[i]; about(k) && s.once("assumption", i) {
			s.cond(k.Cond)
		}
	}
}

// requirement is the one of a path; nil where there is none.
func (g *graph) requirement(path string) *model.Requirement {
	i := slices.IndexFunc(g.d.Requirements, func(r model.Requirement) bool { return r.Path == path })
	if i < 0 {
		return nil
	}
	return &g.d.Requirements[i]
}

// opposed reports whether two claims with a time ask, under one condition, for something and for its
// opposite: each fails by the length of its own phase, and neither because of the other.
func (g *graph) opposed(one, other string) bool {
	a, b := g.requirement(one), g.requirement(other)
	if a == nil || b == nil || a.Seconds == 0 || b.Seconds == 0 || a.A == nil || b.A == nil || g.words(a.B) != g.words(b.B) {
		return false
	}
	return g.words(model.Not(a.A)) == g.words(b.A) || g.words(a.A) == g.words(model.Not(b.A))
}

func (g *graph) words(c *model.Cond) string {
	if c == nil {
		return ""
	}
	return g.d.Words(c)
}
