package syntax_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/syntax/syntaxtest"
)

// dump is everything that a parse says, with every place.
func dump(f *syntax.File) string {
	var b strings.Builder
	b.WriteString(syntaxtest.Dump(f, true))
	for _, d := range f.Findings {
		b.WriteString(strings.Join([]string{d.Rule, d.Message, d.Help}, "|"))
		for _, fix := range d.Fixes {
			for _, e := range fix.Edits {
				b.WriteString(e.New)
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// pieces are what texts change by in an editor, and what hurts parsers.
var pieces = []string{
	"", " ", "\n", "\r\n", "\r", "\t", ",", ":", "(", ")", "{", "}", "\"", "#", "##", "-", "+-", "±", "->", "1", "12V", "85 Ω", "°C",
	"and", " or ", "wire W9: a to b, red\n", "fit x: {\n", "    pin 1, 2\n", "}\n", "when ", "is any of a, b", "\ufeff", "\x00", "\xff", "𝛀", "🚗", "ä",
	"row a: otherwise\n", "result r {\n", "title \"half", "step: set key run, ", "only when side is left {", "K1.87a", ".", "/", "%", "black/yellow",
}

// What is parsed by reuse of an earlier version is what is parsed from scratch, whatever
// the edits; and reading an old version again afterwards gives what it always gave.
func TestIncrementalIsFromScratch(t *testing.T) {
	designs := syntaxtest.Designs(t)
	var texts []string
	for _, text := range designs {
		texts = append(texts, text)
	}
	texts = append(texts, "", "ground g\n", "a\rb\nc")
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "design")
		prev := syntax.Parse(source.NewFile("t.pintle", text), nil)
		before := dump(prev)
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			start := rapid.IntRange(0, len(text)).Draw(t, "at")
			end := min(start+rapid.SampledFrom([]int{0, 0, 1, 2, 7, 40}).Draw(t, "less"), len(text))
			if rapid.Bool().Draw(t, "whole letters") {
				for start > 0 && start < len(text) && !utf8.RuneStart(text[start]) {
					start--
				}
			}
			text = text[:start] + rapid.SampledFrom(pieces).Draw(t, "piece") + text[end:]
			src := source.NewFile("t.pintle", text)
			f := syntax.Parse(src, prev)
			if d := cmp.Diff(dump(syntax.Parse(src, nil)), dump(f)); d != "" {
				t.Fatalf("in %q: %s", text, d)
			}
			if after := dump(prev); after != before {
				t.Fatalf("the earlier tree changed: %s", cmp.Diff(before, after))
			}
			prev, before = f, dump(f)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range syntaxtest.Pieces(f) {
		f.Add(text, len(text)/2, "x")
	}
	for _, p := range pieces {
		f.Add(p+"fit x: {\n pin 1\n"+p, 3, p)
	}
	f.Add("-{", 1, "-") // with one more dash the brace would be part of a comment
	f.Fuzz(func(t *testing.T, text string, at int, piece string) {
		if len(text)+len(piece) > syntaxtest.MostFuzzed {
			return
		}
		file := parse(text)
		checkSound(t, file)
		if at < 0 || at > len(text) {
			return
		}
		src := source.NewFile("t.pintle", text[:at]+piece+text[at:])
		again := syntax.Parse(src, file)
		checkSound(t, again)
		if a, b := dump(syntax.Parse(src, nil)), dump(again); a != b {
			t.Fatal(cmp.Diff(a, b))
		}
	})
}
