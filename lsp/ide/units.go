package ide

import (
	"strings"

	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// WithoutComments is the line of a statement without its comments.
func WithoutComments(st *syntax.Stmt) string {
	f := st.File()
	var b strings.Builder
	for i := max(f.Tokens.At(st.Line.Start), 0); i < f.Tokens.Len(); i++ {
		t := TokenAt(f, i)
		if t.Start >= st.Line.End {
			break
		}
		if t.Kind != syntax.Comment {
			b.WriteString(t.Text)
		}
	}
	return b.String()
}

// UnitText tells of a unit.
func UnitText(u unit.Unit) Text {
	var t Text
	t.Add(Words, u.Doc())
	if also := u.Spellings()[1:]; len(also) > 0 {
		t.Add(Words, "Also read as "+quotedList(also)+".")
	}
	one := unit.New(unit.Int(1), u)
	for _, line := range Conversions(one) {
		t.Add(Item, line)
	}
	return t
}

func quotedList(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = "`" + w + "`"
	}
	return Listed(out)
}

// MostConversions is how many other units a value is told in.
const MostConversions = 6

// Conversions writes a value in the other units of its dimension, as far as that gives
// numbers that people read.
func Conversions(v unit.Value) []string {
	var out []string
	if v.Dim() == unit.None {
		return nil
	}
	for _, u := range unit.Units(v.Dim()) {
		if u == v.Unit || u.Symbol == "" || len(out) == MostConversions {
			continue
		}
		n, err := v.In(u)
		if err != nil || v.Difference && u.IsAWG() {
			continue
		}
		if n.Sign() == 0 && v.N.Sign() == 0 && v.Written.Sign() == 0 {
			continue // nothing is nothing in every unit
		}
		if f := n.Float64(); f != 0 && (f >= 1e6 || f <= -1e6 || f < 1e-3 && f > -1e-3) {
			continue
		}
		w := unit.FromBase(v.N, u)
		if v.Difference {
			w = unit.DifferenceFromBase(v.N, u)
		}
		text := w.String()
		if u.IsAWG() {
			text = "about " + unit.New(n, u).String()
		}
		out = append(out, rounded(text))
	}
	return out
}

// rounded shortens the digits of a number behind its point.
func rounded(text string) string {
	number, symbol, ok := strings.Cut(text, " ")
	whole, part, dot := strings.Cut(number, ".")
	if !ok || !dot || len(part) <= 4 {
		return text
	}
	keep := 4
	if strings.Trim(whole, "-0") == "" {
		keep += len(part) - len(strings.TrimLeft(part, "0"))
	}
	if keep >= len(part) {
		return text
	}
	n, err := unit.ParseNum(whole + "." + part[:keep])
	if err != nil {
		return text
	}
	return "about " + n.String() + " " + symbol
}
