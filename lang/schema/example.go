package schema

import (
	"strconv"
	"strings"

	"pintle/lang/unit"
)

// Example writes the clause as it might stand in a design; it parses to the form.
func (f *Form) Example() string { return f.fill(func(_ int, example string) string { return example }) }

// Snippet writes the clause with numbered places to fill in, as editors know them:
// "pulls in at ${1:8 V}".
func (f *Form) Snippet() string {
	return f.fill(func(n int, example string) string {
		return "${" + strconv.Itoa(n) + ":" + strings.ReplaceAll(example, "}", `\}`) + "}"
	})
}

func (f *Form) fill(place func(n int, example string) string) string {
	var b strings.Builder
	n := 0
	for i, e := range f.Elems {
		if i > 0 {
			b.WriteByte(' ')
		}
		if e.Slot == nil {
			b.WriteString(e.Word)
			continue
		}
		n++
		b.WriteString(place(n, e.Slot.Example()))
	}
	return b.String()
}

// Example is something that may stand in the slot.
func (s *Slot) Example() string {
	switch s.Type {
	case SlotName, SlotWord:
		return s.Role + "_1"
	case SlotRef, SlotPin:
		return "K1." + s.Role
	case SlotRefs:
		return "box.1, box.2"
	case SlotQuantity:
		return s.quantityExample()
	case SlotCount:
		return "4"
	case SlotCond:
		return "key is run"
	case SlotText:
		return `"why it is so"`
	case SlotColour:
		return "black/yellow"
	case SlotDate:
		return "2027-06-30"
	case SlotChoice:
		return s.Choices[0]
	case SlotArgType:
		return "A"
	case SlotDefault:
		return "10 A"
	case SlotSubject:
		return "current through W3"
	case SlotCall:
		return "Relay(winding 85 ohm)"
	case SlotArgs:
		return "rating 10 A"
	case SlotFaults:
		return "W18 open, K2.main stuck made"
	}
	return s.Role
}

func (s *Slot) quantityExample() string {
	d := unit.RotationalSpeed
	if len(s.Dims) > 0 {
		d = s.Dims[0]
	}
	one := d.Example()
	number, symbol, _ := strings.Cut(one, " ")
	var text string
	switch s.Shape {
	case Range:
		text = "0 to " + number + " " + symbol
	case Pair:
		text = "0 " + symbol + " and " + one
	default:
		text = one
	}
	if s.Tolerance {
		text += " +-10 %"
	}
	return text
}

// Example of a head, as it stands behind the kind word, with its leading space.
func (k *Kind) headExample() string {
	switch k.Head {
	case HeadName:
		return " name"
	case HeadNames:
		return " one, two"
	case HeadPins:
		return " 30, 87a, B+"
	case HeadText:
		return ` "text"`
	case HeadUse:
		return ` "parts/basics.pintle"`
	case HeadWhen:
		return " when side is left"
	case HeadEnds:
		return " 15 to 31"
	case HeadNameText:
		return ` name "what is noticed"`
	case HeadNameMaybe:
		return " name"
	case HeadRule:
		return " wire-colours-repeat"
	case HeadMove:
		return " one to two"
	}
	return ""
}

// Example writes a whole statement with the clauses that are required; it parses
// without a finding where the kind may stand. Bodies are written open and shut.
func (k *Kind) Example() string { return k.example(func(_ int, s string) string { return s }) }

func (k *Kind) example(place func(n int, example string) string) string {
	var b strings.Builder
	n := 0
	next := func(s string) string {
		n++
		return place(n, s)
	}
	b.WriteString(k.Name)
	if head := strings.TrimPrefix(k.headExample(), " "); head != "" {
		b.WriteByte(' ')
		if when, ok := strings.CutPrefix(head, "when "); ok {
			b.WriteString("when " + next(when))
		} else {
			b.WriteString(next(head))
		}
	}
	sep := ": "
	done := map[string]bool{}
	for _, f := range k.Forms {
		if f.Min == 0 || f.OrBody && k.Body != NoBody && k.ID != Timer || f.Alike != "" && done[f.Alike] {
			continue
		}
		done[f.Alike] = true
		for i := range f.Min {
			b.WriteString(sep)
			b.WriteString(f.fill(func(_ int, e string) string {
				if i > 0 {
					e = strings.Replace(e, "_1", "_"+strconv.Itoa(i+1), 1)
				}
				return next(e)
			}))
			sep = ", "
		}
	}
	if k.Body == MustHaveBody || k.ID == Fit {
		if sep == ": " && k.ID == Fit {
			b.WriteByte(':')
		}
		b.WriteString(" {\n}")
	}
	return b.String()
}

// snippet is Example with numbered places.
func (k *Kind) snippet() string {
	s := k.example(func(n int, e string) string {
		return "${" + strconv.Itoa(n) + ":" + strings.ReplaceAll(e, "}", `\}`) + "}"
	})
	if head, ok := strings.CutSuffix(s, "{\n}"); ok {
		return head + "{\n    $0\n}"
	}
	return s
}

// Reading writes a pattern as the reference does: "from A to B", "pulls in at Q(voltage)".
func Reading(f *Form) string {
	var b strings.Builder
	for i, e := range f.Elems {
		if i > 0 {
			b.WriteByte(' ')
		}
		if e.Slot == nil {
			b.WriteString(e.Word)
		} else {
			b.WriteString(e.Slot.reading())
		}
	}
	return b.String()
}

// Written writes a pattern for findings: as it might stand in a design, with what is to
// be named in capitals: "pulls in at 12.6 V", "COND whenever COND".
func Written(f *Form) string {
	words := make([]string, len(f.Elems))
	for i, e := range f.Elems {
		switch {
		case e.Slot == nil:
			words[i] = e.Word
		case e.Slot.Type == SlotQuantity:
			words[i] = e.Slot.Example()
		default:
			words[i] = e.Slot.reading()
		}
	}
	return strings.Join(words, " ")
}

func (s *Slot) reading() string {
	switch s.Type {
	case SlotCond:
		return "COND"
	case SlotText:
		return `"` + s.Role + `"`
	case SlotChoice:
		return strings.Join(s.Choices, "|")
	case SlotFaults:
		return "FAULT, FAULT …"
	case SlotQuantity:
		var names []string
		for _, d := range s.Dims {
			names = append(names, d.String())
		}
		q := "Q"
		if len(names) > 0 {
			q += "(" + strings.Join(names, "|") + ")"
		}
		switch s.Shape {
		case Range:
			return q + " to " + q
		case Pair:
			return q + " and " + q
		}
		return q
	}
	return strings.ToUpper(s.Role)
}
