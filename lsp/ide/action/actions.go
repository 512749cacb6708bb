package action

import (
	"context"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// ActionKind says what an action is for, in the words of the protocol: "quickfix",
// "refactor.extract". A kind holds those that go on with a dot.
type ActionKind string

// The kinds of actions.
const (
	QuickFix        ActionKind = "quickfix"
	RefactorExtract ActionKind = "refactor.extract"
	RefactorInline  ActionKind = "refactor.inline"
	RefactorRewrite ActionKind = "refactor.rewrite"
	FixAll          ActionKind = "source.fixAll.pintle"
	Ask             ActionKind = "pintle.ask" // a question about the design; it changes nothing
)

// ActionKinds lists the kinds that there are actions of.
func ActionKinds() []ActionKind {
	return []ActionKind{QuickFix, RefactorExtract, RefactorInline, RefactorRewrite, FixAll, Ask}
}

// Holds reports whether a kind is the other one or holds it.
func (k ActionKind) Holds(other ActionKind) bool {
	return k == "" || k == other || strings.HasPrefix(string(other), string(k)+".")
}

// Action is a change that can be made, or a question that can be asked, where the cursor is.
type Action struct {
	Title string
	Kind  ActionKind
	// Clears are the findings that are gone afterwards.
	Clears []diag.Finding
	// Preferred: the one that an editor may take without asking.
	Preferred bool
	// Disabled says why the action can't be had here, although one would look for it.
	Disabled string
	// Edits are the change, if it is known; otherwise Make works it out, which may take a
	// while. An error of it says, for people, why it can't be made after all.
	Edits []diag.Edit
	Make  func(context.Context) ([]diag.Edit, error)
	// Wants is what an action of the kind Ask asks for; it changes nothing.
	Wants Want
	// Question of Answer is one as `pintle ask` takes it.
	Question string
	// Since of Comparison is the revision that is compared with; empty: the saved file.
	Since string
}

// Want is what an action asks for.
type Want uint8

// The wants.
const (
	Nothing Want = iota
	Answer
	Tables
	Comparison
)

// Change returns the edits, be they known or not.
func (a *Action) Change(ctx context.Context) ([]diag.Edit, error) {
	if a.Make == nil {
		return a.Edits, nil
	}
	return a.Make(ctx)
}

// ActionRequest says what actions are wanted.
type ActionRequest struct {
	Span source.Span
	// Findings are those that the actions are to clear, as far as they are known.
	Findings []diag.Finding
	// Only are the kinds that are wanted; none: all but those that change a whole text,
	// which have to be asked for.
	Only []ActionKind
	// Asked: a person asked for actions; without that an editor only looks whether there
	// are any, and is told of none that are disabled.
	Asked bool
}

func (r *ActionRequest) wants(k ActionKind) bool {
	if len(r.Only) == 0 {
		return k != FixAll
	}
	return slices.ContainsFunc(r.Only, func(o ActionKind) bool { return o.Holds(k) })
}

// Actions lists what can be done in a stretch of a document: first what clears findings,
// then what changes the design in other ways.
func Actions(ctx context.Context, v *ide.View, r ActionRequest) ([]Action, error) {
	a := &actor{ctx: ctx, v: v, f: v.Tree, r: r}
	if r.wants(QuickFix) {
		a.fixes()
	}
	if r.wants(FixAll) {
		a.fixAll()
	}
	for _, step := range []struct {
		kind ActionKind
		add  func() error
	}{
		{QuickFix, a.bandsForGaps}, {QuickFix, a.deadBands}, {QuickFix, a.acceptances},
		{RefactorExtract, a.extractPart}, {RefactorInline, a.inlinePart},
		{RefactorRewrite, a.units}, {RefactorRewrite, a.sortBody}, {Ask, a.questions},
	} {
		if !r.wants(step.kind) && !(step.kind == QuickFix && r.wants(RefactorRewrite)) {
			continue
		}
		if err := step.add(); err != nil {
			return nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	a.out = slices.DeleteFunc(a.out, func(x Action) bool { return !r.wants(x.Kind) || x.Disabled != "" && !r.Asked })
	return a.out, nil
}

// actor collects actions.
type actor struct {
	ctx context.Context
	v   *ide.View
	f   *syntax.File
	r   ActionRequest
	out []Action
}

// offer adds an action whose edits are known.
func (a *actor) offer(x Action, edits ...diag.Edit) {
	x.Edits = edits
	a.out = append(a.out, x)
}

// statement is the innermost one in whose line the beginning of the stretch is.
func (a *actor) statement() *syntax.Stmt { return ide.StmtAt(a.f, a.r.Span.Start) }
