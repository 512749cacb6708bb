package syntax

import (
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/unit"
)

func needsUnit(number, symbol string) string {
	return "`" + number + "` needs a unit here, for example `" + number + " " + symbol + "`"
}

// anyUnit is needsUnit where the statement by itself does not report which unit.
func anyUnit(number string) string {
	return needsUnit(number, "rpm") + " or `" + number + " degC`"
}

// unitless looks at numbers without a unit of which the statement does not tell what they
// measure: where they are compared with a quantity of this file it is the unit in which the
// quantity is declared.
func (f *File) unitless() {
	for i := range f.Findings {
		d := &f.Findings[i]
		number := f.Src.Text[d.Start:d.End]
		if d.Rule != "syntax" || d.Message != anyUnit(number) {
			continue
		}
		s := f.At(d.Start)
		if s == nil {
			continue
		}
		if symbol := f.unitOf(f.namesBefore(s.base, d.Start)); symbol != "" {
			d.Message = needsUnit(number, symbol)
			d.Fixes = insertion("write the unit", source.Span{Start: d.End, End: d.End}, " "+symbol)
			d.Fixes[0].Edits[0].File = f.Src
		}
	}
}

// namesBefore are the names between two offsets, the last first.
func (f *File) namesBefore(from, to int) []string {
	var out []string
	for i := f.Tokens.At(to) - 1; i >= 0 && int(f.Tokens[i].start) >= from; i-- {
		if f.Tokens[i].Kind == NameTok {
			s := f.Tokens.Span(i)
			out = append(out, f.Src.Text[s.Start:s.End])
		}
	}
	return out
}

// unitOf is the unit of the first of the names that is a quantity, or an input that counts as
// a value of one; "" if there is none.
func (f *File) unitOf(names []string) string {
	declared := map[string]string{}
	for _, s := range f.order {
		if s.Kind == nil || s.Kind.ID != schema.Quantity && s.Kind.ID != schema.Input {
			continue
		}
		for form, role := range map[schema.FormID]string{schema.QuantityRange: "range", schema.InputCountsValue: "value"} {
			if c := s.Clause(form); c != nil {
				if q := c.Quantity(role); q != nil && q.Param == nil && q.Value.Dim() != unit.None {
					number, symbol, _ := strings.Cut(q.Value.String(), " ")
					if number != "" {
						declared[s.Name().Text] = symbol
					}
				}
			}
		}
	}
	for _, n := range names {
		if symbol := declared[n]; symbol != "" {
			return symbol
		}
	}
	return ""
}
