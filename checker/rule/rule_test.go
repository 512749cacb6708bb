package rule

import (
	"context"
	"errors"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func sound() Rule {
	return Rule{
		Name: "no-feed", Severity: diag.Error, Summary: "a load that nothing feeds", Why: "it never runs",
		Doc: "Tells more.\n", Source: "a handbook", Needs: Circuit, Run: func(*Pass) {},
	}
}

func group(rules ...Rule) Group {
	return Group{Name: "circuits", Title: "Circuits", Rules: rules, Fixtures: fstest.MapFS{
		"no-feed/good.pintle":       {Data: []byte("ground block\n")},
		"no-feed/bad.pintle":        {Data: []byte("# Nothing feeds it.\nload lamp: 1 to 2 # want: no-feed \"lamp\"\n# want above: no-feed \"x\"\n")},
		"no-feed/bad-again.pintle":  {},
		"undecided/good.pintle":     {},
		"undecided/bad.pintle":      {},
		"no-fixture/good.pintle":    {},
		"no-fixture/notbad.pintle":  {},
		"no-fixture/bad.pintle.txt": {},
	}}
}

func TestCatalogue(t *testing.T) {
	reading := sound()
	reading.Name, reading.Needs, reading.Run = "undecided", Reading, nil
	c, err := NewCatalogue(group(sound(), reading))
	require.NoError(t, err)
	assert.Equal(t, []string{"no-feed", "undecided"}, c.Names())
	r, ok := c.Lookup("no-feed")
	assert.True(t, ok)
	assert.Equal(t, "circuits", r.Group)
	_, ok = c.Lookup("gone")
	assert.False(t, ok)
	bad, err := c.Examples("no-feed", "bad")
	require.NoError(t, err)
	assert.Len(t, bad, 2)
	_, err = c.Examples("gone", "bad")
	assert.Error(t, err)
}

func TestCatalogueRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Rule)
		want   string
	}{
		"a name that is no slug":       {func(r *Rule) { r.Name = "No feed" }, "lower-case words"},
		"no severity":                  {func(r *Rule) { r.Severity = diag.Off }, "severity"},
		"no summary":                   {func(r *Rule) { r.Summary = "" }, "summary"},
		"a summary with a stop":        {func(r *Rule) { r.Summary = "A load." }, "summary"},
		"no reason":                    {func(r *Rule) { r.Why = "" }, "reason"},
		"no page":                      {func(r *Rule) { r.Doc = " \n" }, "page"},
		"no function":                  {func(r *Rule) { r.Run = nil }, "Run"},
		"a function that nobody calls": {func(r *Rule) { r.Needs = Reading }, "Run"},
		"no bad fixture":               {func(r *Rule) { r.Name = "no-fixture" }, "it needs a bad fixture"},
		"no good fixture":              {func(r *Rule) { r.Name = "nothing" }, "it needs a good fixture"},
		"everywhere in a file's names": {func(r *Rule) { r.Needs, r.Everywhere = Names, true }, "Everywhere"},
	} {
		r := sound()
		c.change(&r)
		_, err := NewCatalogue(group(r))
		assert.ErrorContains(t, err, c.want, name)
	}
	_, err := NewCatalogue(group(sound(), sound()))
	assert.ErrorContains(t, err, "the name is taken")
	_, err = NewCatalogue(Group{Name: "x", Rules: []Rule{sound()}})
	assert.ErrorContains(t, err, "fixture")
}

func TestPage(t *testing.T) {
	c, err := NewCatalogue(group(sound()))
	require.NoError(t, err)
	page, err := c.Page("no-feed")
	require.NoError(t, err)
	assert.Equal(t, `# no-feed

What it finds: a load that nothing feeds (error).

Why it matters: it never runs.

Tells more.

Source: a handbook.

## Found

`+"```pintle\n# Nothing feeds it.\nload lamp: 1 to 2\n```"+`

## In order

`+"```pintle\nground block\n```\n", page)
	_, err = c.Page("gone")
	assert.Error(t, err)
	assert.Contains(t, c.Reference(), "| [no-feed](#no-feed) | error | a load that nothing feeds |")
}

func TestMarks(t *testing.T) {
	got, err := Marks(`title "x" # want: no-feed "a", sneak-path "b \"c\""
wire W1: a to b # a comment # want: no-feed "d" # want evidence: "e" "f"

# want above: syntax "g"
node n # want: a, b
`)
	require.NoError(t, err)
	assert.Equal(t, []Mark{
		{Line: 0, Rule: "no-feed", Message: "a"},
		{Line: 0, Rule: "sneak-path", Message: `b "c"`},
		{Line: 1, Rule: "no-feed", Message: "d", Evidence: []string{"e", "f"}},
		{Line: 2, Rule: "syntax", Message: "g"},
		{Line: 4, Rule: "a"},
		{Line: 4, Rule: "b"},
	}, got)
	for _, wrong := range []string{
		`# want: "a"`, `# want:`, `# want evidence: "a"`, `# want: no-feed "a" !`, `# want: a # want evidence: b`, `# want help: "a"`, `# want below: no-feed "a"`,
	} {
		_, err := Marks(wrong)
		assert.Error(t, err, wrong)
	}
	none, err := Marks("# I want a wire: this one\nwire W1: a to b\n")
	require.NoError(t, err)
	assert.Empty(t, none)
}

func TestUnmarked(t *testing.T) {
	assert.Equal(t, "wire W1: a to b # red\n\nnode n\n", Unmarked("wire W1: a to b # red # want: x \"y\"\n# want above: x \"y\"\n\nnode n\n"))
}

// took collects what a rule says.
type took struct {
	found   []diag.Finding
	cleared []string
}

func (t *took) Report(f diag.Finding)      { t.found = append(t.found, f) }
func (t *took) Clear(rule, subject string) { t.cleared = append(t.cleared, rule+" "+subject) }

func runOne(t *testing.T, ctx context.Context, run func(*Pass)) *took {
	t.Helper()
	r := sound()
	r.Run = run
	var sink took
	p := &Pass{Ctx: ctx, Root: &syntax.File{Src: source.NewFile("a.pintle", "")}, Design: &model.Design{Name: "steering left", Ground: model.None}}
	p.Run(&r, &sink)
	return &sink
}

func TestReportFillsIn(t *testing.T) {
	got := runOne(t, t.Context(), func(p *Pass) {
		p.Report(diag.Finding{Message: "m"})
		p.Report(diag.Finding{Message: "n", Rule: "other", Severity: diag.Note, Why: "why", Where: "here"})
		p.Reportf(&model.Info{Path: "K1.lamp"}, "%s has no feed", "K1.lamp")
		p.Clear("K2")
	})
	assert.Equal(t, []diag.Finding{
		{Rule: "no-feed", Severity: diag.Error, Message: "m", Why: "it never runs", Where: "steering left", Design: "steering left"},
		{Rule: "no-feed", Severity: diag.Note, Message: "n", Why: "why", Where: "here", Design: "steering left"},
		{Rule: "no-feed", Severity: diag.Error, Message: "K1.lamp has no feed", Why: "it never runs", Where: "steering left", Subject: "K1.lamp", Design: "steering left"},
	}, got.found)
	assert.Equal(t, []string{"no-feed K2"}, got.cleared)
}

func TestUndecidedIsSaidOnce(t *testing.T) {
	got := runOne(t, t.Context(), func(p *Pass) {
		p.Undecided(diag.Place{}, "K1", "too large")
		p.Undecided(diag.Place{}, "K1", "too large")
		p.Undecided(diag.Place{}, "", "too large")
	})
	require.Len(t, got.found, 2)
	assert.Equal(t, "no-feed can't be decided for K1: too large", got.found[0].Message)
	assert.Equal(t, Undecided, got.found[0].Rule)
	assert.Contains(t, got.found[1].Message, "for the design")
}

// An error of an engine ends the rule with a word about it; an end of the context ends
// it without; what was reported before stands; and real faults pass through.
func TestStopOn(t *testing.T) {
	got := runOne(t, t.Context(), func(p *Pass) {
		p.Reportf(&model.Info{Path: "a"}, "first")
		p.StopOn(nil)
		p.StopOn(errors.New("a resistance is negative"))
		p.Reportf(&model.Info{Path: "b"}, "never said")
	})
	require.Len(t, got.found, 2)
	assert.Equal(t, "first", got.found[0].Message)
	assert.Equal(t, "no-feed can't be decided for the design: a resistance is negative", got.found[1].Message)

	ctx, cancel := context.WithCancel(t.Context())
	got = runOne(t, ctx, func(p *Pass) { cancel(); p.StopOn(ctx.Err()) })
	assert.Empty(t, got.found)

	assert.PanicsWithValue(t, "boom", func() { runOne(t, t.Context(), func(*Pass) { panic("boom") }) })
}

// Engines are made once for a design, and asking the tally makes none.
func TestEnginesAreShared(t *testing.T) {
	runOne(t, t.Context(), func(p *Pass) {
		assert.Nil(t, p.Tally().System)
		assert.Same(t, p.Circuit(), p.Circuit())
		assert.Same(t, p.Fluid(), p.Fluid())
		s := p.System()
		assert.Same(t, s, p.System())
		assert.Same(t, p.Circuit(), s.Circuit())
		assert.Same(t, s, p.Tally().System)
		assert.Empty(t, p.Drives())
	})
}
