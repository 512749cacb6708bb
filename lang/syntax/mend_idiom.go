package syntax

import (
	"slices"
	"strings"
	"unicode"
)

// habitual changes what the table of idioms knows, near where the text was not understood.
func (d *draft) idiomatic() []repair {
	var out []repair
	kind := d.p.kind
	all := idioms()
	for i := range all {
		h := &all[i]
		if h.to == note || d.first.Rule != "syntax" && d.first.Rule != "unit-mismatch" && !h.twice || len(h.in) > 0 && (kind == nil || !slices.Contains(h.in, kind.ID)) {
			continue
		}
		for from := max(d.at-len(h.words)-1, 0); from <= d.at+1; from++ {
			if text, ok := d.fits(h, from); ok {
				m := d.tokens(from, from+len(h.words), text)
				m.habit = h
				out = append(out, m)
			}
		}
	}
	return out
}

// fits reports whether the words of a idiom stand at a token, and what is written instead.
// A, B and C stand for one name or number each, N for a number.
func (d *draft) fits(h *idiom, from int) (string, bool) {
	if from+len(h.words) > d.last() {
		return "", false
	}
	text := h.to
	for n, w := range h.words {
		t := d.text(from + n)
		if len(w) == 1 && strings.Contains("ABCN", w) {
			switch d.p.sigs[from+n].kind {
			case NameTok, PathTok:
				if w == "N" {
					return "", false
				}
			case Number, Mixed:
			default:
				return "", false
			}
			if joints[t] {
				return "", false
			}
			text = strings.ReplaceAll(text, "$"+w, t)
			continue
		}
		if !strings.EqualFold(w, t) {
			return "", false
		}
		// Of several signs in a row none stands apart.
		if n > 0 && !isLetters(w) && !isLetters(h.words[n-1]) && d.p.sigs[from+n].start != d.p.sigs[from+n-1].end {
			return "", false
		}
	}
	return text, true
}

func isLetters(w string) bool { return w != "" && unicode.IsLetter(rune(w[0])) }

// hint is a idiom of which nothing can be made but a remark.
func (d *draft) hint() (*idiom, repair) {
	if d.first.Rule != "syntax" && d.first.Rule != "unit-mismatch" {
		return nil, repair{}
	}
	all := idioms()
	for i := range all {
		h := &all[i]
		if h.to != note || len(h.in) > 0 && (d.p.kind == nil || !slices.Contains(h.in, d.p.kind.ID)) {
			continue
		}
		for from := max(d.at-len(h.words), 0); from <= d.at; from++ {
			if _, ok := d.fits(h, from); ok {
				return h, d.tokens(from, from+len(h.words), h.words[0])
			}
		}
	}
	return nil, repair{}
}
