package run

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/run/files"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// catalogue makes a catalogue of made-up rules; what they lack is filled in.
func catalogue(t testing.TB, rules ...rule.Rule) *rule.Catalogue {
	t.Helper()
	fixtures := fstest.MapFS{}
	for i := range rules {
		r := &rules[i]
		if r.Severity == diag.Off {
			r.Severity = diag.Error
		}
		if r.Needs == rule.Reading && r.Run != nil {
			r.Needs = rule.Design
		}
		r.Summary, r.Why, r.Doc = "finds something", "it matters", "page"
		fixtures[r.Name+"/good.pintle"], fixtures[r.Name+"/bad.pintle"] = &fstest.MapFile{}, &fstest.MapFile{}
	}
	c, err := rule.NewCatalogue(rule.Group{Name: "made-up", Title: "Made up", Rules: rules, Fixtures: fixtures})
	require.NoError(t, err)
	return c
}

// says makes a rule that reports a message about each design.
func says(name, message string) rule.Rule {
	return rule.Rule{Name: name, Run: func(p *rule.Pass) {
		p.Report(diag.Finding{Message: message, Place: start(p)})
	}}
}

func start(p *rule.Pass) diag.Place {
	return diag.Place{File: p.Root.Src, Span: source.Span{Start: 0, End: 6}}
}

const plain = "ground block\n"

func check(t *testing.T, c *rule.Catalogue, files fstest.MapFS, change func(*Request), paths ...string) *Result {
	t.Helper()
	if len(paths) == 0 {
		paths = []string{"."}
	}
	req := Request{Plan: Plan{Catalogue: c}, Files: InFS(files), Paths: paths}
	if change != nil {
		change(&req)
	}
	r, err := Check(t.Context(), req)
	require.NoError(t, err)
	return r
}

func messages(r *Result) []string {
	out := []string{}
	for _, f := range r.Findings {
		name := ""
		if f.File != nil {
			name = f.File.Name
		}
		out = append(out, fmt.Sprintf("%s %s %s: %s", name, f.Severity, f.Rule, f.Message))
	}
	return out
}

func TestFindingsAreFilledIn(t *testing.T) {
	r := check(t, catalogue(t, says("no-feed", "m")), fstest.MapFS{"a.pintle": {Data: []byte(plain)}}, nil)
	assert.Equal(t, []string{"a.pintle error no-feed: m"}, messages(r))
	assert.Equal(t, "it matters", r.Findings[0].Why)
	assert.Equal(t, []string{"a.pintle"}, r.Files)
	assert.Equal(t, 1, r.Summary.Errors)
	assert.Equal(t, 1, r.Summary.Designs)
	assert.Equal(t, diag.Error, r.Worst())
}

func TestSettingsChangeSeverity(t *testing.T) {
	files := fstest.MapFS{
		"a.pintle":      {Data: []byte(plain)},
		"b/b.pintle":    {Data: []byte(plain)},
		"b/pintle.toml": {Data: []byte("[rules]\nno-feed = \"off\"\nsneak-path = \"note\"\n")},
	}
	r := check(t, catalogue(t, says("no-feed", "m"), says("sneak-path", "n")), files, nil)
	assert.Equal(t, []string{
		"a.pintle error no-feed: m", "a.pintle error sneak-path: n", "b/b.pintle note sneak-path: n",
	}, messages(r))
}

func TestOnlyAndQuiet(t *testing.T) {
	quiet := says("value-assumed", "q")
	quiet.Quiet = true
	c := catalogue(t, says("no-feed", "m"), quiet)
	files := fstest.MapFS{"a.pintle": {Data: []byte(plain)}}
	loud := []string{"a.pintle error no-feed: m"}
	asked := []string{"a.pintle error value-assumed: q"}
	assert.Equal(t, loud, messages(check(t, c, files, nil)))
	assert.Equal(t, append(loud, asked...), messages(check(t, c, files, func(r *Request) { r.Quiet = true })))
	assert.Equal(t, asked, messages(check(t, c, files, func(r *Request) { r.Only = []string{"value-assumed"} })))
	files["pintle.toml"] = &fstest.MapFile{Data: []byte("[rules]\nvalue-assumed = \"error\"\n")}
	assert.Equal(t, append(loud, asked...), messages(check(t, c, files, nil)))
}

// A fault of one rule on one file is reported, and costs nothing else.
func TestAPanicIsAFailureOfOneRuleOnOneFile(t *testing.T) {
	broken := rule.Rule{Name: "no-feed", Run: func(p *rule.Pass) {
		if p.Root.Src.Name == "b.pintle" {
			panic("boom")
		}
		p.Report(diag.Finding{Message: "m", Place: start(p)})
	}}
	r := check(t, catalogue(t, broken, says("sneak-path", "n")), fstest.MapFS{
		"a.pintle": {Data: []byte(plain)}, "b.pintle": {Data: []byte(plain)}, "c.pintle": {Data: []byte(plain)},
	}, nil)
	assert.Equal(t, []string{
		"a.pintle error no-feed: m", "a.pintle error sneak-path: n",
		"b.pintle error sneak-path: n",
		"c.pintle error no-feed: m", "c.pintle error sneak-path: n",
	}, messages(r))
	require.Len(t, r.Failures, 1)
	assert.Equal(t, "b.pintle: internal fault in rule no-feed: boom", r.Failures[0].String())
	assert.Contains(t, r.Failures[0].Stack, "run_test.go")
}

// What was worked out for one rule is there for the next, and a fault in it is not
// tried again.
func TestSharedWork(t *testing.T) {
	var computed atomic.Int32
	shared := rule.Share(func(p *rule.Pass) string { computed.Add(1); return "m" })
	faulty := rule.Share(func(p *rule.Pass) string { computed.Add(100); panic("boom") })
	use := func(name string, s *rule.Shared[string]) rule.Rule {
		return rule.Rule{Name: name, Run: func(p *rule.Pass) {
			p.Report(diag.Finding{Message: s.Of(p), Place: start(p)})
		}}
	}
	r := check(t, catalogue(t, use("a", shared), use("b", shared), use("c", faulty), use("d", faulty)),
		fstest.MapFS{"a.pintle": {Data: []byte(plain)}}, nil)
	assert.Len(t, r.Findings, 2)
	assert.Len(t, r.Failures, 2)
	assert.Equal(t, int32(101), computed.Load())
}

func TestUnreadableFilesDoNotStopTheRest(t *testing.T) {
	r := check(t, catalogue(t, says("no-feed", "m")), fstest.MapFS{"a.pintle": {Data: []byte(plain)}}, nil, "gone.pintle", "a.pintle")
	assert.Len(t, r.Findings, 1)
	require.Len(t, r.Failures, 1)
	assert.Equal(t, "gone.pintle: there is no such file", r.Failures[0].String())
}

func TestStandardInput(t *testing.T) {
	r := check(t, catalogue(t, says("no-feed", "m")), fstest.MapFS{}, func(r *Request) { r.Input = []byte(plain) }, "-")
	assert.Equal(t, []string{"- error no-feed: m"}, messages(r))
}

// Rules that look at a file as it is written run once for it, the others once for each
// design, cheap ones first.
func TestWhatRunsWhen(t *testing.T) {
	var order []string
	tell := func(name string, needs rule.Need) rule.Rule {
		return rule.Rule{Name: name, Needs: needs, Run: func(p *rule.Pass) {
			order = append(order, fmt.Sprintf("%s design=%t", name, p.Design != nil))
		}}
	}
	c := catalogue(t, tell("drives", rule.Drives), tell("states", rule.States), tell("circuit", rule.Circuit),
		tell("names", rule.Names), tell("design", rule.Design))
	check(t, c, fstest.MapFS{"a.pintle": {Data: []byte(plain)}}, nil)
	assert.Equal(t, []string{
		"names design=false", "design design=true", "circuit design=true", "states design=true", "drives design=true",
	}, order)
}

// The result does not depend on how many files are looked at at once.
func TestSameWhateverTheJobs(t *testing.T) {
	files := fstest.MapFS{}
	for i := range 50 {
		files[fmt.Sprintf("d%d/f%d.pintle", i%7, i)] = &fstest.MapFile{Data: []byte(plain)}
	}
	c := catalogue(t, says("no-feed", "m"), says("sneak-path", "n"))
	want := messages(check(t, c, files, func(r *Request) { r.Jobs = 1 }))
	assert.Len(t, want, 100)
	for _, jobs := range []int{2, 16} {
		assert.Equal(t, want, messages(check(t, c, files, func(r *Request) { r.Jobs = jobs })))
	}
}

func TestProgressAndStopping(t *testing.T) {
	files := fstest.MapFS{}
	for i := range 20 {
		files[fmt.Sprintf("f%d.pintle", i)] = &fstest.MapFile{Data: []byte(plain)}
	}
	last := 0
	check(t, catalogue(t, says("no-feed", "m")), files, func(r *Request) {
		r.Progress = func(done, all int) { assert.Equal(t, last+1, done); assert.Equal(t, 20, all); last = done }
	})
	assert.Equal(t, 20, last)

	ctx, cancel := context.WithCancel(t.Context())
	stopper := rule.Rule{Name: "no-feed", Run: func(*rule.Pass) { cancel() }}
	_, err := Check(ctx, Request{Plan: Plan{Catalogue: catalogue(t, stopper)}, Files: InFS(files), Paths: []string{"."}})
	assert.True(t, errors.Is(err, context.Canceled), "%v", err)
}

func TestParsedFilesAreSharedAndLetGo(t *testing.T) {
	big := strings.Repeat("# a comment line of a library\n", keptText/60) // half of what is kept
	texts := fstest.MapFS{"a.pintle": {Data: []byte(big)}, "b.pintle": {Data: []byte(big)}, "c.pintle": {Data: []byte(big)}}
	limits := files.CheckLimits()
	limits.Text, limits.Total = keptText, 2*keptText // more than a check reads of one file
	p := newParsed(InFS(texts), limits)
	used := func(name string) (*syntax.File, error) {
		return p.used(t.Context(), nil, name, files.IdentityOf(name, stat(t, texts, name)))
	}
	a1, err := used("a.pintle")
	require.NoError(t, err)
	a2, _ := p.root(t.Context(), Root{Name: "a.pintle", Identity: files.IdentityOf("a.pintle", stat(t, texts, "a.pintle"))})
	assert.Same(t, a1, a2, "a root that was used is not read again")
	_, _ = used("b.pintle")
	_, _ = used("c.pintle")
	a3, _ := used("a.pintle")
	assert.NotSame(t, a1, a3, "what was not used for longest makes room")
	assert.LessOrEqual(t, p.size, keptText)
	_, err = p.used(t.Context(), nil, "gone.pintle", files.Identity{})
	assert.Error(t, err)
}

func stat(t *testing.T, fsys fs.FS, name string) fs.FileInfo {
	t.Helper()
	info, err := fs.Stat(fsys, name)
	require.NoError(t, err)
	return info
}
