package rule

import (
	"fmt"
	"strings"
)

// Card writes what the reference says of a rule, in Markdown, below a heading of the
// given level.
func (r Rule) Card(level int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s\n\n", strings.Repeat("#", level), r.Name)
	kind := r.Severity.String()
	if r.Quiet {
		kind += ", only when asked for"
	}
	if r.Fixable {
		kind += ", may come with a fix"
	}
	fmt.Fprintf(&b, "What it finds: %s (%s).\n\n", r.Summary, kind)
	fmt.Fprintf(&b, "Why it matters: %s.\n\n", r.Why)
	fmt.Fprintf(&b, "%s\n", strings.TrimSpace(r.Doc))
	if len(r.SuppressedBy) > 0 {
		fmt.Fprintf(&b, "\nSays nothing of what `%s` speaks of.\n", strings.Join(r.SuppressedBy, "` or `"))
	}
	if r.Source != "" {
		fmt.Fprintf(&b, "\nSource: %s.\n", strings.TrimSuffix(r.Source, "."))
	}
	return b.String()
}

// Page writes all that there is to tell of a rule: its card, and its first bad and
// good fixture as examples.
func (c *Catalogue) Page(name string) (string, error) {
	r, ok := c.Lookup(name)
	if !ok {
		return "", fmt.Errorf("no rule is called %q", name)
	}
	var b strings.Builder
	b.WriteString(r.Card(1))
	for _, kind := range []struct{ name, title string }{{"bad", "Found"}, {"good", "In order"}} {
		examples, err := c.Examples(name, kind.name)
		if err != nil {
			return "", err
		}
		for _, e := range examples[:min(1, len(examples))] {
			fmt.Fprintf(&b, "\n## %s\n\n```pintle\n%s\n```\n", kind.title, strings.TrimSpace(Unmarked(e.Text)))
		}
	}
	return b.String(), nil
}

// Reference writes the catalogue in Markdown: a table of each group, and a card of
// each rule.
func (c *Catalogue) Reference() string {
	var b strings.Builder
	for _, g := range c.groups {
		fmt.Fprintf(&b, "## %s\n\n| rule | severity | finds |\n|---|---|---|\n", g.Title)
		for _, r := range g.Rules {
			fmt.Fprintf(&b, "| [%s](#%s) | %s | %s |\n", r.Name, r.Name, r.Severity, r.Summary)
		}
		b.WriteByte('\n')
		for _, r := range g.Rules {
			b.WriteString(r.Card(3))
			b.WriteByte('\n')
		}
	}
	return b.String()
}
