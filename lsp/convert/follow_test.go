package convert

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// TestFollows: what follows from another finding is information and points to its root; the
// root is as severe as the worst of its story and points to what follows.
func TestFollows(t *testing.T) {
	f := source.NewFile("/w/a.pintle", "one\ntwo\nthree\n")
	place := func(start, end int) diag.Place {
		return diag.Place{File: f, Span: source.Span{Start: start, End: end}}
	}
	root := diag.Finding{Rule: "threshold-never-moves", Severity: diag.Warning, Message: "hot never sets", Place: place(0, 3)}
	effect := diag.Finding{
		Rule: "never-possible", Severity: diag.Error, Message: "no reachable state has: blows", Place: place(8, 13),
		Follows: &diag.Root{Rule: root.Rule, Message: root.Message, Place: root.Place},
	}
	d := Diagnostics{Encoding: UTF16, Related: true, URI: URI}
	got := d.All(f, []diag.Finding{root, effect})
	require.Len(t, got, 2)
	assert.Equal(t, protocol.DiagnosticSeverityError, got[0].Severity)
	require.Len(t, got[0].RelatedInformation, 1)
	assert.Equal(t, "follows from it: no reachable state has: blows", got[0].RelatedInformation[0].Message)
	assert.Equal(t, protocol.Range{Start: at(2, 0), End: at(2, 5)}, got[0].RelatedInformation[0].Location.Range)
	assert.Equal(t, protocol.DiagnosticSeverityInformation, got[1].Severity)
	assert.Equal(t, protocol.String("no reachable state has: blows\nFollows from: hot never sets"), got[1].Message)
	assert.Equal(t, "the root cause: hot never sets", got[1].RelatedInformation[0].Message)

	// Alone each is as severe as it is.
	assert.Equal(t, protocol.DiagnosticSeverityWarning, d.All(f, []diag.Finding{root})[0].Severity)
}
