package elaborate

import (
	"fmt"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// claim lowers what a body claims: requirements, drives, symptoms, faults, assumptions,
// acceptances, and what holds in bands.
func (b *builder) claim(y *body) {
	var taken map[string]*name.Def // most bodies claim nothing
	for _, it := range y.live {
		if b.stop() {
			return
		}
		st := it.Stmt
		switch st.Kind.ID {
		case schema.Bands:
			if len(it.Defs) > 0 {
				if x := y.ents[it.Defs[0].Index]; x.kind == schema.Bands {
					b.claimBands(y, it, int(x.id))
				}
			}
			continue
		case schema.Accept:
			b.accept(y, st)
			continue
		case schema.Shows:
			b.shows(y, st)
			continue
		}
		if len(it.Defs) == 0 || !isClaim(st.Kind.ID) {
			continue
		}
		d := it.Defs[0]
		key := st.Kind.Name + " " + d.Name
		if first := taken[key]; first != nil {
			b.duplicate(y, d, first)
			continue
		}
		if taken == nil {
			taken = map[string]*name.Def{}
		}
		taken[key] = d
		kinds[st.Kind.ID].claim(b, y, st, d)
	}
}

// text is the text of a head, or "".
func headText(st *syntax.Stmt) string {
	if t := st.Head().Text; t != nil {
		return t.Text
	}
	return ""
}

func (b *builder) symptom(y *body, st *syntax.Stmt, d *name.Def) {
	s := model.Symptom{Info: b.info(y, d), Text: headText(st), Cond: model.Unknown}
	if c := st.Clause(schema.SymptomWhen); c != nil {
		s.Cond = b.condition(scene{y: y, owner: &s.Info}, c, "cond")
		b.noMomentsAsked(y, s.Cond)
	}
	b.d.Symptoms = append(b.d.Symptoms, s)
}

var assumptionForms = map[schema.FormID]model.AssumptionKind{
	schema.AssumeNever: model.AssumeNever, schema.AssumeAlways: model.AssumeAlways,
	schema.AssumeFalls: model.AssumeFalls, schema.AssumeRises: model.AssumeRises, schema.AssumeMoves: model.AssumeMoves,
}

var requireForms = map[schema.FormID]model.RequireKind{
	schema.RequireNever: model.Never, schema.RequireAlways: model.Always, schema.RequirePossible: model.Possible,
	schema.RequireApart: model.Apart, schema.RequireWithin: model.Within, schema.RequireWhenever: model.Whenever,
	schema.RequireRepeats: model.Repeats, schema.RequireRepeatsWhenever: model.Repeats,
}

func (b *builder) assumption(y *body, st *syntax.Stmt, d *name.Def) {
	a := model.Assumption{Info: b.info(y, d), Quantity: model.None, Setting: model.None, Position: model.None, Cond: model.Unknown}
	for _, c := range st.Clauses() {
		form, ok := assumptionForms[c.Form.ID]
		if !ok || c.Broken {
			continue
		}
		a.Form = form
		a.Cond = b.condition(scene{y: y, owner: &a.Info}, c, "cond")
		switch form {
		case model.AssumeNever, model.AssumeAlways:
			b.inputsOnly(y, a.Cond)
		case model.AssumeFalls, model.AssumeRises:
			t, ok := b.find(y, c, "quantity")
			a.Quantity, a.Broken = model.QuantityID(t.id), a.Broken || !ok
		case model.AssumeMoves:
			t, ok := b.find(y, c, "setting")
			if ok {
				a.Setting = model.SettingID(t.id)
				a.Position, ok = b.position(y, t.def, b.d.Settings[t.id].Positions, c.Word("position"), b.statesOf(t))
			}
			a.Broken = a.Broken || !ok
		}
	}
	if a.Broken {
		b.d.Incomplete = append(b.d.Incomplete, a.Info)
		return
	}
	b.d.Assumptions = append(b.d.Assumptions, a)
}

// inputsOnly reports an assumption about what the design itself does.
func (b *builder) inputsOnly(y *body, c *model.Cond) {
	c.Atoms(func(a *model.Cond) {
		if a.Atom.Kind == model.AtomQuantity || a.Atom.Kind == model.AtomSetting {
			return
		}
		b.report(y, nil, diag.Finding{
			Rule: "wrong-kind", Place: a.Place,
			Message: "`never` and `always` assume something of quantities and settings only",
			Why:     "an assumption about what the design does would replace its check",
			Help:    "make it a `require`, or assume what the surroundings do",
		})
	})
}

func (b *builder) requirement(y *body, st *syntax.Stmt, d *name.Def) {
	r := model.Requirement{Info: b.info(y, d), Text: headText(st), A: model.Unknown, X: model.None, Y: model.None}
	s := scene{y: y, owner: &r.Info}
	for _, c := range st.Clauses() {
		if c.Broken {
			continue
		}
		switch c.Form.ID {
		case schema.RequireDespite, schema.RequireDespiteBut, schema.RequireDespiteTwo, schema.RequireDespiteNamed:
			r.Despite, r.DespitePlace = true, st.Place(c.Span)
			r.With.Two = c.Form.ID == schema.RequireDespiteTwo
			if c.Faults("faults") != nil {
				b.naming = append(b.naming, naming{y: y, clause: c, requirement: len(b.d.Requirements), notice: model.None})
			}
			continue
		}
		form, ok := requireForms[c.Form.ID]
		if !ok {
			continue
		}
		r.Form = form
		switch form {
		case model.Apart:
			x, ok1 := b.node(y, c.Ref("a"), 0)
			z, ok2 := b.node(y, c.Ref("b"), 0)
			r.X, r.Y = x, z
			r.A = nil
			r.Broken = r.Broken || !ok1 || !ok2
		case model.Within:
			r.B = b.condition(s, c, "whenever")
			r.A = b.condition(s, c, "cond")
			r.Broken = !b.seconds(y, c, &r) || r.Broken
		case model.Whenever:
			r.B = b.condition(s, c, "whenever")
			r.A = b.condition(s, c, "cond")
		case model.Repeats:
			if c.Form.ID == schema.RequireRepeatsWhenever {
				r.B = b.condition(s, c, "whenever")
			}
			r.A = b.condition(s, c, "cond")
			r.Broken = !b.seconds(y, c, &r) || r.Broken
		default:
			r.A = b.condition(s, c, "cond")
		}
	}
	b.noMomentsAsked(y, r.A, r.B)
	if r.Broken && r.Form == model.Apart {
		b.d.Incomplete = append(b.d.Incomplete, r.Info) // without its nodes there is nothing to ask
		return
	}
	b.d.Requirements = append(b.d.Requirements, r)
}

func (b *builder) seconds(y *body, c clause, r *model.Requirement) bool {
	q, ok := b.quantity(y, c, "time")
	r.Time, r.Seconds = q.Value, q.Value.Float64()
	return ok
}

// shows notes the names that a part shows, and reports those that it does not have.
func (b *builder) shows(y *body, st *syntax.Stmt) {
	for _, w := range st.Head().Names {
		if d := y.scope.Own(w.Text); d != nil {
			b.note(y, w.Span, d)
			if i := b.infoOf(y.ents[d.Index]); i != nil {
				i.Used++
			}
			continue
		}
		r := &syntax.Ref{Parts: []syntax.Word{{}, w}, Span: w.Span}
		if y.scope.Owner != nil {
			r.Parts[0].Text = y.scope.Owner.Name
		}
		b.noSuchMember(y, r, 1, y.scope, nil)
	}
}

// accept notes that one finding on one thing was accepted.
func (b *builder) accept(y *body, st *syntax.Stmt) {
	because := st.Clause(schema.AcceptBecause)
	if because == nil || because.Text("reason") == nil || st.Broken {
		return
	}
	a := model.Acceptance{Rule: st.Name().Text, RulePlace: st.Place(st.Name().Span), Reason: because.Text("reason").Text, Place: st.Place(st.Line)}
	if strings.TrimSpace(a.Reason) == "" {
		b.report(y, st, diag.Finding{
			Rule: "missing-clause", Place: st.Place(because.Span), Message: "the acceptance gives no reason",
			Why: "later readers can't tell a decision from a mistake", Help: "write why the finding may stand",
		})
		return
	}
	if c := st.Clause(schema.AcceptUntil); c != nil {
		if d := c.Date("date"); d != nil {
			a.Until = fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
		}
	}
	if c := st.Clause(schema.AcceptOn); c != nil {
		path, ok := b.pathOf(y, c.Ref("thing"))
		if !ok {
			return
		}
		a.On = path
	} else if !st.Has(schema.AcceptOnDesign) {
		return
	}
	b.d.Acceptances = append(b.d.Acceptances, a)
}

// pathOf is the full path of what an acceptance is on: a thing, or a claim.
func (b *builder) pathOf(y *body, r *syntax.Ref) (string, bool) {
	if len(r.Parts) == 1 {
		for z := y; z != nil; z = z.outer {
			for _, d := range z.scope.Claims {
				if d.Name == r.Parts[0].Text && z.scope.Own(d.Name) == nil {
					b.note(y, r.Parts[0].Span, d)
					return z.prefix + d.Name, true
				}
			}
		}
	}
	if path, ok := b.statePath(y, r); ok {
		return path, true
	}
	t, ok := b.resolveAnything(y, r)
	if !ok {
		return "", false
	}
	if i := b.infoOf(t.entity); i != nil {
		return i.Path, true
	}
	return t.home.prefix + t.def.Name, true
}

// statePath is for positions, modes, rows, bands and steps: the name behind the last
// dot is one of those of the thing before it.
func (b *builder) statePath(y *body, r *syntax.Ref) (string, bool) {
	d := name.Resolve(y.scope, r)
	if d == nil || d.In == nil || d.In.Kind != name.OfMembers || d.Sort == name.Terminal || len(r.Parts) < 2 {
		return "", false
	}
	before := &syntax.Ref{Parts: r.Parts[:len(r.Parts)-1], Span: r.Span}
	t, ok := b.resolveAnything(y, before)
	if !ok {
		return "", false
	}
	last := r.Parts[len(r.Parts)-1]
	b.note(y, last.Span, d)
	if i := b.infoOf(t.entity); i != nil {
		return i.Path + "." + last.Text, true
	}
	return r.String(), true
}
