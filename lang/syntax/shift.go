package syntax

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// A statement that moved keeps the tree that it was parsed to. The first time that
// somebody looks at it, a copy for the new place is made, by the functions below;
// moving a thousand statements by typing a letter before them thus costs nothing.
func (s *Stmt) tree() *tree {
	if t := s.here.Load(); t != nil {
		return t
	}
	t := s.from.moved(s.base)
	// Two readers may both make a copy; all keep the one that came first, so that
	// pointers into it can be compared.
	if !s.here.CompareAndSwap(nil, t) {
		t = s.here.Load()
	}
	return t
}

// moved returns the tree for a statement that begins at base.
func (t *tree) moved(base int) *tree {
	by := base - t.base
	if by == 0 {
		return t
	}
	m := &tree{base: base, word: t.word.at(by), head: t.head.at(by), broken: t.broken, sought: t.sought}
	if len(t.clauses) > 0 {
		all := make([]Clause, len(t.clauses))
		m.clauses = make([]*Clause, len(t.clauses))
		for i, c := range t.clauses {
			all[i] = Clause{Form: c.Form, Broken: c.Broken, Span: move(c.Span, by), Args: slices.Clone(c.Args)}
			for j := range all[i].Args {
				if a := &all[i].Args[j]; a.Node != nil {
					a.Node = a.Node.shifted(by)
				}
			}
			m.clauses[i] = &all[i]
		}
	}
	m.findings = t.findingsAt(base, nil)
	return m
}

// findingsAt returns the findings as they are for a statement that begins at base.
func (t *tree) findingsAt(base int, file *source.File) []diag.Finding {
	if len(t.findings) == 0 {
		return nil
	}
	by := base - t.base
	out := slices.Clone(t.findings)
	place := func(p *diag.Place) {
		p.Span = move(p.Span, by)
		p.File = file
	}
	for i := range out {
		f := &out[i]
		place(&f.Place)
		f.Related = slices.Clone(f.Related)
		for j := range f.Related {
			place(&f.Related[j].Place)
		}
		f.Fixes = slices.Clone(f.Fixes)
		for j := range f.Fixes {
			f.Fixes[j].Edits = slices.Clone(f.Fixes[j].Edits)
			for k := range f.Fixes[j].Edits {
				place(&f.Fixes[j].Edits[k].Place)
			}
		}
	}
	return out
}

func move(s source.Span, by int) source.Span {
	return source.Span{Start: s.Start + by, End: s.End + by}
}

func (w Word) at(by int) Word {
	w.Span = move(w.Span, by)
	return w
}

func wordsAt(ws []Word, by int) []Word {
	out := slices.Clone(ws)
	for i := range out {
		out[i].Span = move(out[i].Span, by)
	}
	return out
}

func (h Head) at(by int) Head {
	h.Names = wordsAt(h.Names, by)
	h.Text, h.Cond = h.Text.at(by), h.Cond.at(by)
	h.From, h.To = h.From.at(by), h.To.at(by)
	h.Span = move(h.Span, by)
	return h
}

func (s *Str) at(by int) *Str {
	if s == nil {
		return nil
	}
	return &Str{Text: s.Text, Span: move(s.Span, by)}
}

func (r *Ref) at(by int) *Ref {
	if r == nil {
		return nil
	}
	return &Ref{Parts: wordsAt(r.Parts, by), Each: r.Each, Span: move(r.Span, by)}
}

func (q *Quantity) at(by int) *Quantity {
	if q == nil {
		return nil
	}
	m := *q
	m.Param, m.HiParam = q.Param.at(by), q.HiParam.at(by)
	m.Span = move(q.Span, by)
	return &m
}

func (c *Count) at(by int) *Count {
	if c == nil {
		return nil
	}
	return &Count{N: c.N, Param: c.Param.at(by), Span: move(c.Span, by)}
}

func (s Subject) at(by int) Subject {
	s.A, s.B = s.A.at(by), s.B.at(by)
	s.Span = move(s.Span, by)
	return s
}

func (c *Cond) at(by int) *Cond {
	if c == nil {
		return nil
	}
	m := *c
	m.Kids = slices.Clone(c.Kids)
	for i := range m.Kids {
		m.Kids[i] = m.Kids[i].at(by)
	}
	if c.Op == CondTest {
		m.Subject = c.Subject.at(by)
	}
	m.Words = wordsAt(c.Words, by)
	m.Value, m.Dur = c.Value.at(by), c.Dur.at(by)
	m.Span = move(c.Span, by)
	return &m
}

func argsAt(as []NamedArg, by int) []NamedArg {
	out := slices.Clone(as)
	for i := range out {
		a := &out[i]
		a.Name = a.Name.at(by)
		a.Cond, a.Quantity, a.Count, a.Ref = a.Cond.at(by), a.Quantity.at(by), a.Count.at(by), a.Ref.at(by)
		a.Span = move(a.Span, by)
	}
	return out
}

func (w *Word) shifted(by int) Node     { m := w.at(by); return &m }
func (s *Str) shifted(by int) Node      { return s.at(by) }
func (r *Ref) shifted(by int) Node      { return r.at(by) }
func (q *Quantity) shifted(by int) Node { return q.at(by) }
func (c *Count) shifted(by int) Node    { return c.at(by) }
func (c *Cond) shifted(by int) Node     { return c.at(by) }
func (s *Subject) shifted(by int) Node  { m := s.at(by); return &m }

func (d *Date) shifted(by int) Node {
	m := *d
	m.Span = move(d.Span, by)
	return &m
}

func (r *Refs) shifted(by int) Node {
	m := &Refs{List: slices.Clone(r.List), Span: move(r.Span, by)}
	for i := range m.List {
		m.List[i] = m.List[i].at(by)
	}
	return m
}

func (f *Faults) shifted(by int) Node {
	m := &Faults{List: slices.Clone(f.List), Span: move(f.Span, by)}
	for i := range m.List {
		x := &m.List[i]
		x.Thing, x.Other, x.Mode, x.Span = x.Thing.at(by), x.Other.at(by), x.Mode.at(by), move(x.Span, by)
	}
	return m
}

func (c *Call) shifted(by int) Node {
	return &Call{Part: c.Part.at(by), Args: argsAt(c.Args, by), Span: move(c.Span, by)}
}

func (a *Args) shifted(by int) Node {
	return &Args{List: argsAt(a.List, by), Span: move(a.Span, by)}
}
