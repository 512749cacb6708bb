package elaborate_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// slotNamed is a quantity slot of a clause.
type slotNamed struct {
	form schema.FormID
	role string
}

// literals are the quantities that are written in the clauses of a file, with their slots.
func literals(f *syntax.File) map[slotNamed]*syntax.Quantity {
	out := map[slotNamed]*syntax.Quantity{}
	var walk func(list []*syntax.Stmt)
	walk = func(list []*syntax.Stmt) {
		for _, s := range list {
			for _, c := range s.Clauses() {
				for _, a := range c.Args {
					if q, ok := a.Node.(*syntax.Quantity); ok {
						key := slotNamed{c.Form.ID, a.Slot.Role}
						if _, known := out[key]; !known {
							out[key] = q
						}
					}
				}
			}
			walk(s.Body)
		}
	}
	walk(f.Stmts)
	return out
}

// badOnes are numbers that a slot does not take, written in the unit of what stands there.
func badOnes(slot *schema.Slot, q *syntax.Quantity) []string {
	symbol := " " + q.Value.Unit.Symbol
	var numbers []string
	switch slot.Limit {
	case schema.Positive:
		numbers = []string{"0", "-1", "-0.001"}
	case schema.FromZero:
		numbers = []string{"-1", "-0.001"}
	case schema.Share:
		numbers = []string{"0", "-5", "100.1"}
	}
	var out []string
	for _, n := range numbers {
		switch slot.Shape {
		case schema.One, schema.OneOrRange:
			out = append(out, n+symbol)
		case schema.Range:
			out = append(out, n+" to 5000"+symbol)
		case schema.Pair:
			out = append(out, n+symbol+" and 5000"+symbol)
		}
	}
	if slot.Order == schema.Unordered {
		return out
	}
	switch slot.Shape {
	case schema.Range, schema.OneOrRange:
		out = append(out, "6 to 5"+symbol)
	case schema.Pair:
		out = append(out, "6"+symbol+" and 5"+symbol)
	}
	if slot.Order == schema.Rising {
		out = append(out, "6 to 6"+symbol)
	}
	return out
}

// TestEveryNumberHasItsLimit walks all slots that take a quantity: whatever they do not take
// is found at the number, once, and nothing else is.
func TestEveryNumberHasItsLimit(t *testing.T) {
	text, err := os.ReadFile("testdata/numbers/every.pintle")
	require.NoError(t, err)
	files := map[string]string{"every.pintle": string(text)}
	plain := elaborated(t, files, "every.pintle")
	require.Empty(t, plain.Findings)
	require.Empty(t, plain.Files[0].Findings)
	written := literals(plain.Files[0])
	for _, k := range schema.All() {
		for _, f := range k.Forms {
			for _, e := range f.Elems {
				if e.Slot == nil || e.Slot.Type != schema.SlotQuantity {
					continue
				}
				q := written[slotNamed{f.ID, e.Slot.Role}]
				if !assert.NotNil(t, q, "no text for %s in %s", e.Slot.Role, f.ID) {
					continue
				}
				for _, bad := range badOnes(e.Slot, q) {
					wrongNumber(t, files, q.Span, bad)
				}
			}
		}
	}
}

// wrongNumber puts a number in the place of another and expects to be told.
func wrongNumber(t *testing.T, files map[string]string, at source.Span, bad string) {
	t.Helper()
	text := files["every.pintle"]
	changed := text[:at.Start] + bad + text[at.End:]
	r := elaborated(t, map[string]string{"every.pintle": changed}, "every.pintle")
	line := changed[strings.LastIndexByte(changed[:at.Start], '\n')+1:]
	line, _, _ = strings.Cut(line, "\n")
	require.Empty(t, r.Files[0].Findings, line)
	if !assert.Len(t, r.Findings, 1, line) {
		return
	}
	f := r.Findings[0]
	assert.Equal(t, "wrong-kind", f.Rule, line)
	assert.Equal(t, bad, changed[f.Start:f.End], line)
	for _, fix := range f.Fixes {
		e := fix.Edits[0]
		mended := changed[:e.Start] + e.New + changed[e.End:]
		for _, g := range elaborated(t, map[string]string{"every.pintle": mended}, "every.pintle").Findings {
			assert.NotEqual(t, f.Message, g.Message, mended)
		}
	}
	for _, d := range r.Designs {
		sound(t, d)
	}
}

// Times of conditions, turns and what a drive sets have their limits too.
func TestNumbersElsewhere(t *testing.T) {
	text, err := os.ReadFile("testdata/numbers/every.pintle")
	require.NoError(t, err)
	for _, c := range []struct{ old, new, rule, message string }{
		{"for 200 ms", "for 0 ms", "wrong-kind", "0 ms is too low"},
		{"for 200 ms", "for 220 ms to 180 ms", "wrong-kind", "220 ms lies above 180 ms"},
		{"in the last 300 ms", "in the last -1 s", "wrong-kind", "-1 s is too low"},
		{"between 20 degC and 30 degC", "between 30 degC and 20 degC", "wrong-kind", "30 degC lies above 20 degC"},
		{"between 20 degC and 30 degC", "between 20 degC and 20 degC", "wrong-kind", "holds a single value"},
		{"turns 400", "turns 0", "wrong-kind", "at least 1 turn"},
		{"starts at 20 degC", "starts at 200 degC", "band-outside-range", "can't start at 200 degC"},
		{"9 V and 15 V", "13 V and 15 V", "band-outside-range", "12 V of `battery` is not between"},
		{"set coolant 90 degC", "set coolant 151 degC", "band-outside-range", "is never 151 degC"},
		{"ramp coolant to 100 degC", "ramp coolant to -41 degC", "band-outside-range", "is never -41 degC"},
		{"set battery 11 V", "set battery -1 V", "wrong-kind", "-1 V is too low"},
		{"85 ohm +-10 %", "85 ohm +-90 ohm", "wrong-kind", "reaches down to -5 ohm"},
		{"12 V, from", "200 kV, from", "wrong-kind", "200 kV is too high"},
		{"wait 1 s", "wait 20000 h", "wrong-kind", "20000 h is too high"},
		{"on 0.5 s", "on 0.1 us", "wrong-kind", "0.1 us is too short"},
		{"lit from 60 %", "lit from 1001 %", "wrong-kind", "1001 % is too high"},
	} {
		require.Equal(t, 1, strings.Count(string(text), c.old), c.old)
		changed := strings.Replace(string(text), c.old, c.new, 1)
		r := elaborated(t, map[string]string{"every.pintle": changed}, "every.pintle")
		found := slices.Concat(r.Files[0].Findings, r.Findings)
		if assert.Len(t, found, 1, c.new) {
			assert.Equal(t, c.rule, found[0].Rule, c.new)
			assert.Contains(t, found[0].Message, c.message, c.new)
		}
	}
}

// A number that a part is given is found where it is given, wherever it is used.
func TestNumberOfAnArgument(t *testing.T) {
	r := elaborated(t, map[string]string{"a.pintle": `part Outer {
    takes ohm: ohm
    pin 1, 2
    fit inner: Inner(r ohm)
}
part Inner {
    takes r: ohm
    pin 1, 2
    resistor it: 1 to 2, r
}
fit x: Outer(ohm 0 ohm)
`}, "a.pintle")
	require.Len(t, r.Findings, 1)
	f := r.Findings[0]
	assert.Equal(t, "0 ohm", f.File.Text[f.Start:f.End])
	require.Len(t, f.Related, 1)
	used := f.Related[0].Place
	assert.Equal(t, "r", used.File.Text[used.Start:used.End])
}

func TestRangesMaySayZeroOfTime(t *testing.T) {
	for _, n := range []string{"0 to 2 s", "2 s to 2 s"} {
		r := elaborated(t, map[string]string{"a.pintle": "setting key: off, run\ntimer t: runs while key is run, lasts " + n + "\n"}, "a.pintle")
		assert.Empty(t, r.Findings, n)
	}
}
