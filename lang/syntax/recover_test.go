package syntax_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/syntax/syntaxtest"
)

// checkSound holds whatever the text is: the tokens are the text, statements lie inside
// each other and in order, findings lie inside the text.
func checkSound(t *testing.T, f *syntax.File) {
	t.Helper()
	n := 0
	for i := range f.Tokens.Len() {
		s := f.Tokens.Span(i)
		if s.Start != n || s.End <= s.Start {
			t.Fatalf("token %d is %v and the one before ends at %d", i, s, n)
		}
		n = s.End
	}
	if n != len(f.Src.Text) {
		t.Fatalf("the tokens end at %d of %d", n, len(f.Src.Text))
	}
	end, broken := 0, false
	for _, s := range f.All() {
		broken = broken || s.Broken
		inParent := s.Parent == nil || s.Span.Start >= s.Parent.BodySpan.Start && s.Span.End <= s.Parent.BodySpan.End
		if s.Line.Start < end || s.Line.End > s.Span.End || !inParent {
			t.Fatalf("statement at %v with line %v after %d", s.Span, s.Line, end)
		}
		end = s.Line.End
		for n := range s.Nodes() {
			if x := n.Extent(); x.Start < s.Line.Start || x.End < x.Start || s.Line.End < x.End {
				t.Fatalf("%T at %v in a line at %v", n, x, s.Line)
			}
		}
	}
	for _, d := range f.Findings {
		if d.Start < 0 || d.End < d.Start || len(f.Src.Text) < d.End || d.Message == "" || d.Rule == "" || d.File != f.Src {
			t.Fatalf("finding %v", d)
		}
	}
	if broken && len(f.Findings) == 0 {
		t.Fatal("something is broken, and there is no finding")
	}
}

// Every prefix of every design is parsed: that is what an editor sends while somebody
// types.
func TestEveryPrefix(t *testing.T) {
	designs := syntaxtest.Designs(t)
	for _, name := range slices.Sorted(maps.Keys(designs)) {
		if strings.Contains(name, "/faulty/") || len(designs[name]) > 3500 {
			continue
		}
		text := designs[name]
		t.Run(name, func(t *testing.T) {
			var prev *syntax.File
			for n := range len(text) {
				f := syntax.Parse(source.NewFile(name, text[:n]), prev)
				checkSound(t, f)
				prev = f
			}
		})
	}
}

// Taking away any one token of a sound design costs at most one statement and yields at
// most one finding.
func TestOneTokenLess(t *testing.T) {
	designs := syntaxtest.Designs(t)
	worst := 0
	for _, name := range slices.Sorted(maps.Keys(designs)) {
		text := designs[name]
		whole := parse(text)
		if len(whole.Findings) > 0 || strings.Contains(name, "/faulty/") {
			continue
		}
		statements := len(whole.All())
		for i := range whole.Tokens.Len() {
			if whole.Tokens[i].Kind <= syntax.Comment {
				continue
			}
			s := whole.Tokens.Span(i)
			f := syntax.Parse(source.NewFile(name, text[:s.Start]+text[s.End:]), whole)
			worst = max(worst, len(f.Findings))
			assert.LessOrEqual(t, len(f.Findings), 1, "%s without %q at line %d: %v", name, text[s.Start:s.End], whole.Src.Position(s.Start).Line, messages(f))
			broken := 0
			for _, s := range f.All() {
				// Inside a body of which the kind is lost nobody knows anything.
				if s.Broken && s.In != 0 {
					broken++
				}
			}
			assert.LessOrEqual(t, broken, 1, "%s without %q at line %d: neighbours broke", name, text[s.Start:s.End], whole.Src.Position(s.Start).Line)
			assert.InDelta(t, statements, len(f.All()), 1, "%s without %q at line %d", name, text[s.Start:s.End], whole.Src.Position(s.Start).Line)
		}
	}
	require.Equal(t, 1, worst, "nothing was tried")
}

func messages(f *syntax.File) (out []string) {
	for _, d := range f.Findings {
		p := f.Src.Position(d.Start)
		out = append(out, strings.Join([]string{f.Src.Line(p.Line - 1), d.Rule, d.Message}, " | "))
	}
	return out
}

// A number that lacks its unit has that of the quantity which it is compared with, wherever
// that stands, also while the file is edited.
func TestUnitOfTheQuantity(t *testing.T) {
	text := `threshold fast: speed, sets above 6000, clears below 5800 rpm
quantity speed: 0 to 7000 rpm
condition c: key is run and boost above 20
quantity boost: 0 to 200 kPa gauge
condition d: other at least 5
drive up {
    step: ramp boost to 50 over 3 s
}
`
	want := []string{
		"`6000` needs a unit here, for example `6000 rpm`",
		"`20` needs a unit here, for example `20 kPa gauge`",
		"`5` needs a unit here, for example `5 rpm` or `5 degC`",
		"`50` needs a unit here, for example `50 kPa gauge`",
	}
	check := func(f *syntax.File) {
		t.Helper()
		var got []string
		for _, d := range f.Findings {
			got = append(got, d.Message)
			for _, fix := range d.Fixes {
				e := fix.Edits[0]
				assert.Same(t, f.Src, e.File)
				again := parse(f.Src.Text[:e.Start] + e.New + f.Src.Text[e.End:])
				assert.Len(t, again.Findings, len(f.Findings)-1)
			}
		}
		assert.Equal(t, want, got)
	}
	f := parse(text)
	check(f)
	check(syntax.Parse(source.NewFile("a.pintle", "\n"+text), f))
	other := syntax.Parse(source.NewFile("a.pintle", strings.Replace(text, "7000 rpm", "120 rps", 1)), f)
	assert.Equal(t, "`6000` needs a unit here, for example `6000 rps`", other.Findings[0].Message)
}

// A fix of a statement over several lines leaves it one, with its comments.
func TestMendedOverLines(t *testing.T) {
	for text, want := range map[string]string{
		"require r:\n    if key is run,  # when it is on\n    lamp is lit\nnode a\n":    "",
		"contact c: a to b, make,  # one\n    closed when key is run,\n    up to 5 A\n": "contact c: a to b, make,  # one\n    made when key is run,\n    up to 5 A\n",
		"condition c: key is run,\n    and lamp is lit\nnode a\n":                       "condition c: key is run and lamp is lit\nnode a\n",
		"condition c: key is run &&\n    lamp is lit\n":                                 "condition c: key is run and\n    lamp is lit\n",
	} {
		f := parse(text)
		require.NotEmpty(t, f.Findings, text)
		fixes := f.Findings[0].Fixes
		if want == "" {
			for _, fix := range fixes {
				e := fix.Edits[0]
				assert.Empty(t, parse(text[:e.Start]+e.New+text[e.End:]).Findings)
			}
			continue
		}
		require.Len(t, fixes, 1, text)
		e := fixes[0].Edits[0]
		assert.Equal(t, want, text[:e.Start]+e.New+text[e.End:])
		assert.Empty(t, parse(want).Findings)
	}
}
