package run

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// single leaves each name once; two lines that say the same are one wire.
func (r *WiresResult) single(rows []wireRow) (out []wireRow) {
	first := map[string]wireRow{}
	for _, w := range rows {
		was, twice := first[w.name]
		switch {
		case !twice:
			first[w.name] = w
			out = append(out, w)
		case was.statement != w.statement:
			r.Problems = append(r.Problems, WireProblem{w.line, w.name, fmt.Sprintf("line %d names another wire so: %s", was.line, was.statement)})
		}
	}
	return out
}

// place holds wires against the design that they are to stand in: those that it has are left
// out, and those whose ends it has not are reported.
func (r *WiresResult) place(ctx context.Context, open OpenRequest, rows []wireRow) ([]wireRow, error) {
	o, err := Open(ctx, open, nil)
	if err != nil {
		return nil, err
	}
	r.Failures, r.Notices = o.Failures, o.Notices
	var left []wireRow
	for _, w := range rows {
		switch own, same := w.in(o.Designs); {
		case own == "":
			left = append(left, w)
		case same:
			r.Same++
		default:
			r.Problems = append(r.Problems, WireProblem{w.line, w.name, "the design has this wire otherwise: " + own})
		}
	}
	starts := make([]int, len(left)) // of the statements, behind the end of the design
	o, err = Open(ctx, open, func(string) (string, error) {
		b := strings.Builder{}
		for i, w := range left {
			starts[i] = b.Len()
			b.WriteString(w.statement + "\n")
		}
		return b.String(), nil
	})
	if err != nil {
		return nil, err
	}
	wrong := map[int]string{}
	for _, f := range slices.Concat(o.Tree.Findings, o.Read.Findings) {
		if f.Severity != diag.Error || f.IsZero() || f.File.Name != o.Tree.Src.Name || f.Start < o.End {
			continue
		}
		i, found := slices.BinarySearch(starts, f.Start-o.End)
		if !found {
			i--
		}
		if _, told := wrong[i]; !told {
			wrong[i] = f.Message
		}
	}
	var out []wireRow
	for i, w := range left {
		if what, bad := wrong[i]; bad {
			r.Problems = append(r.Problems, WireProblem{w.line, w.name, what})
			continue
		}
		out = append(out, w)
	}
	return out, nil
}

// in looks for the wire in designs: how it stands there, and whether it is the same.
func (w *wireRow) in(designs []*model.Design) (own string, same bool) {
	for _, d := range designs {
		for i := range d.Wires {
			x := &d.Wires[i]
			if x.Path != w.name {
				continue
			}
			a, b := d.Nodes[x.A].Path, d.Nodes[x.B].Path
			parts := []string{a + " to " + b}
			if x.Colour != "" {
				parts = append(parts, x.Colour)
			}
			if x.AreaSet {
				parts = append(parts, decimal(x.Area)+" mm2")
			}
			if x.LenSet {
				parts = append(parts, decimal(x.Length)+" m")
			}
			ends := a == w.from && b == w.to || a == w.to && b == w.from
			return strings.Join(parts, ", "), ends && x.Colour == w.colour &&
				amounts(w.size, x.AreaSet, x.Area) && amounts(w.length, x.LenSet, x.Length)
		}
	}
	return "", false
}

// amounts reports whether a quantity as a statement has it, empty for none, is what the model has.
func amounts(text string, set bool, x float64) bool {
	if text == "" || !set {
		return text == "" && !set
	}
	n, word, _ := strings.Cut(text, " ")
	u, _ := unit.Lookup(word) // it was written by sized or long
	num, err := unit.ParseNum(n)
	if word == "AWG" {
		num, err = unit.ParseAWG(n)
	}
	return err == nil && decimal(unit.New(num, u).Float64()) == decimal(x)
}
