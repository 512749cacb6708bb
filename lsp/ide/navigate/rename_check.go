package navigate

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sort"

	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// sameMeaning applies edits to copies of the files, reads all roots anew that they are part
// of, and holds what every name then stands for against what it stands for now. A rename
// that hides a name, takes one over, or leaves one behind shows here, whatever the cause.
func sameMeaning(ctx context.Context, v *ide.View, edits []diag.Edit) error {
	e := edited{files: map[string]*syntax.File{}, edits: map[string][]diag.Edit{}}
	for _, x := range edits {
		e.edits[x.File.Name] = append(e.edits[x.File.Name], x)
	}
	for _, x := range edits {
		if e.files[x.File.Name] == nil {
			e.files[x.File.Name] = syntax.Parse(source.NewFile(x.File.Name, ide.Apply(x.File.Text, e.edits[x.File.Name])), nil)
		}
	}
	roots, err := ide.AllRoots(ctx, v)
	if err != nil {
		return err
	}
	for _, r := range roots {
		read, err := r.Read(ctx)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(read.Files, func(f *syntax.File) bool { return e.files[f.Src.Name] != nil }) {
			continue
		}
		tree := r.Tree
		if t := e.files[tree.Src.Name]; t != nil {
			tree = t
		}
		var loader elaborate.Loader
		if r.Loader != nil {
			loader = ide.Overlay{Loader: r.Loader, Files: e.files}
		}
		again := elaborate.Elaborate(ctx, tree, loader)
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := e.compare(read, again); err != nil {
			return err
		}
	}
	return nil
}

// edited is the workspace after an edit.
type edited struct {
	files map[string]*syntax.File
	edits map[string][]diag.Edit
}

// moved is where an offset of a file is after the edit.
func (e *edited) moved(file string, off int) int {
	by := 0
	for _, x := range e.edits[file] {
		if x.Start < off {
			by += len(x.New) - x.Len()
		}
	}
	return off + by
}

// meant is a use: where it stands and where what it names is declared.
type meant struct {
	file string
	at   int
	def  string
	is   int
}

func (m meant) compare(o meant) int {
	return cmp.Or(cmp.Compare(m.file, o.file), cmp.Compare(m.at, o.at), cmp.Compare(m.def, o.def), cmp.Compare(m.is, o.is))
}

func (e *edited) compare(old, now *elaborate.Result) error {
	was, is := meanings(old.Index, e.moved), meanings(now.Index, func(_ string, off int) int { return off })
	if i := firstDifference(was, is); i != nil {
		f := fileOf(now, i.file)
		if f == nil {
			return ide.Refused("something would mean something else")
		}
		p := f.Position(i.at)
		line := fmt.Sprintf("line %d of %s", p.Line, i.file)
		return ide.Refused("a name in %s would then stand for something else: %s", line, excerpt(f, i.at))
	}
	if a, b := len(findings(old)), len(findings(now)); a != b {
		return ide.Refused("the text would then say something else: %s", news(old, now))
	}
	return nil
}

func meanings(x *name.Index, moved func(string, int) int) []meant {
	var out []meant
	use := func(at diag.Place, d *name.Def) {
		m := meant{file: at.File.Name, at: moved(at.File.Name, at.Start)}
		if p := d.NamePlace; p.File != nil {
			m.def, m.is = p.File.Name, moved(p.File.Name, p.Start)
		}
		out = append(out, m)
	}
	for _, s := range x.Files() {
		file := s.File.Src
		for _, u := range x.Uses(file) {
			use(diag.Place{File: file, Span: u.Span}, u.Def)
		}
		for _, d := range x.Definitions(file) {
			for _, p := range ide.Spoken(x, d) {
				use(p, d)
			}
		}
	}
	slices.SortFunc(out, meant.compare)
	return slices.Compact(out)
}

func firstDifference(was, is []meant) *meant {
	for i := range max(len(was), len(is)) {
		switch {
		case i >= len(was):
			return &is[i]
		case i >= len(is):
			return &was[i]
		case was[i] != is[i]:
			if was[i].compare(is[i]) < 0 {
				return &was[i]
			}
			return &is[i]
		}
	}
	return nil
}

func fileOf(r *elaborate.Result, file string) *source.File {
	for _, f := range r.Files {
		if f.Src.Name == file {
			return f.Src
		}
	}
	return nil
}

func excerpt(f *source.File, at int) string {
	line := f.Line(f.LineOf(at))
	if r := []rune(line); len(r) > 80 {
		line = string(r[:80]) + " …"
	}
	return "`" + line + "`"
}

// findings are those of reading, of all files.
func findings(r *elaborate.Result) []string {
	var out []string
	add := func(fs []diag.Finding) {
		for _, f := range fs {
			out = append(out, f.Rule+" "+f.Message)
		}
	}
	for _, f := range r.Files {
		add(f.Findings)
	}
	add(r.Findings)
	sort.Strings(out)
	return out
}

// news is the first finding that was not there before.
func news(old, now *elaborate.Result) string {
	was := map[string]int{}
	for _, f := range findings(old) {
		was[f]++
	}
	for _, f := range findings(now) {
		if was[f]--; was[f] < 0 {
			return f
		}
	}
	return "a finding would vanish"
}
