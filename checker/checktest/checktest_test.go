package checktest

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/source"
)

// shouting is a rule against names in capitals, with a fix.
func shouting() rule.Group {
	return rule.Group{
		Name: "made-up", Title: "Made up",
		Fixtures: fstest.MapFS{
			"shouting/good.pintle": {Data: []byte("ground block\n")},
			"shouting/bad.pintle": {Data: []byte("ground block\n" +
				"node STUD # want: shouting \"STUD is\" # want evidence: \"4 capitals\" # want: of-another-group \"x\"\n")},
		},
		Rules: []rule.Rule{{
			Name: "shouting", Severity: diag.Warning, Summary: "names in capitals", Why: "they are hard to read", Doc: "Page.",
			Needs: rule.Names,
			Run: func(p *rule.Pass) {
				text := p.Root.Src.Text
				i := strings.Index(text, "node STUD")
				if i < 0 {
					return
				}
				at := diag.Place{File: p.Root.Src, Span: source.Span{Start: i + 5, End: i + 9}}
				p.Report(diag.Finding{
					Message: "STUD is in capitals", Place: at, Subject: "STUD",
					Evidence: []diag.Evidence{{Kind: diag.Values, Lines: []diag.Line{{Text: "4 capitals"}}}},
					Fixes:    []diag.Fix{{Title: "write stud", Edits: []diag.Edit{{Place: at, New: "stud"}}}},
				})
			},
		}},
	}
}

func TestRunOnASoundGroup(t *testing.T) { Run(t, shouting()) }

func TestCleanOnASoundGroup(t *testing.T) {
	c, err := rule.NewCatalogue(shouting())
	require.NoError(t, err)
	Clean(t, c)
}

func TestCompare(t *testing.T) {
	file := source.NewFile("f", "one\ntwo\n")
	found := func(rule, message string, line int) diag.Finding {
		return diag.Finding{
			Rule: rule, Message: message, Place: diag.Place{File: file, Span: source.Span{Start: file.LineStart(line), End: file.LineStart(line) + 3}},
			Evidence: []diag.Evidence{{Lines: []diag.Line{{Text: "set key run"}}}},
		}
	}
	mark := func(rule, message string, line int, evidence ...string) want {
		return want{Rule: rule, Message: message, Line: line, Evidence: evidence}
	}
	for name, c := range map[string]struct {
		marks []want
		found []diag.Finding
		tells []string
	}{
		"all met":            {[]want{mark("a", "m", 0)}, []diag.Finding{found("a", "the m", 0)}, nil},
		"evidence met":       {[]want{mark("a", "m", 0, "key")}, []diag.Finding{found("a", "m", 0)}, nil},
		"evidence missing":   {[]want{mark("a", "m", 0, "lock")}, []diag.Finding{found("a", "m", 0)}, []string{`lacks "lock"`}},
		"not found":          {[]want{mark("a", "m", 0)}, nil, []string{`f:1: not found: a "m"`}},
		"other line":         {[]want{mark("a", "m", 0)}, []diag.Finding{found("a", "m", 1)}, []string{"not found", "not expected"}},
		"other rule":         {[]want{mark("a", "m", 0)}, []diag.Finding{found("b", "m", 0)}, []string{"not found", "not expected"}},
		"other message":      {[]want{mark("a", "m", 0)}, []diag.Finding{found("a", "n", 0)}, []string{"not found", "not expected"}},
		"one mark, two":      {[]want{mark("a", "m", 0)}, []diag.Finding{found("a", "m", 0), found("a", "m", 0)}, []string{"not expected"}},
		"two marks, one":     {[]want{mark("a", "m", 0), mark("a", "m", 0)}, []diag.Finding{found("a", "m", 0)}, []string{"not found"}},
		"not expected":       {nil, []diag.Finding{found("a", "m", 1)}, []string{"not expected: f:2:1"}},
		"the better one":     {[]want{mark("a", "m", 0, "key"), mark("a", "m", 0)}, []diag.Finding{found("a", "m", 0), found("a", "m", 0)}, nil},
		"nothing is nothing": {nil, nil, nil},
	} {
		got := compare("f", c.marks, c.found)
		require.Len(t, got, len(c.tells), "%s: %v", name, got)
		for i, w := range c.tells {
			assert.Contains(t, got[i], w, name)
		}
	}
}

// want is short for a mark.
type want = rule.Mark

func TestIllSaid(t *testing.T) {
	file := source.NewFile("f", "one\n")
	well := diag.Finding{Message: "m", Why: "w", Help: "do it", Place: diag.Place{File: file}}
	assert.Empty(t, illSaid(well))
	for want, change := range map[string]func(*diag.Finding){
		"one line":     func(f *diag.Finding) { f.Message = "A stop." },
		"help":         func(f *diag.Finding) { f.Help = "Do it." },
		"why":          func(f *diag.Finding) { f.Why = "" },
		"has a place":  func(f *diag.Finding) { f.Place = diag.Place{} },
		"in its file":  func(f *diag.Finding) { f.End = 99 },
		"without a fu": func(f *diag.Finding) { f.Message = "two\nlines" },
	} {
		f := well
		change(&f)
		assert.Contains(t, illSaid(f), want)
	}
}

func TestApply(t *testing.T) {
	file := source.NewFile("f", "one two three")
	edit := func(start, end int, text string) diag.Edit {
		return diag.Edit{Place: diag.Place{File: file, Span: source.Span{Start: start, End: end}}, New: text}
	}
	other := diag.Edit{Place: diag.Place{File: source.NewFile("g", "")}, New: "x"}
	got, err := Apply(file.Text, "f", diag.Fix{Edits: []diag.Edit{edit(8, 13, "3"), edit(0, 3, "1"), edit(3, 3, "!"), other}})
	require.NoError(t, err)
	assert.Equal(t, "1! two 3", got)
	for _, wrong := range [][]diag.Edit{{edit(0, 5, ""), edit(4, 6, "")}, {edit(3, 99, "")}, {edit(5, 4, "")}} {
		_, err := Apply(file.Text, "f", diag.Fix{Edits: wrong})
		assert.Error(t, err)
	}
}
