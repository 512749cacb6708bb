package report_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run"
	"pintle/checker/run/report"
	"pintle/lang/diag"
	"pintle/lang/source"
)

// TestFollowing: what follows from another finding is a line below it, in full with Whole,
// and counted all the same; the forms for programs have both ways.
func TestFollowing(t *testing.T) {
	file := source.NewFile("tail.pintle", "load lamp: a to b\nrequire r: possible lamp is lit\n")
	at := func(start, end int) diag.Place {
		return diag.Place{File: file, Span: source.Span{Start: start, End: end}}
	}
	root := diag.Finding{Rule: "no-feed", Severity: diag.Error, Message: "lamp has no feed", Why: "it never runs", Place: at(5, 9), Subject: "lamp"}
	effect := diag.Finding{
		Rule: "never-possible", Severity: diag.Error, Message: "no reachable state has: r", Why: "it is claimed", Place: at(26, 27), Subject: "r",
		Follows: &diag.Root{Rule: root.Rule, Subject: root.Subject, Message: root.Message, Place: root.Place},
	}
	result := &run.Result{Files: []string{"tail.pintle"}, Findings: []diag.Finding{root, effect}, Summary: run.Summary{Files: 1, Errors: 2}}
	write := func(form string, whole bool) string {
		var b bytes.Buffer
		require.NoError(t, report.Write(&b, form, result, report.Options{FailOn: diag.Error, Whole: whole}))
		return b.String()
	}
	text := write("text", false)
	assert.Contains(t, text, "and 1 that follows from it")
	assert.Contains(t, text, "tail.pintle:2:9: error: no reachable state has: r (never-possible)")
	assert.NotContains(t, text, "why: it is claimed")
	assert.Contains(t, text, "2 errors (1 of them follows from another) in 1 file")
	whole := write("text", true)
	assert.Contains(t, whole, "why: it is claimed")
	assert.Contains(t, whole, "follows from no-feed in line 1")
	assert.Contains(t, write("lines", false), "no reachable state has: r; follows from no-feed in line 1 (never-possible)")
	assert.Contains(t, write("junit", false), `failures="2"`)
	assert.Contains(t, write("junit", false), "follows from no-feed in line 1")
	assert.Contains(t, write("sarif", false), "follows from it: no reachable state has: r")
	assert.Contains(t, write("sarif", false), "root cause: lamp has no feed")
	var doc struct {
		Findings []struct {
			Follows *struct{ Rule, Message, Subject, File string }
			Related []struct{ Note string }
		}
	}
	require.NoError(t, json.Unmarshal([]byte(write("json", false)), &doc))
	require.Len(t, doc.Findings, 2)
	assert.Nil(t, doc.Findings[0].Follows)
	assert.Equal(t, "follows from it: no reachable state has: r", doc.Findings[0].Related[0].Note)
	assert.Equal(t, "no-feed", doc.Findings[1].Follows.Rule)
	assert.Equal(t, "tail.pintle", doc.Findings[1].Follows.File)

	// A root that is not there hides nothing.
	result.Findings = []diag.Finding{effect}
	assert.Contains(t, write("text", false), "no reachable state has: r")
}
