package action

import (
	"fmt"
	"slices"

	"pintle/lang/diag"
	"pintle/lsp/ide"
)

// fixes offers what the findings bring along.
func (a *actor) fixes() {
	for _, f := range a.r.Findings {
		for _, fix := range f.Fixes {
			if len(fix.Edits) == 0 || !ide.Apart(fix.Edits) || !a.changesOwn(fix.Edits) {
				continue
			}
			a.offer(Action{
				Title: sentence(fix.Title), Kind: QuickFix, Clears: []diag.Finding{f},
				Preferred: len(f.Fixes) == 1 && !drops(&f),
			}, fix.Edits...)
		}
	}
}

// changesOwn reports whether edits are of texts that are as they were when they were made.
func (a *actor) changesOwn(edits []diag.Edit) bool {
	return !slices.ContainsFunc(edits, func(e diag.Edit) bool {
		return e.File == nil || e.File.Name == a.v.Src().Name && e.File.Text != a.v.Src().Text
	})
}

// drops reports whether what clears a finding takes something out that its author may be
// about to use: nobody wants that done without being asked.
func drops(f *diag.Finding) bool { return slices.Contains(f.Tags, diag.Unnecessary) }

// fixAll offers to make all changes at once that are the only one for their finding and
// take nothing out. Of two that touch each other the first is made; the next round finds
// the other.
func (a *actor) fixAll() {
	edits, cleared := a.certain(a.r.Findings)
	if len(edits) == 0 {
		return
	}
	a.out = append(a.out, Action{
		Title: fmt.Sprintf("Make all certain corrections (%d)", len(cleared)), Kind: FixAll, Clears: cleared,
		Edits: edits,
	})
}

func (a *actor) certain(all []diag.Finding) (edits []diag.Edit, cleared []diag.Finding) {
	gather := func(check bool) {
		edits, cleared = nil, nil
		for _, f := range all {
			if len(f.Fixes) != 1 || drops(&f) || f.Waived != nil || a.ctx.Err() != nil || !a.inOwn(f.Fixes[0].Edits) {
				continue
			}
			more := slices.Clone(edits)
			for _, e := range f.Fixes[0].Edits {
				if !slices.Contains(more, e) { // two findings with one cause
					more = append(more, e)
				}
			}
			if ide.Apart(more) && (!check || ide.Reads(a.f, more)) {
				edits, cleared = more, append(cleared, f)
			}
		}
	}
	// Only where all of them together do not read well they are tried one by one.
	if gather(false); len(edits) > 0 && !ide.Reads(a.f, edits) {
		gather(true)
	}
	return edits, cleared
}

// inOwn reports whether edits are all of the document, as it is.
func (a *actor) inOwn(edits []diag.Edit) bool {
	return len(edits) > 0 && a.changesOwn(edits) && !slices.ContainsFunc(edits, func(e diag.Edit) bool { return e.File.Name != a.v.Src().Name })
}

// sentence begins a title with a capital.
func sentence(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}
