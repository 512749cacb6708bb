package action

import (
	"strings"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// acceptances offers to accept a finding: the line that says so, without its reason. As
// long as nobody writes one the line is itself a finding, and takes nothing.
func (a *actor) acceptances() error {
	for _, f := range a.r.Findings {
		if f.Waived != nil || a.v.Catalogue == nil {
			continue
		}
		// What is said while files are read is a mistake, not a decision.
		r, ok := a.v.Catalogue.Lookup(f.Rule)
		if !ok || r.Needs == rule.Reading || r.Needs == rule.Judging {
			continue
		}
		at, on, ok, err := a.acceptedAt(&f)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		thing := on
		if on == "" {
			thing = "the design"
		}
		line := "accept " + f.Rule + ": on " + thing + ", because \"\""
		a.offer(Action{
			Title: "Accept " + f.Rule + " on " + thing + ", with a reason to be written", Kind: QuickFix, Clears: []diag.Finding{f},
		}, a.newLine(at, line))
	}
	return nil
}

// acceptedAt finds the body that an acceptance of a finding belongs in, nil for the top
// level, and what it is on as seen from there. ok is false where no line in the document
// would take the finding.
func (a *actor) acceptedAt(f *diag.Finding) (body *syntax.Stmt, on string, ok bool, err error) {
	if bench, found := strings.CutPrefix(f.Where, "bench "); found {
		body = a.benchNamed(bench)
		if body == nil {
			return nil, "", false, nil
		}
	} else if a.v.Root.Name() != a.v.Src().Name {
		return nil, "", false, nil // the paths of the root are not those of this file
	}
	if f.Subject == "" {
		return body, "", true, nil
	}
	// A position, a row or a level is named behind what it belongs to.
	owner := f.Subject
	if i := strings.LastIndexByte(owner, '.'); i >= 0 {
		owner = owner[:i]
	}
	read, err := a.v.Roots[0].Read(a.ctx)
	if err != nil {
		return nil, "", false, err
	}
	found := false
	for _, d := range read.Designs {
		if d.Bench == (body != nil) && (body == nil || d.Name == f.Where) {
			ide.EachThing(d, func(t ide.Thing) { found = found || t.Info.Path == f.Subject || t.Info.Path == owner })
		}
	}
	return body, f.Subject, found, nil
}

func (a *actor) benchNamed(path string) *syntax.Stmt {
	part, bench, ok := strings.Cut(path, ".")
	if !ok {
		return nil
	}
	for _, st := range a.f.Stmts {
		if st.Kind == nil || st.Kind.ID != schema.Part || st.Name().Text != part {
			continue
		}
		for _, in := range ide.Statements(st.Body) {
			if in.Kind != nil && in.Kind.ID == schema.Bench && in.Name().Text == bench && in.HasBody && in.Span.End > in.BodySpan.End {
				return in
			}
		}
	}
	return nil
}

// newLine puts a statement at the end of a body, nil standing for the top level.
func (a *actor) newLine(body *syntax.Stmt, line string) diag.Edit {
	src, nl := a.f.Src, ide.Newline(a.f.Src)
	if body == nil {
		text := strings.TrimRight(src.Text, " \t\r\n")
		if text == "" {
			return ide.Insert(src, len(src.Text), line+nl)
		}
		if len(src.Text) > len(text) && strings.HasSuffix(src.Text, "\n") {
			// An acceptance joins those that are there; otherwise it stands apart.
			last := a.f.Stmts[max(len(a.f.Stmts)-1, 0)]
			if last.Kind != nil && last.Kind.ID == schema.Accept {
				return ide.Insert(src, len(src.Text), line+nl)
			}
			return ide.Insert(src, len(src.Text), nl+line+nl)
		}
		return ide.Insert(src, len(src.Text), nl+nl+line+nl)
	}
	return insertInside(a.f, body, line)
}

// insertInside puts a line at the end of a body that is closed.
func insertInside(f *syntax.File, body *syntax.Stmt, line string) diag.Edit {
	src, nl := f.Src, ide.Newline(f.Src)
	indent := ide.LineIndent(src, body.Span.Start)
	brace := body.BodySpan.End
	start := src.LineStart(src.LineOf(brace))
	if strings.TrimSpace(src.Text[start:brace]) == "" {
		return ide.Insert(src, start, indent+"    "+line+nl)
	}
	return ide.Insert(src, brace, nl+indent+"    "+line+nl+indent)
}
