package show

import (
	"strconv"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// deadBands reports how wide the gap between the two values of a threshold is.
func (h *hinter) deadBands() {
	var g gathered
	for _, d := range h.designs {
		for i := range d.Thresholds {
			t := &d.Thresholds[i]
			if t.Broken || !h.here(t.NamePlace) {
				continue
			}
			lo, hi := t.Clears, t.Sets
			if !t.Rising() {
				lo, hi = hi, lo
			}
			if width, err := hi.From(lo); err == nil && width.N.Sign() > 0 {
				g.add(t.NamePlace, width.String())
			} else {
				g.add(t.NamePlace, "none")
			}
		}
	}
	for _, p := range g.order {
		at, ok := h.behind(p)
		if text := g.joined(p); ok && text != "" {
			var tip ide.Text
			tip.Add(ide.Words, "Between the two values it stays as it was.")
			h.out = append(h.out, Hint{At: at, Label: "dead band " + text, Tip: tip})
		}
	}
}

// ways numbers the ways of a connector that plugs onto pins.
func (h *hinter) ways() {
	for _, st := range h.v.Tree.All() {
		c := st.Clause(schema.ConnectorPlugsOnto)
		if c == nil || !h.here(st.Place(st.Span)) && st.Span.End < h.in.Start {
			continue
		}
		for i, r := range c.Refs("pins") {
			if h.here(st.Place(r.Span)) {
				h.out = append(h.out, Hint{At: r.Start, Label: strconv.Itoa(i+1) + ":", Before: true})
			}
		}
	}
}

// arguments reports which arguments of a part a fit leaves to what they are unless said.
func (h *hinter) arguments() {
	for _, d := range h.index.Definitions(h.v.Src()) {
		if d.Kind != schema.Fit || d.Sort != name.Thing || d.Broken || !h.here(d.NamePlace) {
			continue
		}
		call := name.CallOf(d)
		if call == nil || call.Part == nil {
			continue
		}
		given := map[string]bool{}
		for _, a := range call.Args {
			given[a.Name.Text] = true
		}
		var left []string
		for _, a := range ide.ArgumentsOf(name.PartOf(d)) {
			if text := ide.UnlessSaid(a); !given[a.Name] && text != "" {
				left = append(left, a.Name+" "+text)
			}
		}
		if len(left) == 0 {
			continue
		}
		text := strings.Join(left, ", ")
		hint := Hint{At: call.End, Label: "(" + text + ")", Edits: []diag.Edit{ide.Insert(h.v.Src(), call.End, "("+text+")")}}
		if last := ide.Significant(h.v.Tree, call.Start, call.End); len(last) > 0 && last[len(last)-1].Kind == syntax.CloseParen {
			hint.At = call.End - 1
			hint.Label = text
			if len(call.Args) > 0 {
				hint.Label = ", " + text
			}
			hint.Edits = []diag.Edit{ide.Insert(h.v.Src(), hint.At, hint.Label)}
		}
		hint.Tip.Add(ide.Words, "Taken because the fit does not say it.")
		h.out = append(h.out, hint)
	}
}

// defaults reports what is taken where a statement says nothing.
func (h *hinter) defaults() {
	type key struct {
		at   int
		what string
	}
	seen := map[key][]string{}
	var order []key
	places := map[key]diag.Place{}
	for _, d := range h.designs {
		for _, a := range d.Assumed {
			if !h.here(a.Place) {
				continue
			}
			k := key{a.Place.Start, strings.TrimSuffix(a.What, " of "+a.Path)}
			if _, ok := seen[k]; !ok {
				order = append(order, k)
				places[k] = a.Place
			}
			if len(seen[k]) == 0 || seen[k][len(seen[k])-1] != a.Value {
				seen[k] = append(seen[k], a.Value)
			}
		}
	}
	for _, k := range order {
		at, ok := h.behind(places[k])
		if !ok || len(seen[k]) > mostTexts {
			continue
		}
		hint := Hint{At: at, Label: k.what + " " + ide.Listed(seen[k])}
		hint.Tip.Add(ide.Words, "Taken because nothing is said; the results depend on it.")
		if len(seen[k]) == 1 {
			hint.Edits = h.written(at, places[k], k.what, seen[k][0])
		}
		h.out = append(h.out, hint)
	}
}

// written are the edits that say what was taken, where the clause for it is a bare value.
func (h *hinter) written(at int, p diag.Place, what, value string) []diag.Edit {
	st := h.v.Tree.At(p.Start)
	if st == nil || st.Kind == nil || st.Kind.ID != schema.Wire {
		return nil
	}
	number, symbol, _ := strings.Cut(value, " ")
	if _, err := unit.ParseNum(number); err != nil {
		return nil
	}
	if _, ok := unit.Lookup(symbol); !ok || what != "cross-section" && what != "length" {
		return nil
	}
	return []diag.Edit{ide.Insert(h.v.Src(), at, ", "+value)}
}
