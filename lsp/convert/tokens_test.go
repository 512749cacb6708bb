package convert_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"pintle/lang/source"
	"pintle/lsp/convert"
	"pintle/lsp/ide/show"
)

func TestTokens(t *testing.T) {
	text := "a 🔧b\nc d\n"
	list := []show.Token{
		{Span: source.Span{Start: 0, End: 1}, Type: show.TokenKind},
		{Span: source.Span{Start: 2, End: 7}, Type: show.TokenUnit, Traits: show.Declares | show.Documents},
		{Span: source.Span{Start: 10, End: 11}, Type: show.TokenColour},
	}
	for encoding, length := range map[convert.Encoding]uint32{convert.UTF8: 5, convert.UTF16: 3, convert.UTF32: 2} {
		got := convert.Tokens(encoding.Text(source.NewFile("x", text)), list)
		assert.Equal(t, []uint32{0, 0, 1, uint32(show.TokenKind), 0, 0, 2, length, uint32(show.TokenUnit), 5, 1, 2, 1, uint32(show.TokenColour), 0}, got, encoding)
	}
	assert.NotNil(t, convert.Tokens(convert.UTF16.Text(source.NewFile("x", "")), nil))
	legend := convert.TokenLegend()
	assert.Len(t, legend.TokenTypes, int(show.TokenColour)+1)
	assert.NotContains(t, legend.TokenTypes, "")
}

// The edits of a delta lead from any numbers to any others.
func TestTokensDelta(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		numbers := rapid.SliceOfN(rapid.Uint32Range(0, 3), 0, 30)
		old, fresh := numbers.Draw(r, "old"), numbers.Draw(r, "fresh")
		edits := convert.TokensDelta(old, fresh)
		got := slices.Clone(old)
		for _, e := range edits {
			got = slices.Replace(got, int(e.Start), int(e.Start+e.DeleteCount), e.Data...)
		}
		if !slices.Equal(got, fresh) {
			r.Fatalf("%v to %v by %v gives %v", old, fresh, edits, got)
		}
		if slices.Equal(old, fresh) != (len(edits) == 0) {
			r.Fatalf("%v to %v: %v", old, fresh, edits)
		}
	})
}
