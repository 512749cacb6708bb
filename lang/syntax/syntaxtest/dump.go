// Package syntaxtest helps tests to compare trees and to find designs to try things on.
package syntaxtest

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Dump writes a tree as text. With spans it tells every place too; without, two
// designs that say the same in a different layout have the same dump.
func Dump(f *syntax.File, spans bool) string {
	d := dumper{spans: spans}
	d.stmts(f, f.Stmts, 0)
	return d.String()
}

type dumper struct {
	strings.Builder
	spans bool
}

func (d *dumper) at(s source.Span) {
	if d.spans {
		fmt.Fprintf(d, "@%d-%d", s.Start, s.End)
	}
}

func (d *dumper) stmts(f *syntax.File, list []*syntax.Stmt, depth int) {
	for _, s := range list {
		d.WriteString(strings.Repeat("  ", depth))
		if s.Kind != nil {
			fmt.Fprintf(d, "%s", s.Kind.Name)
		}
		fmt.Fprintf(d, "<%d %s", s.In, s.KindWord().Text)
		if s.Broken {
			d.WriteString(" broken")
			if !d.spans {
				// Its text, but for the blanks at the beginning of its lines.
				lines := strings.FieldsFunc(f.Src.Text[s.Line.Start:s.Line.End], func(r rune) bool { return r == '\n' || r == '\r' })
				for _, l := range lines {
					if l = strings.Trim(l, " \t"); l != "" {
						fmt.Fprintf(d, " %q", l)
					}
				}
			}
		}
		d.at(s.Span)
		d.at(s.Line)
		d.at(s.BodySpan)
		d.WriteString(">")
		if doc := s.Doc(); doc != "" {
			fmt.Fprintf(d, " ## %q", doc)
		}
		h := s.Head()
		for _, w := range h.Names {
			d.word(&w)
		}
		d.node(h.Text)
		d.node(h.Cond)
		d.node(h.From)
		d.node(h.To)
		if h.Any {
			d.WriteString(" any")
		}
		d.at(h.Span)
		for _, c := range s.Clauses() {
			fmt.Fprintf(d, "\n%s  - %s", strings.Repeat("  ", depth), c.Form.Pattern)
			if c.Broken {
				d.WriteString(" broken")
			}
			d.at(c.Span)
			for _, a := range c.Args {
				fmt.Fprintf(d, " %s=", a.Slot.Role)
				d.node(a.Node)
			}
		}
		if s.HasBody {
			d.WriteString(" {")
		}
		d.WriteByte('\n')
		d.stmts(f, s.Body, depth+1)
	}
}

func (d *dumper) word(w *syntax.Word) {
	fmt.Fprintf(d, " %s", w.Text)
	d.at(w.Span)
}

func (d *dumper) node(n syntax.Node) {
	switch n := n.(type) {
	case *syntax.Word:
		if n != nil {
			d.word(n)
		}
	case *syntax.Str:
		if n != nil {
			fmt.Fprintf(d, " %q", n.Text)
			d.at(n.Span)
		}
	case *syntax.Ref:
		if n != nil {
			d.ref(n)
		}
	case *syntax.Refs:
		for _, r := range n.List {
			d.ref(r)
		}
		d.at(n.Span)
	case *syntax.Faults:
		for i := range n.List {
			f := &n.List[i]
			d.ref(f.Thing)
			if f.Other != nil {
				d.ref(f.Other)
			}
			if f.Mode.Text != "" {
				d.word(&f.Mode)
			}
			d.at(f.Span)
		}
		d.at(n.Span)
	case *syntax.Quantity:
		if n != nil {
			d.quantity(n)
		}
	case *syntax.Count:
		if n != nil {
			fmt.Fprintf(d, " #%d", n.N)
			d.node(n.Param)
			d.at(n.Span)
		}
	case *syntax.Date:
		fmt.Fprintf(d, " %d-%d-%d", n.Year, n.Month, n.Day)
		d.at(n.Span)
	case *syntax.Call:
		d.ref(n.Part)
		d.args(n.Args)
		d.at(n.Span)
	case *syntax.Args:
		d.args(n.List)
		d.at(n.Span)
	case *syntax.Subject:
		d.subject(n)
	case *syntax.Cond:
		if n != nil {
			d.cond(n)
		}
	}
}

func (d *dumper) ref(r *syntax.Ref) {
	if r.Each {
		d.WriteString(" each")
	}
	for i := range r.Parts {
		d.word(&r.Parts[i])
		d.WriteString(".")
	}
	d.at(r.Span)
}

func (d *dumper) args(list []syntax.NamedArg) {
	d.WriteString(" (")
	for i := range list {
		a := &list[i]
		d.word(&a.Name)
		d.node(a.Cond)
		d.node(a.Quantity)
		d.node(a.Count)
		d.node(a.Ref)
		d.at(a.Span)
		d.WriteString(";")
	}
	d.WriteString(")")
}

func (d *dumper) quantity(q *syntax.Quantity) {
	if q.Param != nil {
		d.ref(q.Param)
	} else {
		fmt.Fprintf(d, " %s(%s,%v)", q.Value, q.Value.N.Key(), q.Value.Difference)
	}
	if q.Ranged {
		d.WriteString("..")
		if q.HiParam != nil {
			d.ref(q.HiParam)
		} else {
			fmt.Fprintf(d, "%s(%s)", q.Hi, q.Hi.N.Key())
		}
	}
	if q.HasTol {
		d.WriteString(q.Tol.String())
	}
	d.at(q.Span)
}

func (d *dumper) subject(s *syntax.Subject) {
	fmt.Fprintf(d, " s%d", s.Kind)
	d.ref(s.A)
	d.node(s.B)
	d.at(s.Span)
}

func (d *dumper) cond(c *syntax.Cond) {
	fmt.Fprintf(d, " [%d", c.Op)
	d.at(c.Span)
	if c.Op == syntax.CondTest {
		d.subject(&c.Subject)
		fmt.Fprintf(d, " p%d", c.Pred)
	}
	for i := range c.Words {
		d.word(&c.Words[i])
	}
	for _, k := range c.Kids {
		d.cond(k)
	}
	d.node(c.Value)
	d.node(c.Dur)
	d.WriteString("]")
}

// Designs are texts to try things on: those of the folder testdata beside this package
// and all examples, by path.
func Designs(tb testing.TB) map[string]string {
	tb.Helper()
	root, err := os.Getwd()
	if err != nil {
		tb.Fatal(err)
	}
	for ; ; root = filepath.Dir(root) {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		if root == filepath.Dir(root) {
			tb.Fatal("no go.mod above the test")
		}
	}
	out := map[string]string{}
	for _, dir := range []string{"examples", filepath.Join("lang", "syntax", "testdata")} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".pintle" {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			name, err := filepath.Rel(root, path)
			out[filepath.ToSlash(name)] = string(text)
			return err
		})
		if err != nil {
			tb.Fatal(err)
		}
	}
	return out
}

// MostFuzzed is the most bytes of a text that is fuzzed: an exec has to be short for many of
// them, and whatever is wrong with a long text is wrong with a short one.
const MostFuzzed = 2000

// Pieces are the texts of Designs, cut at ends of lines into pieces that are short enough to
// be fuzzed, in order.
func Pieces(tb testing.TB) []string {
	tb.Helper()
	designs := Designs(tb)
	var out []string
	for _, name := range slices.Sorted(maps.Keys(designs)) {
		piece := ""
		for line := range strings.Lines(designs[name]) {
			if len(piece)+len(line) > MostFuzzed*3/4 {
				out = append(out, piece)
				piece = ""
			}
			piece += line
		}
		out = append(out, piece)
	}
	return out
}
