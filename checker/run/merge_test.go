package run

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/source"
)

var text = source.NewFile("a.pintle", "one\ntwo\nthree\n")

func finding(line int, message, subject, where string) diag.Finding {
	at := text.LineStart(line)
	return diag.Finding{
		Rule: "no-feed", Severity: diag.Error, Message: message, Subject: subject, Where: where,
		Place: diag.Place{File: text, Span: source.Span{Start: at, End: at + 3}},
	}
}

func TestMergeCombinations(t *testing.T) {
	for name, c := range map[string]struct {
		where []string
		want  string
	}{
		"one of several is named":    {[]string{"steering left"}, "steering left"},
		"all of them are not":        {[]string{"steering left", "steering right", "steering none"}, ""},
		"some of them are":           {[]string{"steering left", "steering right"}, "steering left; steering right"},
		"the file itself says it":    {[]string{"", "bench Relay.b"}, ""},
		"a bench is no combination":  {[]string{"bench Relay.a", "bench Relay.b", "bench Relay.c", "steering left"}, "bench Relay.a; bench Relay.b; bench Relay.c; steering left"},
		"many are counted, not told": {[]string{"a 1", "a 2", "a 3", "a 4", "a 5", "a 6"}, "a 1; a 2; a 3 and 3 more"},
	} {
		var fs []diag.Finding
		for _, w := range c.where {
			fs = append(fs, finding(0, "m", "K1", w))
		}
		got := mergeCombinations(fs, 3)
		require.Len(t, got, 1, name)
		assert.Equal(t, c.want, got[0].Where, name)
	}
}

func TestMergeKeepsWhatDiffers(t *testing.T) {
	fs := []diag.Finding{
		finding(1, "m", "K1", ""), finding(0, "m", "K1", ""), finding(0, "n", "K1", ""), finding(0, "m", "K1", ""),
	}
	other := finding(0, "m", "K1", "")
	other.Rule = "sneak-path"
	got := mergeCombinations(append(fs, other), 1)
	assert.Len(t, got, 4)
	assert.True(t, diag.Compare(got[0], got[1]) < 0 && diag.Compare(got[1], got[2]) < 0 && diag.Compare(got[2], got[3]) < 0)
}

func TestAcceptedInSomeCombinationsOnlyStands(t *testing.T) {
	accepted, open := finding(0, "m", "K1", "a"), finding(0, "m", "K1", "b")
	accepted.Waived = &diag.Waiver{Reason: "r"}
	got := mergeCombinations([]diag.Finding{accepted, open}, 5)
	require.Len(t, got, 1)
	assert.Nil(t, got[0].Waived)
	assert.Equal(t, "a; b", got[0].Where)
}

func TestMergeInstances(t *testing.T) {
	got := mergeInstances([]diag.Finding{
		finding(0, "K1.winding", "K1.winding", ""),
		finding(0, "K3.winding", "K3.winding", ""),
		finding(0, "K2.winding", "K2.winding", ""),
		finding(0, "K2.contact", "K2.contact", ""),
		finding(0, "lamp", "lamp", ""),
		finding(1, "K1.winding", "K1.winding", ""),
	})
	require.Len(t, got, 4)
	assert.Equal(t, []diag.Related{{Note: "the same holds for K2.winding; K3.winding"}}, got[0].Related)
	assert.Empty(t, got[1].Related)
	assert.Equal(t, "K2.contact", got[1].Message)
}
