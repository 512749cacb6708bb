package run

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/run/accept"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// checkDesigns lets rules look at designs that nobody had to write down.
func checkDesigns(t *testing.T, change func(*FileRequest), rules []rule.Rule, designs ...*model.Design) *FileResult {
	t.Helper()
	root := syntax.Parse(source.NewFile("root.pintle", "# the first line\n# the second\n"), nil)
	for _, d := range designs {
		d.File, d.Ground = root.Src, model.None
	}
	req := FileRequest{
		Plan:     Plan{Catalogue: catalogue(t, rules...), Today: time.Date(2026, 6, 30, 0, 0, 0, 0, time.UTC)},
		Root:     root,
		Settings: settings.Default(),
		Read:     &elaborate.Result{Designs: designs, Files: []*syntax.File{root}},
	}
	if change != nil {
		change(&req)
	}
	return File(t.Context(), req)
}

func told(r *FileResult) []string {
	out := []string{}
	for _, f := range r.Findings {
		s := f.Rule + ": " + f.Message
		if f.Where != "" {
			s += " (" + f.Where + ")"
		}
		if f.Waived != nil {
			s += " accepted"
		}
		out = append(out, s)
	}
	return out
}

// lampDead finds a lamp dead in the designs whose title says so.
func lampDead(everywhere bool) rule.Rule {
	return rule.Rule{Name: "no-feed", Everywhere: everywhere, Needs: rule.Circuit, Run: func(p *rule.Pass) {
		if p.Design.Title == "dead" {
			p.Report(diag.Finding{Message: "lamp is dead", Subject: "lamp", Place: start(p)})
		} else {
			p.Clear("lamp")
		}
	}}
}

func TestCombinationsAnswerForEachOther(t *testing.T) {
	left := func() *model.Design { return &model.Design{Name: "steering left", Title: "dead"} }
	right := func(title string) *model.Design { return &model.Design{Name: "steering right", Title: title} }
	bench := func(title string) *model.Design {
		return &model.Design{Name: "bench Lamp.glows", Title: title, Bench: true}
	}
	for name, c := range map[string]struct {
		everywhere bool
		designs    []*model.Design
		want       []string
	}{
		"in one of two":                    {false, []*model.Design{left(), right("")}, []string{"no-feed: lamp is dead (steering left)"}},
		"in both":                          {false, []*model.Design{left(), right("dead")}, []string{"no-feed: lamp is dead"}},
		"everywhere, but cleared in one":   {true, []*model.Design{left(), right("")}, []string{}},
		"cleared in the first":             {true, []*model.Design{right(""), left()}, []string{}},
		"everywhere indeed":                {true, []*model.Design{left(), right("dead")}, []string{"no-feed: lamp is dead"}},
		"a bench clears nothing":           {true, []*model.Design{left(), right("dead"), bench("")}, []string{"no-feed: lamp is dead"}},
		"nothing clears a bench":           {true, []*model.Design{right(""), bench("dead")}, []string{"no-feed: lamp is dead (bench Lamp.glows)"}},
		"the bench of a file without more": {true, []*model.Design{bench("dead")}, []string{"no-feed: lamp is dead (bench Lamp.glows)"}},
	} {
		assert.Equal(t, c.want, told(checkDesigns(t, nil, []rule.Rule{lampDead(c.everywhere)}, c.designs...)), name)
	}
}

// A finding in a file that this one uses says where it was seen; two roots that see it
// make one finding that names both.
func TestFindingsInUsedFilesNameTheRoot(t *testing.T) {
	lib := source.NewFile("parts.pintle", "part Bulb {\n}\n")
	in := rule.Rule{Name: "no-feed", Needs: rule.Design, Run: func(p *rule.Pass) {
		p.Report(diag.Finding{Message: "m", Subject: "L1.bulb", Place: diag.Place{File: lib}})
	}}
	r := checkDesigns(t, nil, []rule.Rule{in}, &model.Design{Name: "steering left"}, &model.Design{Name: "steering right"})
	assert.Equal(t, []string{"no-feed: m (in root.pintle)"}, told(r))
	r = checkDesigns(t, nil, []rule.Rule{in}, &model.Design{})
	other := r.Findings[0]
	other.Where = "in other.pintle"
	both := mergeRoots([]diag.Finding{r.Findings[0], other})
	require.Len(t, both, 1)
	assert.Equal(t, "in other.pintle; in root.pintle", both[0].Where)
}

func TestAcceptances(t *testing.T) {
	at := func(r *FileRequest, d *model.Design, rule, until string) {
		d.Acceptances = append(d.Acceptances, model.Acceptance{
			Rule: rule, On: "lamp", Reason: "shop-made", Until: until,
			Place: diag.Place{File: r.Root.Src, Span: source.Span{Start: len(d.Acceptances), End: 5}},
		})
	}
	dead := &model.Design{Title: "dead"}
	rules := []rule.Rule{lampDead(false), says("sneak-path", "n"), {Name: accept.Unused, Needs: rule.Judging, Severity: diag.Warning}, {Name: accept.Lapsed, Needs: rule.Judging}}
	r := checkDesigns(t, func(r *FileRequest) {
		at(r, dead, "no-feed", "")
		at(r, dead, "sneak-path", "")
		at(r, dead, "no-feed", "2026-01-01")
		at(r, dead, "no-fed", "")
	}, rules, dead)
	assert.Equal(t, []string{
		"no-feed: lamp is dead accepted",
		"sneak-path: n",
		"acceptance-unused: nothing is left to accept: there is no sneak-path on lamp",
		"acceptance-lapsed: the acceptance of no-feed on lamp ended on 2026-01-01",
		`undefined-name: no rule is called "no-fed"; the nearest is "no-feed"`,
	}, told(r))

	// A rule that did not run leaves its acceptance alone, and so does a partial look.
	dead = &model.Design{Title: "dead"}
	r = checkDesigns(t, func(r *FileRequest) { at(r, dead, "sneak-path", ""); r.Only = []string{"no-feed"} }, rules, dead)
	assert.Equal(t, []string{"no-feed: lamp is dead"}, told(r))
	dead = &model.Design{Title: "dead"}
	r = checkDesigns(t, func(r *FileRequest) { at(r, dead, "sneak-path", ""); r.Upto = rule.Names }, rules, dead)
	assert.Empty(t, told(r))
}

func TestWhatCameUpWhileReadingIsKept(t *testing.T) {
	root := syntax.Parse(source.NewFile("root.pintle", "foo bar\n"), nil)
	require.NotEmpty(t, root.Findings)
	r := checkDesigns(t, func(r *FileRequest) {
		r.Root, r.Read.Files = root, []*syntax.File{root}
		r.Read.Findings = []diag.Finding{{Rule: "import-missing", Message: "gone", Place: diag.Place{File: root.Src}}}
		r.Only = []string{"no-feed"}
	}, []rule.Rule{lampDead(false)}, &model.Design{})
	assert.Len(t, r.Findings, len(root.Findings)+1, "whatever rules were asked for")
	for _, f := range r.Findings {
		assert.Equal(t, diag.Error, f.Severity)
	}
}

func TestSummaryCounts(t *testing.T) {
	assumed := []model.AssumedValue{{Path: "W1", What: "length of W1"}, {Path: "W1", What: "cross-section of W1"}}
	r := checkDesigns(t, nil, []rule.Rule{says("no-feed", "m")},
		&model.Design{Name: "a 1", Assumed: assumed}, &model.Design{Name: "a 2", Assumed: assumed}, &model.Design{Name: "bench P.b", Bench: true})
	assert.Equal(t, Summary{Files: 1, Designs: 3, Benches: 1, Assumed: 2}, r.Summary)
}

// Claims and states are counted of what rules asked for, and only of that.
func TestTally(t *testing.T) {
	design := func() *model.Design {
		return &model.Design{
			Settings: []model.Setting{{Info: model.Info{Path: "key"}, Positions: []string{"off", "run"}}},
			Requirements: []model.Requirement{
				{Form: model.Never, A: model.False},
				{Form: model.Always, A: model.False},
				{Form: model.Never, A: model.False, Despite: true},
			},
		}
	}
	asks := rule.Rule{Name: "requirement-violated", Needs: rule.States, Run: func(p *rule.Pass) {
		for i := range p.Design.Requirements {
			p.Verdict(i)
		}
	}}
	r := checkDesigns(t, nil, []rule.Rule{asks}, design())
	require.Empty(t, r.Failures, fmt.Sprint(r.Failures))
	assert.Equal(t, Claims{Proved: 1, Failed: 1, Undecided: 1}, r.Summary.Claims)
	assert.Equal(t, "2", r.Summary.States.String())

	r = checkDesigns(t, nil, []rule.Rule{says("no-feed", "m")}, design())
	assert.Zero(t, r.Summary.Claims)
	assert.Nil(t, r.Summary.States)
}

// What a rule says of a subject is left out where another, to which it yields, tells the
// cause; of another subject, or in another design, it stands.
func TestSuppressedBy(t *testing.T) {
	say := func(name string, yields []string, subjects ...string) rule.Rule {
		return rule.Rule{Name: name, SuppressedBy: yields, Needs: rule.Design, Run: func(p *rule.Pass) {
			for _, s := range subjects {
				if p.Design.Title != "well fed" || name != "no-feed" {
					p.Report(diag.Finding{Message: s, Subject: s, Place: start(p)})
				}
			}
		}}
	}
	rules := []rule.Rule{say("dark", []string{"no-feed"}, "lamp", "horn", ""), say("no-feed", nil, "lamp", "")}
	assert.Equal(t, []string{"dark: ", "dark: horn", "no-feed: ", "no-feed: lamp"}, told(checkDesigns(t, nil, rules, &model.Design{})))
	got := told(checkDesigns(t, nil, rules, &model.Design{Name: "a"}, &model.Design{Name: "b", Title: "well fed"}))
	assert.Contains(t, got, "dark: lamp (b)")
	assert.NotContains(t, got, "dark: lamp (a)")
	off := checkDesigns(t, func(r *FileRequest) {
		r.Settings = &settings.Settings{Rules: map[string]diag.Severity{"no-feed": diag.Off}}
	}, rules, &model.Design{})
	assert.Contains(t, told(off), "dark: lamp", "a cause that nobody wants to hear of hides nothing")
}
