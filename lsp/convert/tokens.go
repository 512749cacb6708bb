package convert

import (
	"slices"

	"go.lsp.dev/protocol"

	"pintle/lsp/ide/show"
)

// TokenLegend says what the numbers in the tokens of the protocol mean.
func TokenLegend() protocol.SemanticTokensLegend {
	return protocol.SemanticTokensLegend{TokenTypes: slices.Clone(show.TokenTypes[:]), TokenModifiers: slices.Clone(show.TokenModifiers[:])}
}

// Tokens writes tokens as the protocol does: five numbers for each, its line and column
// relative to the token before, its length, type and modifiers. The list is never nil.
func Tokens(t *Text, tokens []show.Token) []uint32 {
	out := make([]uint32, 0, 5*len(tokens))
	var before protocol.Position
	for _, x := range tokens {
		r := t.Range(x.Span)
		if r.Start.Line != r.End.Line || r.End.Character <= r.Start.Character {
			continue
		}
		column := r.Start.Character
		if r.Start.Line == before.Line {
			column -= before.Character
		}
		out = append(out, r.Start.Line-before.Line, column, r.End.Character-r.Start.Character, uint32(x.Type), uint32(x.Traits))
		before = r.Start
	}
	return out
}

// TokensDelta returns the edits that make new tokens of old ones: none, or one that leaves
// what is alike at both ends. Since places are relative, whatever is behind a change is
// alike again.
func TokensDelta(old, fresh []uint32) []protocol.SemanticTokensEdit {
	head := 0
	for head < min(len(old), len(fresh)) && old[head] == fresh[head] {
		head++
	}
	if head == len(old) && head == len(fresh) {
		return []protocol.SemanticTokensEdit{}
	}
	tail := 0
	for tail < min(len(old), len(fresh))-head && old[len(old)-1-tail] == fresh[len(fresh)-1-tail] {
		tail++
	}
	return []protocol.SemanticTokensEdit{{
		Start: uint32(head), DeleteCount: uint32(len(old) - head - tail), Data: slices.Clone(fresh[head : len(fresh)-tail]),
	}}
}
