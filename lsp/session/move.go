package session

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// move takes findings over to a newer text of the file that they stand in: what lies
// before and behind the stretch that changed stays where it is in the text, what touches
// it is dropped. Places in other files stay; fixes are dropped, they were made for the
// old text.
func move(fs []diag.Finding, to *source.File) []diag.Finding {
	var out []diag.Finding
	moves := map[*source.File]shift{}
	place := func(p diag.Place) (diag.Place, bool) {
		if p.File == nil || p.File == to || p.File.Name != to.Name {
			return p, true
		}
		s, ok := moves[p.File]
		if !ok {
			s = difference(p.File.Text, to.Text)
			moves[p.File] = s
		}
		p.File = to
		p.Span, ok = s.span(p.Span)
		return p, ok
	}
	for _, f := range fs {
		var ok bool
		if f.Place, ok = place(f.Place); !ok {
			continue
		}
		f.Fixes = nil
		if f.Follows != nil {
			r := *f.Follows
			if r.Place, ok = place(r.Place); !ok {
				r.Place = diag.Place{}
			}
			f.Follows = &r
		}
		f.Related = slices.Clone(f.Related)
		for i := range f.Related {
			if f.Related[i].Place, ok = place(f.Related[i].Place); !ok {
				f.Related[i].Place = diag.Place{}
			}
		}
		f.Evidence = slices.Clone(f.Evidence)
		for i, e := range f.Evidence {
			lines := slices.Clone(e.Lines)
			for j := range lines {
				if lines[j].Place, ok = place(lines[j].Place); !ok {
					lines[j].Place = diag.Place{}
				}
			}
			f.Evidence[i].Lines = lines
		}
		out = append(out, f)
	}
	diag.Sort(out)
	return out
}

// shift says how a text differs from an older one: what stood before head stays, what
// stood from tail on moves by by.
type shift struct{ head, tail, by int }

func difference(old, now string) shift {
	n := min(len(old), len(now))
	head := 0
	for head < n && old[head] == now[head] {
		head++
	}
	same := 0
	for same < n-head && old[len(old)-1-same] == now[len(now)-1-same] {
		same++
	}
	return shift{head: head, tail: len(old) - same, by: len(now) - len(old)}
}

func (s shift) span(p source.Span) (source.Span, bool) {
	switch {
	case p.End <= s.head:
		return p, true
	case p.Start >= s.tail:
		return source.Span{Start: p.Start + s.by, End: p.End + s.by}, true
	}
	return p, false
}
