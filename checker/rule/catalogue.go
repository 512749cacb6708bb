package rule

import (
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"path"
	"regexp"
	"slices"
	"strings"

	"pintle/lang/diag"
)

// Group is a set of rules on one matter, as one package lists them.
type Group struct {
	// Name is the folder: "circuits".
	Name string
	// Title heads the group in the reference: "Circuits".
	Title string
	Rules []Rule
	// Fixtures holds a folder for each rule, named like it, with files good*.pintle
	// and bad*.pintle. Embed it: `//go:embed testdata` and fs.Sub(files, "testdata").
	Fixtures fs.FS
}

// Catalogue is the one list of rules from which the reference pages, completion,
// the settings and the outputs all draw.
type Catalogue struct {
	groups []Group
	rules  []Rule // in the order of groups
	byName map[string]int
}

var slug = regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)

// NewCatalogue collects groups of rules. It refuses, with one error for everything
// that is wrong, rules without a proper and unique name, summary, reason or page (Doc),
// without both a good and a bad fixture, or whose Run does not go with what they
// need. The catalogue can be used even so, for tests.
func NewCatalogue(groups ...Group) (*Catalogue, error) {
	c := &Catalogue{groups: slices.Clone(groups), byName: map[string]int{}}
	var wrong []error
	for gi, g := range c.groups {
		rules := slices.Clone(g.Rules)
		c.groups[gi].Rules = rules
		for i := range rules {
			r := &rules[i]
			r.Group = g.Name
			for complaint := range complaints(r, g.Fixtures) {
				wrong = append(wrong, fmt.Errorf("rule %s/%s: %s", g.Name, r.Name, complaint))
			}
			if _, ok := c.byName[r.Name]; ok {
				wrong = append(wrong, fmt.Errorf("rule %s/%s: the name is taken", g.Name, r.Name))
			}
			c.byName[r.Name] = len(c.rules)
			c.rules = append(c.rules, *r)
		}
	}
	return c, errors.Join(wrong...)
}

// complaints yields what is wrong with one rule.
func complaints(r *Rule, fixtures fs.FS) iter.Seq[string] {
	return func(yield func(string) bool) {
		sentence := func(s string) bool { return s != "" && s == strings.TrimSpace(s) && !strings.HasSuffix(s, ".") }
		for _, check := range []struct {
			ok    bool
			wrong string
		}{
			{slug.MatchString(r.Name), "the name must be lower-case words joined by hyphens"},
			{r.Severity >= diag.Note && r.Severity <= diag.Error, "it needs a severity"},
			{sentence(r.Summary), "it needs a summary, a sentence without its full stop"},
			{sentence(r.Why), "it needs a reason (Why), a sentence without its full stop"},
			{strings.TrimSpace(r.Doc) != "", "it needs a page (Doc)"},
			{int(r.Needs) < len(needNames), "it needs something that does not exist"},
			{r.Needs.HasRun() == (r.Run != nil), "Run must be set exactly if it needs more than reading or judging"},
			{!r.Everywhere || r.Needs > Names, "Everywhere is for rules that look at designs"},
			{hasFixture(fixtures, r.Name, "good"), "it needs a good fixture: testdata/" + r.Name + "/good*.pintle"},
			{hasFixture(fixtures, r.Name, "bad"), "it needs a bad fixture: testdata/" + r.Name + "/bad*.pintle"},
		} {
			if !check.ok && !yield(check.wrong) {
				return
			}
		}
	}
}

func hasFixture(fsys fs.FS, rule, kind string) bool {
	if fsys == nil {
		return false
	}
	names, err := fs.Glob(fsys, path.Join(rule, kind+"*.pintle"))
	return err == nil && len(names) > 0
}

// Groups in the order in which they were given.
func (c *Catalogue) Groups() []Group { return c.groups }

// Rules in the order of groups. The slice must not be changed.
func (c *Catalogue) Rules() []Rule { return c.rules }

// Lookup finds a rule by its name.
func (c *Catalogue) Lookup(name string) (Rule, bool) {
	i, ok := c.byName[name]
	if !ok {
		return Rule{}, false
	}
	return c.rules[i], true
}

// Names of all rules in alphabetical order.
func (c *Catalogue) Names() []string {
	names := make([]string, 0, len(c.rules))
	for _, r := range c.rules {
		names = append(names, r.Name)
	}
	slices.Sort(names)
	return names
}

// Examples returns the text of the fixtures of one kind ("good" or "bad") of a
// rule, by file name in order.
func (c *Catalogue) Examples(name, kind string) ([]Example, error) {
	r, ok := c.Lookup(name)
	if !ok {
		return nil, fmt.Errorf("no rule is called %s", name)
	}
	var fixtures fs.FS
	for _, g := range c.groups {
		if g.Name == r.Group {
			fixtures = g.Fixtures
		}
	}
	names, err := fs.Glob(fixtures, path.Join(name, kind+"*.pintle"))
	if err != nil {
		return nil, err
	}
	// By name without extension, so that bad comes before bad-again.
	slices.SortFunc(names, func(a, b string) int {
		return strings.Compare(strings.TrimSuffix(a, path.Ext(a)), strings.TrimSuffix(b, path.Ext(b)))
	})
	var out []Example
	for _, n := range names {
		text, err := fs.ReadFile(fixtures, n)
		if err != nil {
			return nil, err
		}
		out = append(out, Example{Name: n, Text: string(text)})
	}
	return out, nil
}

// Example is a fixture as text.
type Example struct{ Name, Text string }
