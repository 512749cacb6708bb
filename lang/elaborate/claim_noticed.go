package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// noticed lowers a claim that faults are noticed. What it names of faults and symptoms may be
// declared further down.
func (b *builder) noticed(y *body, st *syntax.Stmt, d *name.Def) {
	n := model.Notice{Info: b.info(y, d)}
	s := scene{y: y, owner: &n.Info}
	at := len(b.d.Notices)
	either := func(to **model.Cond, c *model.Cond) {
		if *to == nil {
			*to = c
		} else {
			*to = model.Or(*to, c)
		}
	}
	for _, c := range st.Clauses() {
		if c.Broken {
			n.Broken = true
			continue
		}
		switch c.Form.ID {
		case schema.NoticedAny, schema.NoticedAnyBut:
			n.FaultsPlace = st.Place(c.Span)
			t, ok := b.resolveAnything(y, c.Ref("thing"))
			if i := b.infoOf(t.entity); ok && i != nil {
				n.Of = i.Path
			} else {
				if ok {
					b.wrongThing(y, c.Ref("thing"), t, "a thing that can fail, or a fit with such things in it")
				}
				n.Broken = true
			}
			if c.Faults("faults") != nil {
				b.naming = append(b.naming, naming{y: y, clause: c, notice: at})
			}
		case schema.NoticedFaults, schema.NoticedSymptom:
			if c.Form.ID == schema.NoticedFaults {
				n.FaultsPlace = st.Place(c.Span)
			}
			b.naming = append(b.naming, naming{y: y, clause: c, notice: at})
		case schema.NoticedShows:
			either(&n.Shows, b.condition(s, c, "cond"))
		case schema.NoticedRefuses:
			either(&n.Refuses, b.condition(s, c, "cond"))
		case schema.NoticedBefore:
			n.Before = b.condition(s, c, "cond")
		}
	}
	b.noMomentsAsked(y, n.Shows, n.Refuses, n.Before)
	b.d.Notices = append(b.d.Notices, n)
}

// nameNoticed finds the faults and the symptom that a clause of such a claim names.
func (b *builder) nameNoticed(at naming) {
	n := &b.d.Notices[at.notice]
	if at.clause.Form.ID == schema.NoticedSymptom {
		r := at.clause.Ref("symptom")
		var d *name.Def
		for z := at.y; z != nil && d == nil; z = z.outer {
			d = z.scope.Claim(r.String(), schema.Symptom)
		}
		var names []string
		for i := range b.d.Symptoms {
			s := &b.d.Symptoms[i]
			names = append(names, s.Name)
			if d != nil && s.NamePlace == d.NamePlace {
				b.note(at.y, r.Span, d)
				s.Used++
				n.Symptoms = append(n.Symptoms, i)
				if n.Shows == nil {
					n.Shows = s.Cond
				} else {
					n.Shows = model.Or(n.Shows, s.Cond)
				}
				n.Broken = n.Broken || s.Broken
				return
			}
		}
		f := diag.Finding{
			Rule: "undefined-name", Place: diag.Place{File: at.y.scope.File.Src, Span: r.Span}, Subject: n.Path,
			Message: "`" + r.String() + "` is no symptom", Why: "a line that uses this name has no effect",
			Help: "name a `symptom`, or write `shows as` and the condition",
		}
		didYouMean(&f, nearest(r.String(), names))
		b.report(at.y, nil, f)
		n.Broken = true
		return
	}
	found, ok := b.namedFaults(at.y, at.clause)
	n.Broken = n.Broken || !ok
	if at.clause.Form.ID == schema.NoticedAnyBut {
		n.But = found
	} else {
		n.Only = found
	}
}
