package action

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/format"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// extractPart offers to make a part of the body of a one-off fit, so that it can be put in
// place a second time. What it names of quantities and settings around it, it then takes;
// what is named of it from outside, it shows.
func (a *actor) extractPart() error {
	st := a.statement()
	if st == nil || st.Kind == nil || st.Kind.ID != schema.Fit || !st.HasBody || st.Broken || len(st.Body) == 0 ||
		st.Has(schema.FitElsewhere) || st.Has(schema.FitPart) || st.Span.End == st.BodySpan.End {
		return nil
	}
	x, err := a.v.Index(a.ctx)
	if err != nil {
		return err
	}
	d := ide.DefOf(ide.ScopeIn(x, a.f, st.Parent), st)
	if d == nil || d.Inner == nil || d.Twin != nil {
		return nil
	}
	e := &extraction{a: a, x: x, fit: d, st: st}
	act := Action{Title: "Make a part of the body of " + d.Name, Kind: RefactorExtract}
	if act.Disabled = e.takesWhat(); act.Disabled == "" {
		act.Make = e.edits
	}
	a.out = append(a.out, act)
	return nil
}

// extraction makes a part of a body.
type extraction struct {
	a   *actor
	x   *name.Index
	fit *name.Def
	st  *syntax.Stmt
	// takes are the quantities and settings of the surroundings that the body names.
	takes []*name.Def
}

// inBody reports whether something is declared in the body.
func (e *extraction) inBody(d *name.Def) bool {
	return d.NamePlace.File == e.a.f.Src && e.st.BodySpan.Start <= d.NamePlace.Start && d.NamePlace.End <= e.st.BodySpan.End
}

// takesWhat finds what the body names of its surroundings; the text says what of that a
// part can't have.
func (e *extraction) takesWhat() string {
	for _, u := range e.x.Uses(e.a.f.Src) {
		if u.Start < e.st.BodySpan.Start || u.End > e.st.BodySpan.End || e.inBody(u.Def) || u.Def.Global() {
			continue
		}
		d := u.Def
		switch {
		case d.In != nil && d.In.Owner != nil && d.In.Kind == name.OfMembers && (slices.Contains(e.takes, d.In.Owner) || d.In.Owner.Global()):
		case d.In != nil && d.In.Kind == name.OfPart && d.In.Owner != nil && d.In.Owner.Global() && !e.around(d):
			// An argument or an inner thing of another part, behind the dot of a fit in it.
		case d.Sort == name.Thing && (d.Kind == schema.Quantity || d.Kind == schema.Setting):
			if !slices.Contains(e.takes, d) {
				e.takes = append(e.takes, d)
			}
		default:
			return fmt.Sprintf("the body names %s, which a part can't see", d.Name)
		}
	}
	return ""
}

// around reports whether a definition belongs to the part that the fit stands in.
func (e *extraction) around(d *name.Def) bool {
	for s := e.fit.In; s != nil; s = s.Outer {
		if s == d.In {
			return true
		}
	}
	return false
}

// partName is the name of the fit as parts are written, and one that is free.
func (e *extraction) partName() string {
	var b strings.Builder
	for _, w := range strings.FieldsFunc(e.fit.Name, func(r rune) bool { return r == '_' || r == '-' }) {
		b.WriteString(strings.ToUpper(w[:1]) + w[1:])
	}
	own := b.String()
	if own == "" || own[0] < 'A' || own[0] > 'Z' {
		own = "Part" + own
	}
	taken := func(word string) bool {
		return namedIn(e.fit.Inner, word) || namedIn(e.fit.In, word) || namedIn(e.x.Files()[0], word)
	}
	if taken(own) && !strings.HasPrefix(own, "Part") {
		own += "Part"
	}
	name := own
	for n := 2; taken(name); n++ {
		name = fmt.Sprintf("%s_%d", own, n)
	}
	return name
}

func (e *extraction) edits(ctx context.Context) ([]diag.Edit, error) {
	src, nl := e.a.f.Src, ide.Newline(e.a.f.Src)
	shown, err := e.shown(ctx)
	if err != nil {
		return nil, err
	}
	part := e.partName()
	var b strings.Builder
	b.WriteString("part " + part + " {" + nl)
	var args []string
	for _, d := range e.takes {
		b.WriteString("takes " + d.Name + ": " + d.Kind.String() + nl)
		args = append(args, d.Name+" "+d.Name)
	}
	body := src.Text[e.st.BodySpan.Start:e.st.BodySpan.End]
	b.WriteString(strings.TrimRight(strings.TrimLeft(body, "\r\n"), " \t\r\n") + nl)
	if len(shown) > 0 {
		b.WriteString("shows " + strings.Join(shown, ", ") + nl)
	}
	b.WriteString("}" + nl)
	laidOut, wrong := format.Format(syntax.Parse(source.NewFile(src.Name, b.String()), nil))
	if len(wrong) > 0 && len(e.a.f.Findings) == 0 {
		return nil, errNotHere(wrong[0].Message)
	}
	top := e.st
	for top.Parent != nil {
		top = top.Parent
	}
	call := part
	if len(args) > 0 {
		call += "(" + strings.Join(args, ", ") + ")"
	}
	toks := ide.Significant(e.a.f, e.st.Line.Start, e.st.Line.End)
	at := slices.IndexFunc(toks, func(t ide.Token) bool { return t.Kind == syntax.Colon })
	if at < 0 {
		return nil, errNotHere("its line is not complete")
	}
	edits := []diag.Edit{
		ide.Insert(src, ide.WithDocs(src, top.Span.Start), strings.ReplaceAll(laidOut, "\n", nl)+nl),
		ide.Replace(src, source.Span{Start: toks[at].End, End: e.st.Span.End}, " "+call),
	}
	return edits, noWorse(ctx, e.a.v, edits)
}

// shown are the things of the body that are named outside of it and that no part shows by
// itself.
func (e *extraction) shown(ctx context.Context) ([]string, error) {
	var out []string
	for _, d := range e.fit.Inner.Defs {
		if d.Sort != name.Thing || d.Kind == schema.Pin || d.Kind == schema.Port || slices.Contains(out, d.Name) {
			continue
		}
		places, err := ide.UsesEverywhere(ctx, e.a.v, d)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(places, func(p diag.Place) bool {
			return p.File.Name != e.a.f.Src.Name || p.Start < e.st.BodySpan.Start || p.End > e.st.BodySpan.End
		}) {
			out = append(out, d.Name)
		}
	}
	return out, nil
}
