package action

import (
	"strings"

	"pintle/checker/question/ask"
	"pintle/lang/name"
	"pintle/lang/schema"
)

// questions offers to ask about what is selected, if a person selected a condition or a measure
// of the root file; without a selection, about the thing that is named at the cursor, or, at the
// title, about the whole design. The answer is a document of its own.
func (a *actor) questions() error {
	src := a.f.Src
	if selected := strings.TrimSpace(src.Text[a.r.Span.Start:a.r.Span.End]); selected != "" {
		q := ask.Read(selected)
		switch {
		case len(q.Findings) > 0:
		case q.Kind == ask.State:
			a.ask("Ask whether this can be", selected)
			a.ask("Ask when this is so", "when "+selected)
		case q.Kind == ask.Measure:
			a.ask("Ask for the range of this", selected)
		default:
			a.ask("Ask this", selected)
		}
		return nil
	}
	x, err := a.v.Index(a.ctx)
	if err != nil {
		return err
	}
	if st := a.statement(); st != nil && st.Kind != nil && st.Kind.ID == schema.Title {
		a.offer(Action{Title: "Show the decision tables of this design", Kind: Ask, Wants: Tables})
		a.offer(Action{Title: "Compare with the saved file", Kind: Ask, Wants: Comparison})
		a.offer(Action{Title: "Compare with the last commit", Kind: Ask, Wants: Comparison, Since: "HEAD"})
		return nil
	}
	d, _ := x.DefinitionAt(src, a.r.Span.Start)
	// A question names things as the design itself does; those inside a part have other names there.
	if d == nil || d.Broken || d.Sort != name.Thing || d.Place.File != a.v.Root.Tree.Src || d.Stmt == nil || d.Stmt.Parent != nil {
		return nil
	}
	switch d.Kind {
	case schema.Wire, schema.Fuse, schema.Contact, schema.Load, schema.Resistor, schema.Diode:
		a.ask("Ask for the range of the current through "+d.Name, "current through "+d.Name)
	case schema.Pin, schema.Node:
		a.ask("Ask for the range of the volts at "+d.Name, "volts at "+d.Name)
	case schema.Condition:
		a.ask("Ask when "+d.Name+" holds", "when "+d.Name)
	}
	return nil
}

func (a *actor) ask(title, question string) {
	a.offer(Action{Title: title, Kind: Ask, Wants: Answer, Question: question})
}
