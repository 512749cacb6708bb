package elaborate

import (
	"iter"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/spelling"
	"pintle/lang/syntax"
)

// notKnown reports a name that stands for nothing where it is used.
func (b *builder) notKnown(y *body, w syntax.Word, hidden, gone *name.Def) {
	place := diag.Place{File: y.scope.File.Src, Span: w.Span}
	f := diag.Finding{Rule: "undefined-name", Place: place}
	switch {
	case gone != nil:
		f.Message = "`" + w.Text + "` does not exist with these options"
		f.Why = "in this variant of the vehicle, the line refers to nothing"
		f.Help = "put this line under the same `only when`, or declare the name for every variant"
		f.Related = []diag.Related{{Place: gone.NamePlace, Note: "declared only under this `only when`"}}
	case hidden != nil:
		f.Message = "`" + w.Text + "` is not visible inside a part"
		f.Why = "a part is self-contained, so that it means the same wherever it is put in place"
		f.Help = hiddenHelp(hidden)
		f.Related = []diag.Related{{Place: hidden.NamePlace, Note: "declared at the top level"}}
	case b.namesMissing(y):
		return // it may well be declared in the file that can't be read
	default:
		f.Message = "`" + w.Text + "` is not known here"
		f.Why = "a line that uses this name has no effect"
		best, help := b.meantBy(y, w)
		if best == "" {
			best = elsewhere(y, w.Text)
		}
		if best == "" {
			best = spelling.Best(w.Text, visibleNames(y))
		}
		f.Help = help
		if best == "" && help == "" {
			f.Help = "declare it, or write a name that is"
		}
		didYouMean(&f, best)
	}
	b.report(y, nil, f)
}

func hiddenHelp(d *name.Def) string {
	switch d.Kind {
	case schema.Quantity, schema.Setting:
		return "let the part take it: takes " + d.Name + ": " + d.Kind.String()
	case schema.Condition, schema.Threshold:
		return "let the part take it: takes " + d.Name + ": condition"
	}
	return "join it to a pin of the part from outside"
}

// namesMissing reports whether a file that can't be read might declare any name here.
func (b *builder) namesMissing(y *body) bool {
	for s := y.scope; s != nil; s = s.Outer {
		if b.missing[s] {
			return true
		}
	}
	return false
}

// elsewhere finds a name behind a dot of what is seen: in a file that is used under a short
// name, or among the terminals of a supply. It is "" where it is in none, or in several.
func elsewhere(y *body, word string) string {
	found := ""
	for d := range y.scope.Visible() {
		var there *name.Def
		switch {
		case d.Sort == name.Short && d.File() != nil:
			there = d.File().Own(word)
			if there != nil && !there.Global() && y.inPart() {
				there = nil
			}
		case d.Kind == schema.Supply && d.Inner != nil:
			there = d.Inner.Own(word)
		}
		if there == nil || there.Sort == name.Short {
			continue
		}
		if found != "" {
			return ""
		}
		found = d.Name + "." + word
	}
	return found
}

// inPart reports whether a body stands inside a part.
func (y *body) inPart() bool {
	for ; y != nil; y = y.outer {
		if y.scope.Kind == name.OfPart {
			return true
		}
	}
	return false
}

func visibleNames(y *body) iter.Seq[string] {
	return func(yield func(string) bool) {
		for d := range y.scope.Visible() {
			if !yield(d.Name) {
				return
			}
		}
	}
}

func namesOf(defs []*name.Def) iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, d := range defs {
			if !yield(d.Name) {
				return
			}
		}
	}
}

// didYouMean adds a suggestion and the edit that follows it.
func didYouMean(f *diag.Finding, best string) {
	if best == "" {
		return
	}
	if f.Help == "" {
		f.Help = "did you mean `" + best + "`?"
	} else {
		f.Help = "did you mean `" + best + "`? " + f.Help
	}
	f.Fixes = []diag.Fix{{Title: "write `" + best + "`", Edits: []diag.Edit{{Place: f.Place, New: best}}}}
}

// noSuchMember reports a path that goes on with a name that is not in what it leads to.
func (b *builder) noSuchMember(y *body, ref *syntax.Ref, i int, s *name.Scope, gone *name.Def) {
	w := ref.Parts[i]
	before := pathUpTo(ref, i)
	f := diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: y.scope.File.Src, Span: w.Span},
		Message: "`" + before + "` has no `" + w.Text + "`",
		Why:     "a line that uses this name has no effect",
	}
	if gone != nil {
		f.Message = "`" + ref.String() + "` does not exist with these options"
		f.Related = []diag.Related{{Place: gone.NamePlace, Note: "declared only under this `only when`"}}
		b.report(y, nil, f)
		return
	}
	var seen []*name.Def
	if s != nil {
		for _, d := range s.Defs {
			if s.SeenFromOutside(d) && d.Sort != name.Short {
				seen = append(seen, d)
			}
		}
	}
	if len(seen) > 0 {
		const most = 12
		var names []string
		for _, d := range seen[:min(len(seen), most)] {
			names = append(names, d.Name)
		}
		f.Help = "it has " + listOf(names)
		if len(seen) > most {
			f.Help += " and more"
		}
	} else {
		f.Help = "nothing in it can be named from outside"
	}
	didYouMean(&f, spelling.Best(w.Text, namesOf(seen)))
	if s != nil && s.Owner != nil {
		f.Related = []diag.Related{{Place: s.Owner.NamePlace, Note: "declared here"}}
	}
	b.report(y, nil, f)
}

func pathUpTo(ref *syntax.Ref, i int) string {
	var words []string
	for _, p := range ref.Parts[:i] {
		words = append(words, p.Text)
	}
	return strings.Join(words, ".")
}

// notShown reports a name inside a part that the part does not show.
func (b *builder) notShown(y *body, ref *syntax.Ref, i int, z *body, d *name.Def) {
	part := z.scope.Owner
	b.report(y, nil, diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: y.scope.File.Src, Span: ref.Parts[i].Span},
		Message: "`" + d.Name + "` is inside `" + part.Name + "` and not shown",
		Why:     "from outside, only pins, ports and what the part `shows` can be named",
		Help:    "add to part " + part.Name + ": shows " + d.Name,
		Related: []diag.Related{{Place: d.NamePlace, Note: "declared here"}},
	})
}

func (b *builder) noSuchNumber(y *body, ref *syntax.Ref, i, n int, what string) {
	before := pathUpTo(ref, i)
	f := diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: y.scope.File.Src, Span: ref.Parts[i].Span},
		Message: "`" + before + "` has no `" + ref.Parts[i].Text + "`: its " + what + " are 1 to " + itoa(n),
		Why:     "a line that uses this name has no effect",
		Help:    "write a number from 1 to " + itoa(n),
	}
	if n == 0 {
		f.Message, f.Help = "`"+before+"` has no "+what, "declare them"
	}
	b.report(y, nil, f)
}

func (b *builder) nothingInside(y *body, ref *syntax.Ref, i int, t thing) {
	b.report(y, nil, diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: y.scope.File.Src, Span: ref.Parts[i].Span},
		Message: "`" + pathUpTo(ref, i) + "` is " + article(wordOf(t)) + " and has nothing named `" + ref.Parts[i].Text + "`",
		Why:     "a line that uses this name has no effect",
		Help:    "a dot leads into fits, connectors, supplies and files",
		Related: declaredHere(t),
	})
}

func (b *builder) notRepeated(y *body, ref *syntax.Ref, t thing) {
	b.report(y, nil, diag.Finding{
		Rule: "wrong-kind", Place: diag.Place{File: y.scope.File.Src, Span: ref.Span},
		Message: "`" + ref.String() + "` does not lead through a repeated fit",
		Why:     "`each`, `every` and `any` apply to all fits that one line makes",
		Help:    "name a fit that is written as `fit NAME: 4 of Part`, or leave the word out",
		Related: declaredHere(t),
	})
}

func (b *builder) notANode(y *body, ref *syntax.Ref, t thing) {
	f := diag.Finding{
		Rule: "wrong-kind", Place: diag.Place{File: y.scope.File.Src, Span: ref.Span},
		Message: "`" + ref.String() + "` is " + article(wordOf(t)) + ", not a point that current can reach",
		Why:     "a wire or a device has to end at a pin, node, splice, ground, terminal or way",
		Help:    "name a pin, node, splice, ground, terminal or way of a connector",
		Related: declaredHere(t),
	}
	switch t.kind {
	case schema.Fit:
		f.Help = "name one of its pins: " + ref.String() + pinHint(b.bodies[t.id].scope)
	case schema.Connector:
		f.Help = "name one of its ways: " + ref.String() + ".1"
	case schema.Supply:
		if t.def.Inner != nil && len(t.def.Inner.Defs) > 0 {
			f.Help = "name one of its terminals: " + ref.String() + "." + t.def.Inner.Defs[len(t.def.Inner.Defs)-1].Name
		}
	case fitGroup:
		f.Help = "name one of them: " + ref.String() + ".1" + pinHint(b.groups[t.id][0].scope)
	}
	b.report(y, nil, f)
}

func pinHint(s *name.Scope) string {
	for _, d := range s.Defs {
		if d.Kind == schema.Pin {
			return "." + d.Name
		}
	}
	return ".PIN"
}

// wrongThing reports a path that leads to another kind of thing than is asked for.
func (b *builder) wrongThing(y *body, ref *syntax.Ref, t thing, want string) {
	b.wrong(y, ref.Span, t, "`"+ref.String()+"` is "+article(wordOf(t))+", not "+want, "name "+want)
}

func (b *builder) wrong(y *body, at source.Span, t thing, message, help string) {
	b.report(y, nil, wrongKind(diag.Place{File: y.scope.File.Src, Span: at}, t, message, help))
}

func wrongKind(at diag.Place, t thing, message, help string) diag.Finding {
	return diag.Finding{
		Rule: "wrong-kind", Place: at, Message: message, Help: help,
		Why:     "a line that asks for something else can't be checked",
		Related: declaredHere(t),
	}
}

func declaredHere(t thing) []diag.Related {
	if t.def == nil {
		return nil
	}
	return []diag.Related{{Place: t.def.NamePlace, Note: "declared here as " + article(t.def.Word())}}
}

// article puts "a" or "an" before a word.
func article(word string) string { return articleOf(word) + " " + word }

func articleOf(word string) string {
	if word != "" && strings.ContainsRune("aeiou", rune(word[0])) {
		return "an"
	}
	return "a"
}

// listOf writes names as people list them: a, b and c.
func listOf(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = "`" + n + "`"
	}
	switch len(q) {
	case 0:
		return "nothing"
	case 1:
		return q[0]
	}
	return strings.Join(q[:len(q)-1], ", ") + " and " + q[len(q)-1]
}

func joinWords(words []string, by string) string { return strings.Join(words, by) }
