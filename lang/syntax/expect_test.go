package syntax_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/source"
	"pintle/lang/syntax"
)

// expectedAt is what is expected at the end of a text: words as they are, the rest by its name.
func expectedAt(text string) []string {
	f := parse(text)
	st := f.All()[len(f.All())-1]
	var out []string
	for _, e := range st.Expect(len(text), func(n string) bool { return n == "argument" }) {
		s := expectedNames[e.What]
		switch e.What {
		case syntax.ExpectWord, syntax.ExpectChoice:
			s = e.Word
		case syntax.ExpectClause:
			s = e.Form.Literal() + " …"
		}
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

var expectedNames = map[syntax.ExpectedKind]string{
	syntax.ExpectPath: "PATH", syntax.ExpectName: "NAME", syntax.ExpectText: "TEXT", syntax.ExpectColour: "COLOUR", syntax.ExpectDate: "DATE", syntax.ExpectCount: "COUNT",
	syntax.ExpectValue: "VALUE", syntax.ExpectUnit: "UNIT", syntax.ExpectTolerance: "TOLERANCE", syntax.ExpectSubject: "SUBJECT", syntax.ExpectComparison: "COMPARISON",
	syntax.ExpectState: "STATE", syntax.ExpectType: "TYPE", syntax.ExpectPart: "PART", syntax.ExpectArgument: "ARGUMENT", syntax.ExpectArgumentValue: "GIVEN",
}

func TestExpect(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"coil c: ", "pulls in at … | drops out at … | turns … | each | PATH | VALUE"},
		{"coil c busbar to ", "each | PATH"}, // a colon is missing, and understood
		{"coil c: a to b, pulls ", "in at"},
		{"coil c: a to b, pulls in at ", "VALUE"},
		{"coil c: a to b, 85 ", "to | UNIT"},
		{"coil c: a to b, argument ", "to | TOLERANCE"},
		{"coil c: a to b, 85 ohm +- ", "VALUE"},
		{"resistor r: 1 to ", "each | PATH"},
		{"wire w: each ", "PATH | to"},
		{"wire w: a to b, dark ", "to | COLOUR"},
		{"wire w: a to b, black/", "COLOUR"},
		{"powered ", "PATH"},
		{"powered 15 ", "to"},
		{"use ", "TEXT"},
		{`use "x" `, "as"},
		{`use "x" as `, "NAME"},
		{"only ", "when"},
		{"only when ", "SUBJECT"},
		{"modes m: starts in a {\n    from ", "NAME | any to"},
		{"modes m: starts in a {\n    from a ", "to"},
		{"modes m: starts in a {\n    from a, ", "NAME"},
		{"connector C1: 6 way, plugs onto a, ", "PATH | keyed … | plugs onto … | in reach of … | COUNT | COLOUR"},
		{"condition c: a ", "COMPARISON | for | in the last | begins | ends | stays | and | or"},
		{"condition c: a and b ", "COMPARISON | for | in the last | begins | ends | stays | and"}, // `or` would be mixed
		{"condition c: (a or b) and not ", "SUBJECT"},
		{"condition c: a is ", "not | any of | STATE"},
		{"condition c: a is not ", "STATE"},
		{"condition c: a is any ", "of"},
		{"condition c: a is any of b, ", "STATE | SUBJECT"},
		{"condition c: a at ", "least | most"},
		{"condition c: a in ", "the last"},
		{"condition c: volts ", "at | PATH"},
		{"condition c: volts a ", "to"},
		{"condition c: current ", "through"},
		{"condition c: a between 1 V ", "and"},
		{"condition c: a above 100 kPa ", "gauge | absolute | for | in the last | begins | ends | stays | and | or"},
		{"drive d {\n    step: fail a ", "open | shorted | to ground | to feed | off | blown | stuck made | stuck open | stuck on | stuck off | stuck shut | silent | stuck"},
		{"drive d {\n    step: fail a stuck ", "made | open | on | off | shut"},
		{"drive d {\n    step: see a at ", "least | most | end"},
		{"fit f: ", "elsewhere … | COUNT | PART"},
		{"fit f: 2 ", "of"},
		{"fit f: Relay(", "ARGUMENT"},
		{"fit f: Relay(rating ", "GIVEN"},
		{"fit f: Relay(rating 10 ", "UNIT"},
		{"fit f: Relay(made when a is b, ", "ARGUMENT"},
		{"fit f: Relay(made when a is any of b, ", "STATE | ARGUMENT"},
		{"node a", ""},
		{"wibble a ", ""},
	} {
		assert.Equal(t, c.want, strings.Join(expectedAt(c.line), " | "), c.line)
	}
}

// TestExpectsWhatWasWritten cuts the lines of all examples off before each of their words and
// demands that the parser expects what stood there.
func TestExpectsWhatWasWritten(t *testing.T) {
	asked := 0
	err := filepath.WalkDir("../../examples", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(p, ".pintle") {
			return err
		}
		text, err := os.ReadFile(p)
		require.NoError(t, err)
		f := parse(string(text))
		for _, st := range f.All() {
			if st.Kind == nil || st.Broken {
				continue
			}
			for i := f.Tokens.At(st.Span.Start) + 1; i < f.Tokens.Len() && f.Tokens.Span(i).Start < st.Line.End; i++ {
				switch f.Tokens[i].Kind {
				case syntax.NameTok, syntax.PathTok, syntax.Number, syntax.Mixed:
				default:
					continue
				}
				s := f.Tokens.Span(i)
				asked++
				if !headName(st, s) && f.Src.Text[s.Start-1] != '/' { // km/h is one word to those who type
					assert.Truef(t, expects(st, f.Src.Text[s.Start:s.End], f.Tokens[i].Kind, s.Start), "%s: %s‸%s", p, f.Src.Text[st.Span.Start:s.Start], f.Src.Text[s.Start:s.End])
				}
			}
		}
		return nil
	})
	require.NoError(t, err)
	assert.Greater(t, asked, 5000)
}

// headName reports whether a stretch is a name that the head of a statement gives.
func headName(st *syntax.Stmt, s source.Span) bool {
	return slices.ContainsFunc(st.Head().Names, func(w syntax.Word) bool { return w.Span == s })
}

func expects(st *syntax.Stmt, word string, kind syntax.TokenKind, at int) bool {
	return slices.ContainsFunc(st.Expect(at, func(string) bool { return true }), func(e syntax.Expected) bool {
		first, _, _ := strings.Cut(e.Word, " ")
		switch e.What {
		case syntax.ExpectClause:
			first, _, _ = strings.Cut(e.Form.Literal(), " ")
			return first == word
		case syntax.ExpectWord, syntax.ExpectChoice:
			return first == word
		case syntax.ExpectComparison:
			return slices.Contains([]string{"is", "above", "below", "at", "between"}, word)
		case syntax.ExpectSubject:
			return kind != syntax.Number || len(word) < 4
		case syntax.ExpectValue, syntax.ExpectArgumentValue:
			return true
		case syntax.ExpectUnit:
			return kind == syntax.NameTok || kind == syntax.Mixed
		case syntax.ExpectCount:
			return kind == syntax.Number || kind == syntax.NameTok
		case syntax.ExpectText, syntax.ExpectTolerance:
			return false
		}
		return true
	})
}

func ExampleStmt_Expect() {
	text := "coil winding: 85 to 86, pulls "
	for _, e := range parse(text).Stmts[0].Expect(len(text), func(string) bool { return false }) {
		fmt.Println(e.Word)
	}
	// Output: in at
}
