package rules_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/checktest/golden"
	"pintle/checker/rules"
	"pintle/checker/run/settings"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

const (
	readme = "../README.md"
	mark   = "<!-- What follows is written by `go test ./checker/rules -update`. -->\n\n"
)

// The catalogue takes every rule: each has a name, a reason, a page and fixtures.
func TestCatalogueIsComplete(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	require.NotEmpty(t, c.Rules())
}

func TestReferenceIsUpToDate(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	preface, _, ok := strings.Cut(string(text), mark)
	require.True(t, ok, "%s has lost the mark of what is generated", readme)
	golden.Check(t, readme, preface+mark+strings.TrimRight(c.Reference(), "\n")+"\n")
}

// No rule has anything to say of the good fixtures of any other.
func TestGoodFixturesAreClean(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	checktest.Clean(t, c)
}

// The settings that the reference shows can be used, and show the true defaults.
func TestSettingsInTheReference(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	blocks := codeBlocks(string(text), "toml")
	require.Len(t, blocks, 1)
	s, err := settings.Parse(readme, blocks[0], c.Names())
	require.NoError(t, err)
	assert.Equal(t, settings.DefaultLimits(), s.Limits)
}

// Every example in the reference and in the pages can be read.
func TestExamplesCanBeRead(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	blocks := codeBlocks(string(text), "pintle")
	require.NotEmpty(t, blocks)
	for _, b := range blocks {
		f := syntax.Parse(source.NewFile("example", b), nil)
		assert.Empty(t, f.Findings, b)
	}
	for _, name := range c.Names() {
		page, err := c.Page(name)
		require.NoError(t, err)
		assert.NotEmpty(t, codeBlocks(page, "pintle"), "the page of %s shows its fixtures", name)
	}
}

// codeBlocks returns the fenced blocks of a language in a text in Markdown.
func codeBlocks(text, language string) []string {
	var out []string
	for {
		_, after, ok := strings.Cut(text, "```"+language+"\n")
		if !ok {
			return out
		}
		block, rest, ok := strings.Cut(after, "```")
		if !ok {
			return out
		}
		out = append(out, block)
		text = rest
	}
}
