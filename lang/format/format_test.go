package format

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/syntax/syntaxtest"
)

func parse(text string) *syntax.File { return syntax.Parse(source.NewFile("t.pintle", text), nil) }

func format(text string) string {
	out, _ := Format(parse(text))
	return out
}

// checkKept fails if formatting changes what a text says, or is not at rest afterwards.
func checkKept(t *testing.T, text string) {
	t.Helper()
	f := parse(text)
	once, _ := Format(f)
	again := parse(once)
	if was, is := syntaxtest.Dump(f, false), syntaxtest.Dump(again, false); was != is {
		t.Fatalf("the meaning changed:\n%s\nof %q\nto %q", cmp.Diff(was, is), text, once)
	}
	if twice, _ := Format(again); twice != once {
		t.Fatalf("not at rest:\n%s", cmp.Diff(once, twice))
	}
}

func TestDesignsKeepTheirMeaning(t *testing.T) {
	designs := syntaxtest.Designs(t)
	for _, name := range slices.Sorted(maps.Keys(designs)) {
		t.Run(name, func(t *testing.T) { checkKept(t, designs[name]) })
	}
}

// What was written in one layout comes out in the other.
func TestLayout(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"empty", "", ""},
		{"only space", " \n\n\t\n", ""},
		{"only a comment", "  # nothing yet", "# nothing yet\n"},
		{"space", "wire   W1 :a   to b ,red,1.5mm2 , 0.4m\n", "wire W1: a to b, red, 1.5 mm2, 0.4 m\n"},
		{"units", "fit x: {\n coil c: 1 to 2, 85Ω ±10%, pulls in at 8V\n}\nquantity t: -30°C to 130 °C\npart P {\ntakes r: Ω\n}",
			"fit x: {\n    coil c: 1 to 2, 85 ohm +-10 %, pulls in at 8 V\n}\nquantity t: -30 degC to 130 degC\npart P {\n    takes r: ohm\n}\n"},
		{"speed", "quantity v: 0 to 200km/h\nquantity f: 0 to 3 l/min\nwire w: a to b, 2/0 AWG, 16AWG", "quantity v: 0 to 200 km/h\nquantity f: 0 to 3 L/min\nwire w: a to b, 2/0 AWG, 16 AWG\n"},
		{"colour", "wire w: a to b, light  gray / white\n", "wire w: a to b, light grey/white\n"},
		{"carriage returns", "ground g\r\n\r\n\r\nnode a ,b\r\n", "ground g\r\n\r\nnode a, b\r\n"},
		{"most lines have carriage returns", "ground g\r\nnode a\nnode  b\r\n", "ground g\r\nnode a\r\nnode b\r\n"},
		{"few lines have carriage returns", "ground g\r\nnode a\nnode  b\n", "ground g\nnode a\nnode b\n"},
		{"carriage returns only", "ground  g\rnode a\r", "ground g\rnode a\r"},
		{"byte-order mark", "\ufeffground  g\r\n", "\ufeffground g\r\n"},
		{"nothing but a byte-order mark", "\ufeff", "\ufeff"},
		{"empty lines", "\n\nground g\n\n\n\nnode a\nresult r: {\n\n    row a: otherwise\n\n}\n\n\n", "ground g\n\nnode a\nresult r: {\n    row a: otherwise\n}\n"},
		{"one line", "result r { row a: when x is y }", "result r {\n    row a: when x is y\n}\n"},
		{"brace below", "result r\n{\nrow a: otherwise\n}", "result r {\n    row a: otherwise\n}\n"},
		{"brace below a comment", "result r # one\n# two\n{\nrow a: otherwise\n}", "result r {  # one\n    # two\n    row a: otherwise\n}\n"},
		{"joined", "setting key: off,\n   run,\n   crank\n", "setting key: off, run, crank\n"},
		{"comments stay", "setting key: off, # rest\n   run, # engine on\n   crank # starter\n# after\n",
			"setting key: off,  # rest\n    run,  # engine on\n    crank  # starter\n# after\n"},
		{"own lines stay", "supply battery: 12.6 V, from body to stud,\n   # between clauses\n\n # and one more\n   inside 10 mohm\n",
			"supply battery: 12.6 V, from body to stud,\n    # between clauses\n    # and one more\n    inside 10 mohm\n"},
		{"own lines in parentheses", "condition c: (key is run and\n   # within\n   key is not off) or # behind\n   # below\n   key is off\n# end\n",
			"condition c: (key is run and\n    # within\n    key is not off) or  # behind\n    # below\n    key is off\n# end\n"},
		{"own line behind the colon", "setting key:\n  # all of them\n  off, run # the last\n", "setting key:\n    # all of them\n    off, run  # the last\n"},
		{"own line before the brace", "result r\n# two\n{\nrow a: otherwise\n}", "result r {\n    # two\n    row a: otherwise\n}\n"},
		{"doc", "  ## The zero.\nground  g\n", "## The zero.\nground g\n"},
		{"call", "fit a: 4  of  Plug ( limit  10A , made when (x is y) )\n", "fit a: 4 of Plug(limit 10 A, made when (x is y))\n"},
		{"nested", "part P {\nfit x: {\npin 1\n# in x\n}\n# in P\n}\n", "part P {\n    fit x: {\n        pin 1\n        # in x\n    }\n    # in P\n}\n"},
		{"long, one clause", `symptom flat_above_four "pulls badly above 4500 rpm on full pedal": runners is long and pedal is full and engine_speed above 4500 rpm`,
			"symptom flat_above_four \"pulls badly above 4500 rpm on full pedal\":\n    runners is long and pedal is full and engine_speed above 4500 rpm\n"},
		{"long, many clauses", "supply battery: 12.6 V, from block to stud, inside 8 mohm, anywhere between 9 V and 15 V, while engine_runs",
			"supply battery: 12.6 V, from block to stud, inside 8 mohm, anywhere between 9 V and 15 V,\n    while engine_runs\n"},
		{"broken", "ground   g\ncoyl   x :  1 to 2\nnode   a\n", "ground g\ncoyl   x :  1 to 2\nnode a\n"},
		{"broken line, sound body", "fit  x :  4 off Plug {\npin   1\n}\n", "fit  x :  4 off Plug {\n    pin 1\n}\n"},
		{"broken lines move together", "result r {\nrow a: when (x is\n    y\nrow b:  otherwise\n}\n",
			"result r {\n    row a: when (x is\n        y\n    row b: otherwise\n}\n"},
		{"blanks behind a comment", "## One. \f\nground g\n", "## One.\nground g\n"},
		{"unbalanced", "fit   x: {\npin   1\n", "fit   x: {\npin   1\n"},
		{"no text", "ground  g\x00", "ground  g\x00"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, format(test.in))
			checkKept(t, test.in)
		})
	}
}

func TestRange(t *testing.T) {
	const text = "ground   g\nfit x: {\n  pin   1\n   pin 2 ,3\n}\nnode   a\n"
	apply := func(from, to string) string {
		f := parse(text)
		out := text
		edits := Range(f, source.Span{Start: strings.Index(text, from), End: strings.Index(text, to) + len(to)})
		for _, e := range slices.Backward(edits) {
			out = out[:e.Start] + e.New + out[e.End:]
		}
		return out
	}
	require.Equal(t, "ground   g\nfit x: {\n  pin   1\n    pin 2, 3\n}\nnode   a\n", apply("pin 2", "pin 2"))
	require.Equal(t, "ground g\nfit x: {\n    pin 1\n    pin 2, 3\n}\nnode   a\n", apply("ground", "pin   1"))
	require.Equal(t, "ground   g\nfit x: {\n  pin   1\n   pin 2 ,3\n}\nnode a\n", apply("node", "node"))
	require.Empty(t, Range(parse("ground g\n"), source.Span{}))
}

func FuzzFormat(f *testing.F) {
	for _, text := range syntaxtest.Pieces(f) {
		f.Add(text)
	}
	f.Add("wire W1: a to b,\n  # c\n  red # d\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) <= syntaxtest.MostFuzzed {
			checkKept(t, text)
		}
	})
}

func BenchmarkFormat(b *testing.B) {
	var all strings.Builder
	designs := syntaxtest.Designs(b)
	for all.Len() < 1<<20 {
		for _, name := range slices.Sorted(maps.Keys(designs)) {
			if !strings.Contains(name, "faulty") {
				all.WriteString(designs[name])
			}
		}
	}
	file := parse(all.String())
	b.SetBytes(int64(all.Len()))
	b.ReportAllocs()
	for b.Loop() {
		Format(file)
	}
}
