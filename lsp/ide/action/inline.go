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

// inlinePart offers to put the body of a part where its only fit is, and to take the part
// out.
func (a *actor) inlinePart() error {
	st := a.statement()
	if st == nil || st.Kind == nil || st.Kind.ID != schema.Fit || st.Broken || !st.Has(schema.FitPart) {
		return nil
	}
	x, err := a.v.Index(a.ctx)
	if err != nil {
		return err
	}
	d := ide.DefOf(ide.ScopeIn(x, a.f, st.Parent), st)
	if d == nil || d.Twin != nil {
		return nil
	}
	part, call := name.PartOf(d), name.CallOf(d)
	if part == nil || call == nil || part.Inner == nil || part.Broken || part.Twin != nil {
		return nil
	}
	uses, err := ide.UsesEverywhere(a.ctx, a.v, part)
	if err != nil {
		return err
	}
	if len(uses) != 1 {
		return nil
	}
	in := &inlining{a: a, x: x, fit: d, part: part, call: call, st: st}
	act := Action{Title: "Put the body of " + part.Name + " here, its only fit", Kind: RefactorInline}
	if act.Disabled = in.hindered(); act.Disabled == "" {
		act.Make = in.edits
	}
	a.out = append(a.out, act)
	return nil
}

// inlining puts the body of a part in the place of its fit.
type inlining struct {
	a         *actor
	x         *name.Index
	fit, part *name.Def
	call      *syntax.Call
	st        *syntax.Stmt
}

func (in *inlining) hindered() string {
	ps := in.part.Stmt
	if !ps.HasBody || ps.Span.End == ps.BodySpan.End {
		return "the part is not complete"
	}
	for _, st := range ide.Statements(ps.Body) {
		switch {
		case st.Kind == nil || st.Broken:
			return "a statement of the part was not understood"
		case st.Kind.ID == schema.Bench:
			return "the part has benches, which would be lost"
		}
	}
	for _, arg := range in.call.Args {
		for _, r := range refsOf(arg) {
			if len(r.Parts) == 0 {
				continue
			}
			// What the part takes is gone afterwards and hides nothing.
			if own := in.part.Inner.Own(r.Parts[0].Text); own != nil && own.Kind != schema.Takes {
				return fmt.Sprintf("%s means something else inside the part", r.Parts[0].Text)
			}
		}
	}
	// What the part names of its surroundings has to be the same around the fit.
	for _, u := range in.x.Uses(in.part.NamePlace.File) {
		if u.Start < ps.BodySpan.Start || u.End > ps.BodySpan.End || !u.Def.Global() {
			continue
		}
		text := spanOf(in.part.NamePlace.File, u.Span)
		if seen := in.fit.In.Lookup(text); u.Def.Name == text && seen != u.Def {
			return fmt.Sprintf("%s is not known here, or is something else", text)
		}
	}
	return ""
}

// refsOf lists the paths in an argument.
func refsOf(arg syntax.NamedArg) []*syntax.Ref {
	var out []*syntax.Ref
	if arg.Ref != nil {
		out = append(out, arg.Ref)
	}
	var walk func(*syntax.Cond)
	walk = func(c *syntax.Cond) {
		if c == nil {
			return
		}
		for _, r := range [...]*syntax.Ref{c.Subject.A, c.Subject.B} {
			if r != nil {
				out = append(out, r)
			}
		}
		for _, k := range c.Kids {
			walk(k)
		}
	}
	walk(arg.Cond)
	if q := arg.Quantity; q != nil {
		for _, r := range [...]*syntax.Ref{q.Param, q.HiParam} {
			if r != nil {
				out = append(out, r)
			}
		}
	}
	return out
}

// said is what each argument is, as it can stand in place of its name.
func (in *inlining) said() map[string]string {
	out := map[string]string{}
	for _, t := range ide.ArgumentsOf(in.part) {
		if text := ide.UnlessSaid(t); text != "" {
			out[t.Name] = strings.TrimPrefix(text, "when ")
			if c := t.Stmt.Clause(schema.TakesDefaultWhen); c != nil {
				out[t.Name] = termed(c.Cond("cond"), t.NamePlace.File)
			}
		}
	}
	for _, arg := range in.call.Args {
		switch {
		case arg.Cond != nil:
			out[arg.Name.Text] = termed(arg.Cond, in.a.f.Src)
		case arg.Quantity != nil:
			out[arg.Name.Text] = spanOf(in.a.f.Src, arg.Quantity.Span)
		case arg.Count != nil:
			out[arg.Name.Text] = spanOf(in.a.f.Src, arg.Count.Span)
		case arg.Ref != nil:
			out[arg.Name.Text] = spanOf(in.a.f.Src, arg.Ref.Span)
		}
	}
	return out
}

// termed writes a condition as a single term.
func termed(c *syntax.Cond, src *source.File) string {
	if c == nil {
		return ""
	}
	text := spanOf(src, c.Span)
	if c.Op == syntax.CondTest && c.Pred != syntax.PredIsAnyOf || c.Op == syntax.CondAlways {
		return text
	}
	return "(" + text + ")"
}

// body is the inside of the part with the arguments put in.
func (in *inlining) body() (string, error) {
	ps, src := in.part.Stmt, in.part.NamePlace.File
	said := in.said()
	var edits []diag.Edit
	var gone []source.Span
	for _, st := range ide.Statements(ps.Body) {
		if st.Kind.ID != schema.Takes && st.Kind.ID != schema.Shows {
			continue
		}
		lines, ok := ide.WholeLines(src, st.Span)
		if !ok {
			return "", errNotHere("two statements of the part share a line")
		}
		lines.Start = max(ide.WithDocs(src, lines.Start), ps.BodySpan.Start)
		gone = append(gone, lines)
		edits = append(edits, ide.Replace(src, lines, ""))
	}
	for _, u := range in.x.Uses(src) {
		if u.Def.Kind != schema.Takes || u.Def.In != in.part.Inner || u.Start < ps.BodySpan.Start || u.End > ps.BodySpan.End || ide.Within(gone, u.Span) {
			continue
		}
		text, ok := said[u.Def.Name]
		if !ok {
			return "", errNotHere("the fit does not say what " + u.Def.Name + " is")
		}
		edits = append(edits, ide.Replace(src, u.Span, text))
	}
	for i := range edits {
		edits[i].Start -= ps.BodySpan.Start
		edits[i].End -= ps.BodySpan.Start
	}
	return ide.Apply(spanOf(src, ps.BodySpan), edits), nil
}

func (in *inlining) edits(ctx context.Context) ([]diag.Edit, error) {
	src, nl := in.a.f.Src, ide.Newline(in.a.f.Src)
	body, err := in.body()
	if err != nil {
		return nil, err
	}
	text := "fit " + in.fit.Name + ": {" + nl + strings.Trim(body, "\r\n") + nl + "}" + nl
	laidOut, wrong := format.Format(syntax.Parse(source.NewFile(src.Name, text), nil))
	if len(wrong) > 0 {
		return nil, errNotHere(wrong[0].Message)
	}
	_, laidOut, _ = strings.Cut(laidOut, ": ")
	indent := ide.LineIndent(src, in.st.Span.Start)
	lines := strings.Split(strings.TrimRight(laidOut, "\n"), "\n")
	for i := range lines {
		if i > 0 && lines[i] != "" {
			lines[i] = indent + lines[i]
		}
	}
	edits := []diag.Edit{ide.Replace(src, in.call.Span, strings.Join(lines, nl))}

	ps, from := in.part.Stmt, in.part.NamePlace.File
	gone, ok := ide.WholeLines(from, ps.Span)
	if !ok {
		return nil, errNotHere("something else shares a line with the part")
	}
	docs := ide.WithDocs(from, gone.Start)
	// What its author wrote about the part goes with its body.
	if about := from.Text[docs:gone.Start]; about != "" {
		var b strings.Builder
		for line := range strings.Lines(about) {
			b.WriteString(indent + strings.TrimSpace(line) + nl)
		}
		edits = append(edits, ide.Insert(src, src.LineStart(src.LineOf(in.st.Span.Start)), b.String()))
	}
	gone.Start = docs
	for n := from.LineOf(gone.End); gone.End < len(from.Text) && strings.TrimSpace(from.Line(n)) == ""; n++ {
		next := from.LineStart(n + 1)
		if next <= gone.End {
			break
		}
		gone.End = next
	}
	edits = append(edits, ide.Replace(from, gone, ""))
	if from == src && gone.Start <= in.st.Span.Start && in.st.Span.Start < gone.End {
		return nil, errNotHere("the part is put in place inside itself")
	}
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return a.Compare(b.Place) })
	return edits, noWorse(ctx, in.a.v, edits)
}
