package mutate

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/format"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Variant is a design written otherwise: it means the same.
type Variant struct {
	Kind string
	Text string
	// Read turns what is said of the variant into what has to be said of the original.
	Read func(string) string
	// Compared is what has to be the same of each finding besides rule and severity.
	Compared Compared
}

// Compared says how much of findings is compared.
type Compared int

// From rule and severity alone (of two wires in a row the first written is named) over
// what they are about to what they say.
const (
	Rules Compared = iota
	Subjects
	Messages
)

// prefix stands before each name of a design that is renamed.
const prefix = "zq_"

// Preserving writes a design otherwise in all ways that change no meaning: renamed,
// reordered, laid out anew, cut into lines with comments, with other units.
func Preserving(ctx context.Context, d Design) []Variant {
	same := func(s string) string { return s }
	file := d.Parse()
	laid, _ := format.Format(file)
	return []Variant{
		{"rename", d.Renamed(ctx, prefix, nil).Text, func(s string) string { return strings.ReplaceAll(s, prefix, "") }, Messages},
		{"reorder", reordered(d), same, Rules},
		{"reformat", laid, same, Messages},
		{"lines", cut(file), same, Messages},
		{"units", otherUnits(file), same, Subjects},
	}
}

// Renamed puts something before every name of the top level of a design, wherever it
// stands; names in to become others instead.
func (d Design) Renamed(ctx context.Context, before string, to map[string]string) Design {
	read := d.Read(ctx)
	src := read.Files[0].Src
	var edits []edit
	for _, def := range read.Index.Definitions(src) {
		scope := read.Index.Files()[0]
		if def.In != scope && !slices.Contains(scope.Claims, def) || def.Name == "" || def.Stmt == nil || def.Stmt.Kind == nil || def.Stmt.Kind.ID == schema.Use {
			continue
		}
		name := before + def.Name
		if other, ok := to[def.Name]; ok {
			name = other
		}
		for _, p := range append([]diag.Place{def.NamePlace}, read.Index.UsesOf(def)...) {
			if p.File == src && src.Text[p.Start:p.End] == def.Name {
				edits = append(edits, edit{p.Span, name})
			}
		}
	}
	return d.With(applied(d.Text, edits))
}

// applied makes edits in a text; one that is written twice counts once.
func applied(text string, edits []edit) string {
	slices.SortFunc(edits, func(a, b edit) int { return a.Start - b.Start })
	var b strings.Builder
	at := 0
	for _, e := range edits {
		if e.Start < at {
			continue
		}
		b.WriteString(text[at:e.Start])
		b.WriteString(e.text)
		at = e.End
	}
	b.WriteString(text[at:])
	return b.String()
}

// reordered turns the statements of the top level round; title, files that are used and
// options stay in front.
func reordered(d Design) string {
	file := d.Parse()
	m := &maker{file: file}
	var front, rest []string
	for _, s := range file.Stmts {
		text := m.text(s.Span)
		if s.Kind != nil && is(s, schema.Title, schema.Use, schema.Option) {
			front = append(front, text)
		} else {
			rest = append(rest, text)
		}
	}
	slices.Reverse(rest)
	return strings.Join(append(front, rest...), "\n") + "\n"
}

// cut goes on to a new line, with a comment, behind every comma.
func cut(file *syntax.File) string {
	var edits []edit
	for i := range file.Tokens.Len() {
		if span := file.Tokens.Span(i); file.Tokens[i].Kind == syntax.Comma {
			edits = append(edits, edit{source.Span{Start: span.End, End: span.End}, " # and\n        "})
		}
	}
	return applied(file.Src.Text, edits)
}

// smaller units, and how many of them make one. The factors are those of the SI prefixes.
var smaller = map[string]struct {
	unit string
	many float64
}{
	"V": {"mV", 1000}, "A": {"mA", 1000}, "ohm": {"mohm", 1000}, "kohm": {"ohm", 1000}, "m": {"cm", 100}, "s": {"ms", 1000}, "min": {"s", 60},
}

// mixed reports whether the ends of a range are written in two units.
func mixed(text, last string) bool {
	words := strings.Fields(text)
	return len(words) == 5 && words[1] != last
}

func otherUnits(file *syntax.File) string {
	m := &maker{file: file}
	var edits []edit
	for _, s := range file.All() {
		if s.Kind == nil || s.Broken {
			continue
		}
		for n := range s.Nodes() {
			q, ok := n.(*syntax.Quantity)
			if !ok || q.Param != nil || q.HasTol {
				continue
			}
			text := m.text(q.Span)
			at := strings.LastIndexByte(text, ' ')
			if at < 0 || mixed(text, text[at+1:]) {
				continue
			}
			if to, ok := smaller[text[at+1:]]; ok {
				if scaled, ok := m.scaled(q, to.many, 0); ok {
					words := strings.Fields(scaled)
					for i := range words {
						if words[i] == text[at+1:] {
							words[i] = to.unit
						}
					}
					edits = append(edits, edit{q.Span, strings.Join(words, " ")})
				}
			}
		}
	}
	return applied(file.Src.Text, edits)
}

// Differences reports what is said of the one and not of the other, each with - or + in front.
func (v *Variant) Differences(original, variant []diag.Finding) []string {
	count := map[string]int{}
	for i := range original {
		count[v.key(&original[i], func(s string) string { return s })]++
	}
	for i := range variant {
		count[v.key(&variant[i], v.Read)]--
	}
	return differences(count)
}

func (v *Variant) key(f *diag.Finding, read func(string) string) string {
	key := fmt.Sprint(f.Severity, " ", f.Rule)
	if v.Compared >= Subjects {
		key += " [" + read(f.Subject) + "]"
	}
	if v.Compared == Messages {
		key += ": " + strings.Join(strings.Fields(read(f.Message)), " ")
	}
	return key
}

func differences(count map[string]int) []string {
	var out []string
	for k, n := range count {
		for ; n > 0; n-- {
			out = append(out, "- "+k)
		}
		for ; n < 0; n++ {
			out = append(out, "+ "+k)
		}
	}
	slices.Sort(out)
	return out
}
