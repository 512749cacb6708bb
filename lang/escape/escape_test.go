package escape_test

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/escape"
)

// Hostile texts: what steers a terminal (ECMA-48: C0, DEL, C1), what turns lines around
// (Unicode Standard Annex 9: U+202A to U+202E, U+2066 to U+2069), and what Markdown, HTML and
// SARIF make something of.
var hostile = []string{
	"", "plain", "\x1b[2J\x1b]0;x\a", "\u009b31m", "\x7f", "\r\n", "a\tb\nc", "\u202egnp.x", "\u2066\u2069", "\u200e\u200b\ufeff\u00ad", "\u2028\u2029", "\xff\xfe\x80",
	"![x](https://tracker.invalid/p.png)", "[run](command:quit)", "<img src=x onerror=alert(1)>", "https://tracker.invalid", "www.tracker.invalid", "a@tracker.invalid",
	"`![x](y)``", "``x` [a](b)", "```\n![x](y)\n```", "~~~", "# h", "- i", "1. i", "a\n---", "a\n===", "| a |\n|---|", "[a]: https://x.invalid", "&lt;b&gt; &#91;", "    code", "\t![x](y)",
	"`a`[b](c)`d`", "\\[x](y)", "\\`x`", "$(flame)", "{0} [here](1)", "{{0}}", "🔧 \U000e0041", "a\x00b", "]]>", "<!--", "\u200d",
}

// inert demands that nothing in a shown text steers anything.
func inert(t *testing.T, shown string) {
	t.Helper()
	require.True(t, utf8.ValidString(shown), "%q", shown)
	for _, r := range shown {
		if r == '\n' || r == '\t' || r == '\u200d' {
			continue
		}
		require.False(t, unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp), "%U in %q", r, shown)
	}
}

func TestNothingSteers(t *testing.T) {
	for _, s := range hostile {
		for name, f := range map[string]func(string) string{
			"line": escape.Line, "lines": escape.Lines, "path": escape.Path, "sarif": escape.SARIF, "markdown": escape.Markdown,
			"code": escape.Code, "fence": func(s string) string { return escape.Fence("pintle", s) },
		} {
			t.Run(name, func(t *testing.T) {
				shown := f(s)
				inert(t, shown)
				if name == "line" || name == "path" || name == "code" {
					assert.NotContains(t, shown, "\n")
				}
			})
		}
	}
	assert.Equal(t, "a bandγ 🔧", escape.Line("a band\u03b3 🔧"), "what is harmless stays")
}

// live is what Markdown would make something of, in a text out of which escaped characters
// and code have been taken.
var live = regexp.MustCompile(`[\[\]<>|*_~@]|://|(?i:www\.)|(?m:^\s*(?:#|[-+] |\d+\. |(?:-+|=+)\s*$|\t|    ))`)

func TestMarkdownIsInert(t *testing.T) {
	for _, s := range hostile {
		m := escape.Markdown(s)
		assert.NotRegexp(t, live, withoutCode(t, m), "%q becomes %q", s, m)
	}
	for text, want := range map[string]string{
		"the `K1.main` of it":   "the `K1.main` of it",
		"99.4 mph, 0.5 mm2":     "99.4 mph, 0.5 mm2",
		"-5 V to +3 V":          "-5 V to +3 V",
		"``a`b``":               "``a`b``",
		"a_b * c":               `a\_b \* c`,
		"3. the third":          `3\. the third`,
		"`![x](https://y.z)``":  "\\`!\\[x\\](https\\://y.z)\\`\\`",
		"see https://x.invalid": `see https\://x.invalid`,
	} {
		assert.Equal(t, want, escape.Markdown(text))
	}
}

// withoutCode puts a c in the place of each span of code in a line, as CommonMark 0.31, section 6.1 reads them:
// a run of backticks up to the next run of the same length; one behind a backslash opens none.
func withoutCode(t *testing.T, s string) string {
	t.Helper()
	var b strings.Builder
	for i := 0; i < len(s); {
		switch {
		case s[i] == '\\' && i+1 < len(s):
			b.WriteByte('x') // plain, whatever it is
			i += 2
		case s[i] == '`':
			n := 1
			for i+n < len(s) && s[i+n] == '`' {
				n++
			}
			end := regexp.MustCompile("(?:^|[^`])(`{" + strconv.Itoa(n) + "})(?:[^`]|$)").FindStringSubmatchIndex(s[i+n:])
			require.NotNil(t, end, "an open run in %q", s)
			b.WriteByte('c')
			i += n + end[3]
		default:
			b.WriteByte(s[i])
			i++
		}
	}
	return b.String()
}

func TestCodeAndFencesHold(t *testing.T) {
	for _, s := range hostile {
		if c := escape.Code(s); strings.TrimSpace(s) != "" && strings.TrimSpace(c) != "" {
			assert.Equal(t, "c", withoutCode(t, c), "%q", c)
		}
		fenced := strings.Split(escape.Fence("pintle", s), "\n")
		fence := strings.TrimRight(fenced[0], "pintle")
		assert.Equal(t, fence, fenced[len(fenced)-1])
		for _, line := range fenced[1 : len(fenced)-1] {
			assert.NotContains(t, line, fence)
		}
	}
}

// A document means the same afterwards, as RFC 8259 reads it.
func TestJSONMeansTheSame(t *testing.T) {
	for _, s := range hostile {
		var doc bytes.Buffer
		enc := json.NewEncoder(&doc)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		require.NoError(t, enc.Encode(map[string]string{s: s}))
		safe := escape.JSON(doc.Bytes())
		inert(t, string(safe))
		var was, is map[string]string
		require.NoError(t, json.Unmarshal(doc.Bytes(), &was))
		require.NoError(t, json.Unmarshal(safe, &is))
		assert.Equal(t, was, is)
	}
}

// SARIF 2.1.0, sections 3.11.5 and 3.11.6.
func TestSARIFTextIsPlain(t *testing.T) {
	for text, want := range map[string]string{
		"{0} of {x}":      "{{0}} of {x}",
		"[here](1)":       `\[here\](1)`,
		"a [b] c":         "a [b] c",
		"fit K1: { a }":   "fit K1: { a }",
		"{12}{3} [x](y) ": `{{12}}{{3}} \[x\](y) `,
	} {
		assert.Equal(t, want, escape.SARIF(text))
	}
}

func TestPathsCanBeTakenApart(t *testing.T) {
	for path, want := range map[string]string{
		"a/b.pintle":                  "a/b.pintle",
		"C:/dir/b c.pintle":           "C:/dir/b c.pintle",
		"a:b.pintle":                  "a:b.pintle",
		"x:1:2: error: no (y).pintle": "x%3A1%3A2%3A error%3A no (y).pintle",
		"100%.pintle":                 "100%.pintle",
		"%3A.pintle":                  "%253A.pintle",
		"a\nb\x1b.pintle":             "a%0Ab%1B.pintle",
		"\u202egnp.pintle":            "%E2%80%AEgnp.pintle",
		"größe.pintle":                "größe.pintle",
		"\xff.pintle":                 "%FF.pintle",
	} {
		assert.Equal(t, want, escape.Path(path))
	}
}

// A stream is made safe whatever the pieces that it is written in.
func TestWriterInPieces(t *testing.T) {
	text := "a\u009bb\u202ec\x1b[31m größe 🔧\xff\n\te"
	for size := 1; size < 6; size++ {
		var out bytes.Buffer
		w := escape.Writer(&out)
		for rest := []byte(text); len(rest) > 0; rest = rest[min(size, len(rest)):] {
			n, err := w.Write(rest[:min(size, len(rest))])
			require.NoError(t, err)
			require.Equal(t, min(size, len(rest)), n)
		}
		assert.Equal(t, escape.Lines(text), out.String(), "in pieces of %d", size)
	}
}

func FuzzNamesIntoEverySink(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, shown := range []string{escape.Line(s), escape.Lines(s), escape.Path(s), escape.SARIF(s), escape.Markdown(s), escape.Code(s), escape.Fence("text", s)} {
			inert(t, shown)
		}
		for line := range strings.SplitSeq(escape.Markdown(s), "\n") {
			require.NotRegexp(t, live, withoutCode(t, line), "%q", line)
		}
		doc, err := json.Marshal(s)
		require.NoError(t, err)
		var was, is string
		require.NoError(t, json.Unmarshal(doc, &was))
		require.NoError(t, json.Unmarshal(escape.JSON(doc), &is))
		require.Equal(t, was, is)
	})
}
