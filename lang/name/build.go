package name

import (
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Guard is an `only when` around a statement, within Outer if that is not nil.
type Guard struct {
	Stmt  *syntax.Stmt
	Outer *Guard
}

// Item is a statement of a scope with what it defines.
type Item struct {
	Stmt  *syntax.Stmt
	Defs  []*Def
	Guard *Guard // nil: always there
}

// Build makes the scopes of a file. Other files that it uses are joined by Link.
func Build(f *syntax.File) *Scope {
	n := countNames(f.Stmts)
	b := &scopeBuilder{file: f, defs: make([]Def, 0, n), ptrs: make([]*Def, 0, n)}
	s := &Scope{Kind: OfFile, File: f, Span: source.Span{End: len(f.Src.Text)}}
	b.fill(s, f.Stmts, nil)
	return s
}

// scopeBuilder takes definitions out of one large piece of memory.
type scopeBuilder struct {
	file *syntax.File
	defs []Def
	ptrs []*Def
}

func countNames(stmts []*syntax.Stmt) int {
	n := 0
	for _, s := range stmts {
		if s.Kind == nil {
			n += countNames(s.Body)
			continue
		}
		n += len(s.Head().Names) + countNames(s.Body)
	}
	return n
}

func (b *scopeBuilder) new(d Def) *Def {
	if len(b.defs) == cap(b.defs) {
		b.defs = make([]Def, 0, 64)
	}
	b.defs = append(b.defs, d)
	return &b.defs[len(b.defs)-1]
}

// room makes sure that n more pointers stand next to each other.
func (b *scopeBuilder) room(n int) {
	if len(b.ptrs)+n > cap(b.ptrs) {
		b.ptrs = make([]*Def, 0, max(n, 64))
	}
}

func (b *scopeBuilder) fill(s *Scope, stmts []*syntax.Stmt, guard *Guard) {
	if s.Items == nil {
		s.Items = make([]Item, 0, len(stmts))
	}
	for _, st := range stmts {
		if st.Kind == nil || st.Kind.Where&st.In == 0 {
			b.lose(s, st) // there is a finding that the word says nothing, or nothing here
			continue
		}
		if st.Kind.ID == schema.Only {
			b.fill(s, st.Body, &Guard{Stmt: st, Outer: guard})
			continue
		}
		s.Items = append(s.Items, Item{Stmt: st, Defs: b.define(s, st), Guard: guard})
	}
}

// lose enters the names of a statement whose kind is not known, so that one misspelt
// word is not found again wherever they are used.
func (b *scopeBuilder) lose(s *Scope, st *syntax.Stmt) {
	if s.Kind == OfMembers {
		return
	}
	for _, w := range st.Head().Names {
		if w.Text == "" {
			continue
		}
		d := b.new(Def{Name: w.Text, Sort: Lost, Stmt: st, Broken: true, Place: st.Place(w.Span), NamePlace: st.Place(w.Span)})
		if s.add(d) == nil {
			s.Lost = append(s.Lost, d)
		}
	}
}

func (b *scopeBuilder) define(s *Scope, st *syntax.Stmt) []*Def {
	switch st.Kind.ID {
	case schema.Title, schema.Accept, schema.From, schema.ChartRow:
		return nil
	case schema.Powered:
		s.Controller = true
		return nil
	case schema.Shows:
		if s.Shown == nil {
			s.Shown = map[string]bool{}
		}
		for _, w := range st.Head().Names {
			s.Shown[w.Text] = true
		}
		return nil
	}
	names := st.Head().Names
	b.room(len(names))
	from := len(b.ptrs)
	for _, w := range names {
		if w.Text == "" {
			continue
		}
		d := b.new(Def{
			Name: w.Text, Kind: st.Kind.ID, Stmt: st, Broken: st.Broken,
			Place: st.Place(headSpan(st)), NamePlace: st.Place(w.Span),
		})
		switch st.Kind.ID {
		case schema.Use:
			d.Sort = Short
			s.add(d)
		case schema.Assume, schema.Require, schema.Drive, schema.Symptom, schema.Noticed, schema.Fault, schema.Bench:
			d.In, d.Index = s, len(s.Claims)
			s.Claims = append(s.Claims, d)
		default:
			s.add(d)
		}
		b.ptrs = append(b.ptrs, d)
	}
	defs := b.ptrs[from:len(b.ptrs):len(b.ptrs)]
	for _, d := range defs {
		b.inside(s, d)
	}
	return defs
}

func headSpan(st *syntax.Stmt) source.Span {
	span := st.KindWord().Span
	if h := st.Head(); h.Span.End > span.End {
		span.End = h.Span.End
	}
	return span
}

// inside makes the scope of what may be named behind the definition's dot.
func (b *scopeBuilder) inside(s *Scope, d *Def) {
	st := d.Stmt
	body := func(kind ScopeKind, outer *Scope) {
		d.Inner = &Scope{Kind: kind, File: b.file, Span: st.BodySpan, Outer: outer, Owner: d}
		b.fill(d.Inner, st.Body, nil)
		s.inner = append(s.inner, d.Inner)
	}
	switch st.Kind.ID {
	case schema.Part:
		body(OfPart, s)
	case schema.Fit:
		if st.HasBody {
			body(OfFit, s)
		}
	case schema.Bench:
		body(OfBench, s)
	case schema.Modes, schema.Result, schema.Bands, schema.Drive, schema.Timer:
		if st.HasBody {
			body(OfMembers, nil)
		}
	case schema.Setting:
		b.members(d, schema.SettingPosition, "position", Position)
	case schema.Option:
		b.members(d, schema.OptionPosition, "position", Position)
	case schema.Load:
		b.members(d, schema.LoadLevel, "level", Level)
	}
}

// members makes definitions of the words that clauses introduce.
func (b *scopeBuilder) members(d *Def, form schema.FormID, role string, sort Sort) {
	d.Inner = &Scope{Kind: OfMembers, File: b.file, Span: d.Stmt.Span, Owner: d}
	for _, c := range d.Stmt.Clauses() {
		if c.Broken || c.Form == nil || c.Form.ID != form {
			continue
		}
		w := c.Word(role)
		if w.Text == "" {
			continue
		}
		place := d.Stmt.Place(w.Span)
		d.Inner.add(b.new(Def{Name: w.Text, Kind: d.Kind, Sort: sort, Stmt: d.Stmt, Place: place, NamePlace: place}))
	}
}

// Link gives supplies the terminals that their ends name and nothing else does. It is
// called once all files that the file uses are known.
func Link(s *Scope) {
	for i := range s.Items {
		it := &s.Items[i]
		if it.Stmt.Kind.ID == schema.Supply && len(it.Defs) > 0 {
			linkSupply(s, it.Defs[0])
		}
	}
	for _, t := range s.inner {
		Link(t)
	}
}

func linkSupply(s *Scope, d *Def) {
	c := d.Stmt.Clause(schema.SupplyEnds)
	if c == nil {
		return
	}
	for _, role := range [...]string{"minus", "plus"} {
		r := c.Ref(role)
		if r == nil || len(r.Parts) != 1 || r.Each || r.Parts[0].Text == d.Name || s.Lookup(r.Parts[0].Text) != nil {
			continue
		}
		if d.Inner == nil {
			d.Inner = &Scope{Kind: OfMembers, File: s.File, Span: d.Stmt.Span, Owner: d}
		}
		w := r.Parts[0]
		if d.Inner.Own(w.Text) == nil {
			place := diag.Place{File: s.File.Src, Span: w.Span}
			d.Inner.add(&Def{Name: w.Text, Kind: schema.Supply, Sort: Terminal, Stmt: d.Stmt, Place: place, NamePlace: place, Broken: d.Broken})
		}
	}
}
