package compare

import (
	"fmt"
	"slices"
	"strings"

	"pintle/lang/model"
)

// inputs tells what differs in what is moved from outside.
func (w *work) inputs(a, b *side) {
	say := func(format string, args ...any) { w.out.Inputs = append(w.out.Inputs, fmt.Sprintf(format, args...)) }
	for i, j := range w.with.to[settings] {
		x := &a.d.Settings[i]
		if j == model.None {
			say("only the old design has the setting %s", x.Path)
			continue
		}
		y := &b.d.Settings[j]
		lacks := func(of, in *model.Setting, who string) {
			for _, p := range of.Positions {
				if !slices.Contains(in.Positions, p) {
					say("only the %s design has the position %s of %s; its effect is not compared", who, p, x.Path)
				}
			}
		}
		lacks(x, y, "old")
		lacks(y, x, "new")
		if p, q := x.Positions[x.Start], y.Positions[y.Start]; p != q {
			say("%s started in %s, and starts in %s now; both are compared from %s", x.Path, p, q, p)
		}
		springs := func(s *model.Setting) string {
			out := make([]string, len(s.Springs))
			for k, sp := range s.Springs {
				out[k] = s.Positions[sp.From] + " to " + s.Positions[sp.To]
			}
			slices.Sort(out)
			return strings.Join(out, ", ")
		}
		if springs(x) != springs(y) {
			say("%s springs back otherwise: %s before, %s now", x.Path, orNothing(springs(x)), orNothing(springs(y)))
		}
		if x.InOrder != y.InOrder || x.InOrder && !slices.Equal(x.Positions, y.Positions) {
			say("the positions of %s stand in another order", x.Path)
		}
	}
	for j, i := range w.with.from[settings] {
		if i == model.None {
			say("only the new design has the setting %s", b.d.Settings[j].Path)
		}
	}
	for i, j := range w.with.to[quantities] {
		x := &a.d.Quantities[i]
		if j == model.None {
			say("only the old design has the quantity %s", x.Path)
			continue
		}
		y := &b.d.Quantities[j]
		if !x.Lo.N.Equal(y.Lo.N) || !x.Hi.N.Equal(y.Hi.N) {
			say("%s ranged from %s to %s, and ranges from %s to %s now; compared is what both have", x.Path, x.Lo, x.Hi, y.Lo, y.Hi)
		}
		if !x.Start.N.Equal(y.Start.N) {
			say("%s started at %s, and starts at %s now; both are compared from %s", x.Path, x.Start, y.Start, x.Start)
		}
		if x.Rate != y.Rate {
			say("the fastest rate of %s is another one; compared is what both allow", x.Path)
		}
	}
	for j, i := range w.with.from[quantities] {
		if i == model.None {
			say("only the new design has the quantity %s", b.d.Quantities[j].Path)
		}
	}
	for i, j := range w.with.to[assumptions] {
		x := &a.d.Assumptions[i]
		switch {
		case j == model.None:
			say("the old design alone assumes %s; compared is what both allow", x.Path)
		case w.named.of(a.d.Words(x.Cond)) != b.d.Words(b.d.Assumptions[j].Cond) || x.Form != b.d.Assumptions[j].Form:
			say("the assumption %s is another one; compared is what both allow", x.Path)
		}
	}
	for j, i := range w.with.from[assumptions] {
		if i == model.None {
			say("the new design alone assumes %s; compared is what both allow", b.d.Assumptions[j].Path)
		}
	}
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// durations tells which timers and beats last otherwise.
func (w *work) durations() {
	for _, c := range w.out.Changes {
		if (c.Kind == "timer" || c.Kind == "beat") && c.Old != "" && c.New != "" {
			w.out.Durations = append(w.out.Durations, fmt.Sprintf("%s %s: %s: %s before, %s now", c.Kind, c.Name, c.What, c.Old, c.New))
		}
	}
}
