package syntax

import (
	"go/build"
	goparser "go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pintle/lang/source"
)

const benchBytes = 1 << 20

// goSource is as many bytes of Go from the standard library, file after file.
func goSource(b *testing.B) []string {
	files, err := filepath.Glob(filepath.Join(build.Default.GOROOT, "src", "net", "http", "*.go"))
	if err != nil || len(files) == 0 {
		b.Fatal("no Go sources to compare with")
	}
	var out []string
	n := 0
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			b.Fatal(err)
		}
		out = append(out, string(text))
		if n += len(text); n > benchBytes {
			break
		}
	}
	return out
}

func BenchmarkGoParser(b *testing.B) {
	files := goSource(b)
	n := 0
	for _, f := range files {
		n += len(f)
	}
	b.SetBytes(int64(n))
	b.ReportAllocs()
	for b.Loop() {
		for _, f := range files {
			if _, err := goparser.ParseFile(token.NewFileSet(), "x.go", f, goparser.ParseComments|goparser.SkipObjectResolution); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkParse(b *testing.B) {
	src := source.NewFile("bench.pintle", realistic(benchBytes))
	b.SetBytes(int64(len(src.Text)))
	b.ReportAllocs()
	for b.Loop() {
		if f := Parse(src, nil); len(f.Findings) > 0 {
			b.Fatal(f.Findings[0].Message)
		}
	}
}

// BenchmarkParseGrammar reads every head through participle, to see what the short cut
// for plain names is worth.
func BenchmarkParseGrammar(b *testing.B) {
	src := source.NewFile("bench.pintle", realistic(benchBytes))
	b.SetBytes(int64(len(src.Text)))
	b.ReportAllocs()
	for b.Loop() {
		if f := parse(src, nil, true); len(f.Findings) > 0 {
			b.Fatal(f.Findings[0].Message)
		}
	}
}

func BenchmarkLex(b *testing.B) {
	text := realistic(benchBytes)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		lex(make(Tokens, 0, len(text)/3), text, 0, len(text))
	}
}

func BenchmarkCut(b *testing.B) {
	text := realistic(benchBytes)
	ts := append(lex(nil, text, 0, len(text)), Token{start: int32(len(text))})
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		cut(text, significant(ts))
	}
}

// BenchmarkEdit types a letter into the middle of a design of 5,000 lines.
func BenchmarkEdit(b *testing.B) {
	text := realistic(200 << 10)
	lines := strings.SplitAfter(text, "\n")
	for len(lines) < 5001 {
		lines = append(lines, lines[20:]...)
	}
	text = strings.Join(lines[:5000], "")
	mid := strings.Index(text[len(text)/2:], "wire W") + len(text)/2 + len("wire W")
	before := Parse(source.NewFile("bench.pintle", text), nil)
	after := text[:mid] + "x" + text[mid:]
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		f := Parse(source.NewFile("bench.pintle", after), before)
		if f.Reparsed > 3 {
			b.Fatal(f.Reparsed)
		}
	}
}
