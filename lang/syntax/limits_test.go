package syntax_test

import (
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/syntax/syntaxtest"
)

func TestEmpty(t *testing.T) {
	for _, text := range []string{"", "\n", " \t\r\n", "\ufeff", "# only this", "\ufeff# only this\n"} {
		f := parse(text)
		checkSound(t, f)
		require.Empty(t, f.Findings)
		require.Empty(t, f.Stmts)
	}
}

func TestLineEndsAndByteOrderMark(t *testing.T) {
	const text = "setting key: off,\n    run\nground g\n"
	want := syntaxtest.Dump(parse(text), false)
	for _, end := range []string{"\r\n", "\r"} {
		for _, mark := range []string{"", "\ufeff"} {
			f := parse(mark + strings.ReplaceAll(text, "\n", end))
			require.Empty(t, f.Findings)
			require.Equal(t, want, syntaxtest.Dump(f, false))
		}
	}
}

func TestNoText(t *testing.T) {
	f := parse("ground g\n\x00\x01" + strings.Repeat("\x00}{", 1000))
	checkSound(t, f)
	require.Len(t, f.Findings, 1)
	require.Contains(t, f.Findings[0].Message, "not a text")
	require.Empty(t, f.Stmts)
	// It may become one.
	again := syntax.Parse(parse("ground g\n").Src, f)
	require.Empty(t, again.Findings)
	require.Len(t, again.Stmts, 1)
}

func TestTooLarge(t *testing.T) {
	f := parse(strings.Repeat("#", syntax.MaxBytes+1))
	require.Len(t, f.Findings, 1)
	require.Contains(t, f.Findings[0].Message, "larger than 64 MB")
}

func TestInvalidBytes(t *testing.T) {
	f := parse("wire W1: a to \xff\xfe, red\nnode a\n")
	checkSound(t, f)
	require.Len(t, f.Findings, 1)
	require.Contains(t, f.Findings[0].Message, "a byte that is no text")
	require.False(t, f.Stmts[1].Broken)
	require.Empty(t, parse("# gr\xfc\xdfe\ntitle \"gr\xfc\xdfe\"\n").Findings, "comments and texts may hold what they like")
}

func TestDeepNesting(t *testing.T) {
	const n = 10_000
	for name, text := range map[string]string{
		"closed":    strings.Repeat("fit x: {\n", n) + strings.Repeat("}\n", n) + "node a\n",
		"one line":  strings.Repeat("fit x: {", n) + strings.Repeat("}", n),
		"anonymous": strings.Repeat("{", n) + strings.Repeat("}", n),
	} {
		t.Run(name, func(t *testing.T) {
			f := parse(text)
			checkSound(t, f)
			require.Condition(t, func() bool {
				for _, d := range f.Findings {
					if strings.Contains(d.Message, "nested more than 64 deep") {
						return true
					}
				}
				return false
			})
			require.LessOrEqual(t, len(f.Findings), 66)
		})
	}
	checkSound(t, parse(strings.Repeat("fit x: {\n", n)))
	checkSound(t, parse(strings.Repeat("fit x:\n {", n)))
	checkSound(t, parse(strings.Repeat("{", n)))
	f := parse(strings.Repeat("fit x: {\n", n) + strings.Repeat("}\n", n) + "node a\n")
	require.Len(t, f.Findings, 1)
	require.Equal(t, schema.Node, f.All()[len(f.All())-1].Kind.ID)

	f = parse("condition c: " + strings.Repeat("(", n) + "a" + strings.Repeat(")", n) + "\nnode a\n")
	require.Len(t, f.Findings, 1)
	require.Contains(t, f.Findings[0].Message, "nested more than 64 deep")
	f = parse("condition c: " + strings.Repeat("not ", n) + "a\nnode a\n")
	require.Len(t, f.Findings, 1)
	require.False(t, f.Stmts[1].Broken)
}

// Lines of two megabytes, more than a file may have, cost memory and work in proportion, not more.
func TestLongLines(t *testing.T) {
	const size = 2 << 20
	fill := func(before, piece, after string) string {
		return before + strings.Repeat(piece, size/len(piece)) + after
	}
	for name, text := range map[string]string{
		"positions":   fill("setting s: a", ", b", "\n"),
		"names":       fill("pin 1", ", 2", "\n"),
		"condition":   fill("condition c: a", " and b", "\n"),
		"list":        fill("condition c: a is any of b", ", c", "\n"),
		"parentheses": fill("condition c: ", "(", "\n"),
		"quote":       fill("title \"", "x", "\n"),
		"word":        fill("node ", "x", "\n"),
		"path":        fill("wire W: a", ".b", " to c\n"),
		"number":      fill("wire W: a to b, ", "1", " m\n"),
		"blanks":      fill("node", " ", "a\n"),
		"comment":     fill("node a #", "#", "\n"),
		"garbage":     fill("", ";", "\n"),
		"commas":      fill("wire W: ", ",", "\n"),
		"braces":      fill("", "{}", "\n"),
		"closing":     fill("", "}", "\n"),
		"statements":  fill("", "fit x: {}", "\n"),
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			f := parse(text + "ground g\n")
			runtime.ReadMemStats(&after)
			require.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(1200), "megabytes")
			require.LessOrEqual(t, len(f.Findings), 2001)
			if name != "braces" && name != "statements" {
				require.Equal(t, schema.Ground, f.All()[len(f.All())-1].Kind.ID)
			}
		})
	}
}

// What was meant is sought for a bounded number of statements, the same ones whatever was parsed before.
func TestManyBroken(t *testing.T) {
	lines := strings.Repeat("contact k: a to b, make, closes when key is on\n", 130)
	text := "contact first: a to b, make, closed if key is on\n" + lines
	meant := func(f *syntax.File) (n int) {
		for _, x := range f.Findings {
			n += len(x.Fixes)
		}
		return n
	}
	all := parse(text)
	require.Len(t, all.Findings, 131)
	require.Equal(t, 20, meant(all))
	mended := strings.Replace(text, "closed if", "made when", 1)
	for _, step := range []struct{ from, to string }{{text, mended}, {mended, text}} {
		got, want := syntax.Parse(source.NewFile("t.pintle", step.to), parse(step.from)), parse(step.to)
		require.Equal(t, dump(want), dump(got))
		require.Equal(t, meant(want), meant(got))
		require.Equal(t, want.Findings[99].Message, got.Findings[99].Message)
		require.Less(t, got.Reparsed, 5)
	}
}

// Many texts are parsed at the same time, and one tree is read by many.
func TestConcurrent(t *testing.T) {
	designs := syntaxtest.Designs(t)
	var wg sync.WaitGroup
	for _, text := range designs {
		first := parse(text)
		moved := syntax.Parse(parse("# moved\n"+text).Src, first)
		want := dump(parse("# moved\n" + text))
		for range 4 {
			wg.Go(func() {
				if got := dump(moved); got != want {
					t.Error("a moved tree reads differently")
				}
				parse(text)
			})
		}
	}
	wg.Wait()
}
