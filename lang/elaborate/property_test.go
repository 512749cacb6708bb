package elaborate_test

import (
	"context"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/elaborate"
	"pintle/lang/format"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// corpus is every design of the tests and of the examples, by name, with the files that
// they use.
func corpus(t *testing.T) map[string]string {
	out := map[string]string{}
	for _, dir := range []string{"testdata/design", "testdata/finding", "../../examples"} {
		for name, text := range folder(t, dir) {
			out[dir+"/"+name] = text
		}
	}
	return out
}

// sortedLines is a dump without its order and without the numbers that order gives.
func sortedLines(dump string) []string {
	lines := strings.Split(dump, "\n")
	for i, l := range lines {
		l = afterNumber(l, "element ")
		l = afterNumber(l, "memory ")
		l = afterNumber(l, "timer ")
		l = afterNumber(l, "edge ")
		for _, w := range []string{" of ", " memory ", " element ", " elements "} {
			if at := strings.LastIndex(l, w); at >= 0 && strings.Trim(l[at+len(w):], "[]-0123456789 ") == "" {
				l = l[:at]
			}
		}
		lines[i] = withoutNumber(withoutNumber(l, " of "), " memory ")
	}
	slices.Sort(lines)
	return lines
}

func afterNumber(l, word string) string {
	rest, ok := strings.CutPrefix(l, word)
	if !ok {
		return l
	}
	return word + strings.TrimLeft(rest, "0123456789")
}

// withoutNumber removes the number behind a word in the middle of a line.
func withoutNumber(l, word string) string {
	at := strings.Index(l, word)
	if at < 0 {
		return l
	}
	rest := strings.TrimLeft(l[at+len(word):], "0123456789")
	if len(rest) == len(l)-at-len(word) {
		return l
	}
	return l[:at] + word + rest
}

// TestOrderOfStatements shuffles the top-level statements of each design, and nothing
// may change but the order of its tables.
func TestOrderOfStatements(t *testing.T) {
	text := corpus(t)
	for _, name := range sortedNames(text) {
		if strings.Contains(name, "/finding/") || strings.Contains(name, "/faulty/") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			plain := elaborated(t, text, name)
			if len(plain.Files[0].Findings) > 0 {
				t.Fatalf("%s is not clean", name)
			}
			r := rand.New(rand.NewPCG(1, 2))
			for range 4 {
				changed := maps.Clone(text)
				changed[name] = shuffled(plain.Files[0], r)
				other := elaborated(t, changed, name)
				require.Equal(t, sortedLines(dump(t, plain)), sortedLines(dump(t, other)), "%s", changed[name])
				assert.Len(t, other.Findings, len(plain.Findings))
			}
		})
	}
}

// shuffled puts the top-level statements of a file into another order, but for options:
// they name the combinations in the order of the text.
func shuffled(f *syntax.File, r *rand.Rand) string {
	var options, rest []string
	for _, s := range f.Stmts {
		text := f.Src.Text[s.Span.Start:s.Span.End]
		if s.Kind != nil && (s.Kind.ID == schema.Option || s.Kind.ID == schema.Part) {
			options = append(options, text)
		} else {
			rest = append(rest, text)
		}
	}
	r.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	return strings.Join(append(options, rest...), "\n") + "\n"
}

// TestPrefixes elaborates prefixes of every design, each of a small one that ends between
// two tokens: half-typed text is what an editor has most of the time.
func TestPrefixes(t *testing.T) {
	text := corpus(t)
	for _, name := range sortedNames(text) {
		l := newTexts(text)
		whole := syntax.Parse(source.NewFile(name, text[name]), nil)
		step := 1 + len(text[name])/3000
		for i := 0; i < whole.Tokens.Len(); i += step {
			n := whole.Tokens.Span(i).End
			f := syntax.Parse(source.NewFile(name, text[name][:n]), nil)
			r := elaborate.Elaborate(context.Background(), f, l)
			for _, d := range r.Designs {
				sound(t, d)
			}
			for _, x := range r.Findings {
				if x.Place.File == nil || x.Start < 0 || x.End > len(x.File.Text) || x.Start > x.End {
					t.Fatalf("%s, %d bytes: place of %q", name, n, x.Message)
				}
			}
			r.Index.DefinitionAt(f.Src, n)
			r.Index.InScope(f.Src, n)
		}
	}
}

// TestLayoutCarriesNoMeaning elaborates each clean design as the formatter writes it.
func TestLayoutCarriesNoMeaning(t *testing.T) {
	text := corpus(t)
	for _, name := range sortedNames(text) {
		plain := elaborated(t, text, name)
		if len(plain.Files[0].Findings) > 0 {
			continue
		}
		changed := maps.Clone(text)
		changed[name], _ = format.Format(plain.Files[0])
		other := elaborated(t, changed, name)
		require.Equal(t, dump(t, plain), dump(t, other), name)
		require.Len(t, other.Findings, len(plain.Findings), name)
	}
}

// TestDeterminism elaborates twice and finds the same.
func TestDeterminism(t *testing.T) {
	text := corpus(t)
	for _, name := range sortedNames(text) {
		a, b := elaborated(t, text, name), elaborated(t, text, name)
		require.Equal(t, dump(t, a), dump(t, b), name)
		require.Equal(t, len(a.Findings), len(b.Findings), name)
		for i := range a.Findings {
			assert.Equal(t, a.Findings[i].Message, b.Findings[i].Message, name)
		}
	}
}

// TestExamplesAreClean holds the examples to what the language says.
func TestExamplesAreClean(t *testing.T) {
	text := folder(t, "../../examples")
	for _, name := range sortedNames(text) {
		if strings.HasPrefix(name, "faulty/") {
			continue
		}
		for _, x := range elaborated(t, text, name).Findings {
			t.Errorf("%s: %s: %s", position(x.Place), x.Rule, x.Message)
		}
	}
}

// TestStopped gives no designs once nobody waits for them.
func TestStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	f := syntax.Parse(source.NewFile("bench.pintle", generated(2000)), nil)
	r := elaborate.Elaborate(ctx, f, nil)
	assert.Empty(t, r.Designs)
	assert.NotNil(t, r.Index)
}
