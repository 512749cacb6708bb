// Package mutate measures what the checker sees: it changes correct designs in small ways,
// as a slip of the pen or of the pliers does, and reports which changes draw a finding.
//
// A Kind is one way to change a design. [Mutants] writes every text that a kind makes of a
// design, [Preserving] those that must change no finding, [Beside] puts two designs into
// one text. [Same] proves that a mutant behaves like its original in all states, so that
// nobody has to say so. [Measure] holds a mutant against the checker, and [Table] adds up.
//
// The kinds follow the operators of mutation analysis (DeMillo, Lipton, Sayward, Hints on
// Test Data Selection, 1978), with those of wiring added: common practice, no source.
package mutate

import (
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Mutant is a design in which one thing was changed.
type Mutant struct {
	Kind string
	// What says in words what was changed: "W7: chassis becomes M1.2".
	What string
	Text string
	// Lines are those of Text that were changed, from 0; none where a statement was
	// dropped.
	Lines []int
	// Names are the changed statements and what they name; after complete, also what they
	// name in Text.
	Names []string
	// Partners are, after complete, the lines of Text that declare or share one of Names,
	// but Lines; Beside are the names of what they declare, and of what the pins among
	// Names belong to.
	Partners []int
	Beside   []string
}

// Kind is one way to change a design.
type Kind struct {
	Name string
	Doc  string
	make func(*maker, *syntax.Stmt)
}

// Kinds are all ways to change a design, in the order of the table.
func Kinds() []Kind {
	return slices.Concat(joiningKinds(), switchingKinds(), decidingKinds(), numberKinds())
}

// meant are the kinds that change nothing but what is decided: a condition, a limit, a
// row, a time. The result is another design, which may be as sound as the first. Only
// what the design claims tells them apart, or what the change leaves without effect.
var meant = map[string]bool{
	"negate": true, "and-or": true, "drop-term": true, "above-below": true, "opposite": true, "other-position": true,
	"drop-row": true, "drop-transition": true, "exchange-rows": true, "other-target": true, "start": true, "shift": true, "time": true,
}

// Mutants are all that the kinds make of a design, in the order of kinds and of the text.
func Mutants(file *syntax.File) []Mutant {
	var out []Mutant
	for _, k := range Kinds() {
		m := &maker{file: file, kind: k.Name, all: file.All(), refs: map[string]int{}, here: map[named]int{}}
		for _, s := range m.all {
			for _, r := range refs(s) {
				m.refs[r]++
				m.here[named{scopeOf(s), r}]++
			}
		}
		for _, s := range m.all {
			if s.Kind != nil && !s.Broken && !claims(s) {
				k.make(m, s)
			}
		}
		out = append(out, m.out...)
	}
	return out
}

// claims reports whether a statement only says what is to hold, or what is asked: a
// mutation of it changes no vehicle.
func claims(s *syntax.Stmt) bool {
	switch s.Kind.ID {
	case schema.Title, schema.Use, schema.Option, schema.Require, schema.Drive, schema.Step, schema.Symptom, schema.Noticed, schema.Fault,
		schema.Accept, schema.Assume, schema.Bands, schema.Band, schema.Only, schema.Takes, schema.Shows:
		return true
	}
	return false
}

// edit replaces a span of the original.
type edit struct {
	source.Span
	text string
}

// maker collects the mutants of one kind.
type maker struct {
	file *syntax.File
	kind string
	all  []*syntax.Stmt
	refs map[string]int // how many times each path is named
	here map[named]int  // the same, by the part or bench that it is named in
	out  []Mutant
}

func (m *maker) text(s source.Span) string { return m.file.Src.Text[s.Start:s.End] }

// emit adds the mutant that edits make. on are the statements that were changed.
func (m *maker) emit(what string, on []*syntax.Stmt, edits ...edit) {
	slices.SortFunc(edits, func(a, b edit) int { return a.Start - b.Start })
	var b strings.Builder
	var lines []int
	at := 0
	for _, e := range edits {
		if e.Start < at || m.text(e.Span) == e.text && len(edits) == 1 {
			return
		}
		b.WriteString(m.file.Src.Text[at:e.Start])
		if e.text != "" {
			lines = append(lines, strings.Count(b.String(), "\n"))
		}
		b.WriteString(e.text)
		at = e.End
	}
	b.WriteString(m.file.Src.Text[at:])
	if b.String() == m.file.Src.Text {
		return
	}
	mut := Mutant{Kind: m.kind, What: what, Text: b.String(), Lines: slices.Compact(lines)}
	for _, s := range on {
		mut.Names = append(mut.Names, m.names(s)...)
	}
	m.out = append(m.out, mut)
}

// named is a path as it is named in one scope: nil for the top level.
type named struct {
	scope *syntax.Stmt
	path  string
}

// scopeOf is the part or bench that a statement stands in, nil at the top level.
func scopeOf(s *syntax.Stmt) *syntax.Stmt {
	for p := s.Parent; p != nil; p = p.Parent {
		if p.Kind != nil && (p.Kind.ID == schema.Part || p.Kind.ID == schema.Bench) {
			return p
		}
	}
	return nil
}

// names are a statement's own path and what it names, but for what is named all over.
func (m *maker) names(s *syntax.Stmt) []string {
	var out []string
	if p := pathOf(s); p != "" {
		out = append(out, p)
	}
	for _, r := range refs(s) {
		if m.here[named{scopeOf(s), r}] <= mostShared {
			out = append(out, r)
		}
	}
	return out
}

// mostShared is how many statements may name a thing for them to be partners by it: the
// ground is named by all.
const mostShared = 6

// complete finds the partners in the text of the mutant.
func (mut Mutant) complete(name string) Mutant {
	file := syntax.Parse(source.NewFile(name, mut.Text), nil)
	all := file.All()
	count := map[named]int{}
	for _, s := range all {
		for _, r := range refs(s) {
			count[named{scopeOf(s), r}]++
		}
	}
	onLine := func(s *syntax.Stmt) int { return file.Src.LineOf(s.Line.Start) }
	for _, s := range all {
		if slices.ContainsFunc(mut.Lines, func(l int) bool { return l >= onLine(s) && l <= file.Src.LineOf(max(s.Line.Start, s.Line.End-1)) }) {
			mut.Lines = append(mut.Lines, onLine(s))
			if s.Kind != nil && !s.HasBody || s.Kind != nil && s.Kind.ID == schema.Contact {
				for _, r := range refs(s) {
					if count[named{scopeOf(s), r}] <= mostShared {
						mut.Names = append(mut.Names, r)
					}
				}
			}
		}
	}
	slices.Sort(mut.Lines)
	mut.Lines = slices.Compact(mut.Lines)
	slices.Sort(mut.Names)
	mut.Names = slices.Compact(mut.Names)
	for _, s := range all {
		if s.Kind == nil || s.Kind.ID == schema.Use {
			continue
		}
		partner := slices.ContainsFunc(mut.Names, func(n string) bool {
			return pathOf(s) != "" && (n == pathOf(s) || strings.HasPrefix(n, pathOf(s)+"."))
		}) || slices.ContainsFunc(refs(s), func(r string) bool {
			return count[named{scopeOf(s), r}] <= mostShared && (slices.Contains(mut.Names, r) || slices.ContainsFunc(mut.Names, func(n string) bool { return strings.HasPrefix(r, n+".") }))
		})
		if l := onLine(s); partner && !slices.Contains(mut.Lines, l) {
			mut.Partners = append(mut.Partners, l)
			if p := pathOf(s); p != "" {
				mut.Beside = append(mut.Beside, p)
			}
		}
	}
	slices.Sort(mut.Partners)
	mut.Partners = slices.Compact(mut.Partners)
	return mut
}

// pathOf is the path of what a statement declares, without the part that it stands in.
func pathOf(s *syntax.Stmt) string {
	own := s.Name().Text
	if own == "" || s.Kind == nil || s.Kind.ID == schema.Use || s.Kind.ID == schema.From {
		return ""
	}
	for p := s.Parent; p != nil && p.Kind != nil && p.Kind.ID != schema.Part && p.Kind.ID != schema.Bench; p = p.Parent {
		if n := p.Name().Text; n != "" {
			own = n + "." + own
		}
	}
	return own
}

// refs are the paths that a statement names, each once, in order.
func refs(s *syntax.Stmt) []string {
	var out []string
	for n := range s.Nodes() {
		if r, ok := n.(*syntax.Ref); ok && !slices.Contains(out, r.String()) {
			out = append(out, r.String())
		}
	}
	return out
}

// whole is the span of a statement with the end of its line.
func (m *maker) whole(s *syntax.Stmt) source.Span {
	out := s.Span
	text := m.file.Src.Text
	for out.Start > 0 && (text[out.Start-1] == ' ' || text[out.Start-1] == '\t') {
		out.Start--
	}
	for out.End < len(text) && text[out.End] != '\n' {
		out.End++
	}
	if out.End < len(text) {
		out.End++
	}
	return out
}

// siblings are the statements beside one, of the same kind.
func siblings(file *syntax.File, s *syntax.Stmt) []*syntax.Stmt {
	list := file.Stmts
	if s.Parent != nil {
		list = s.Parent.Body
	}
	return slices.DeleteFunc(slices.Clone(list), func(o *syntax.Stmt) bool { return o.Kind != s.Kind || o.Broken })
}

// next is the sibling of the same kind behind a statement, or nil.
func next(file *syntax.File, s *syntax.Stmt) *syntax.Stmt {
	list := siblings(file, s)
	if i := slices.Index(list, s); i >= 0 && i+1 < len(list) {
		return list[i+1]
	}
	return nil
}

// title names a statement in words.
func title(s *syntax.Stmt) string {
	if p := pathOf(s); p != "" {
		return p
	}
	return s.KindWord().Text
}
