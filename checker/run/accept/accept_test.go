package accept

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
)

const text = `accept no-feed: on K1, because "bench only"
accept no-feed: on the design, because "later", until 2027-06-30
accept sneek-path: on K1, because "typo"
`

var (
	file  = source.NewFile("a.pintle", text)
	rules = []string{"no-feed", "sneak-path"}
	day   = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	ran   = func(string) bool { return true }
)

func acceptance(line int, rule, on, until string) model.Acceptance {
	at := file.LineStart(line)
	return model.Acceptance{
		Rule: rule, On: on, Reason: "because", Until: until,
		Place:     diag.Place{File: file, Span: source.Span{Start: at, End: at + 6}},
		RulePlace: diag.Place{File: file, Span: source.Span{Start: at + 7, End: at + 7 + len(rule)}},
	}
}

func design(as ...model.Acceptance) *model.Design { return &model.Design{Acceptances: as} }

func finding(rule, subject string) diag.Finding { return diag.Finding{Rule: rule, Subject: subject} }

func TestWhatAnAcceptanceTakes(t *testing.T) {
	for _, c := range []struct {
		on, subject string
		want        bool
	}{
		{"K1", "K1", true},
		{"K1", "K1.winding", true},
		{"K1", "K10", false},
		{"K1.winding", "K1", false},
		{"", "K1", true},
		{"", "", true},
		{"K1", "", false},
	} {
		m := New(day, rules)
		fs := []diag.Finding{finding("no-feed", c.subject), finding("sneak-path", c.subject)}
		m.Apply(design(acceptance(0, "no-feed", c.on, "")), fs, ran)
		assert.Equal(t, c.want, fs[0].Waived != nil, "on %q, about %q", c.on, c.subject)
		assert.Nil(t, fs[1].Waived, "another rule's finding")
		if c.want {
			assert.Equal(t, "because", fs[0].Waived.Reason)
			assert.Empty(t, m.Findings())
		} else {
			require.Len(t, m.Findings(), 1)
			assert.Equal(t, Unused, m.Findings()[0].Rule)
		}
	}
}

func TestUsedInOneCombinationIsUsed(t *testing.T) {
	m := New(day, rules)
	a := acceptance(0, "no-feed", "K1", "")
	m.Apply(design(a), nil, ran)
	m.Apply(design(a), []diag.Finding{finding("no-feed", "K1")}, ran)
	assert.Empty(t, m.Findings())
}

func TestARuleThatDidNotRunLeavesItsAcceptanceAlone(t *testing.T) {
	m := New(day, rules)
	m.Apply(design(acceptance(0, "no-feed", "K1", "")), nil, func(string) bool { return false })
	assert.Empty(t, m.Findings())
}

func TestLapsed(t *testing.T) {
	for until, lapsed := range map[string]bool{"2026-02-28": true, "2026-03-01": false, "2027-06-30": false} {
		m := New(day, rules)
		fs := []diag.Finding{finding("no-feed", "K1")}
		m.Apply(design(acceptance(1, "no-feed", "", until)), fs, ran)
		assert.Equal(t, lapsed, fs[0].Waived == nil, until)
		got := m.Findings()
		if !lapsed {
			assert.Empty(t, got, until)
			continue
		}
		require.Len(t, got, 1)
		assert.Equal(t, Lapsed, got[0].Rule)
		assert.Equal(t, "the acceptance of no-feed on the design ended on "+until, got[0].Message)
	}
	m := New(time.Time{}, rules)
	fs := []diag.Finding{finding("no-feed", "K1")}
	m.Apply(design(acceptance(1, "no-feed", "", "2000-01-01")), fs, ran)
	assert.NotNil(t, fs[0].Waived, "without a date nothing lapses")
}

func TestUnknownRuleSuggestsAndFixes(t *testing.T) {
	m := New(day, rules)
	m.Apply(design(acceptance(2, "sneek-path", "K1", "")), nil, ran)
	got := m.Findings()
	require.Len(t, got, 1)
	f := got[0]
	assert.Equal(t, UnknownRule, f.Rule)
	assert.Equal(t, `no rule is called "sneek-path"; the nearest is "sneak-path"`, f.Message)
	assert.Equal(t, "sneek-path", text[f.Start:f.End])
	require.Len(t, f.Fixes, 1)
	assert.Equal(t, "sneak-path", f.Fixes[0].Edits[0].New)
}

func TestTheFirstAcceptanceCounts(t *testing.T) {
	m := New(day, rules)
	fs := []diag.Finding{finding("no-feed", "K1")}
	m.Apply(design(acceptance(0, "no-feed", "K1", ""), acceptance(1, "no-feed", "", "")), fs, ran)
	assert.Equal(t, file.LineStart(0), fs[0].Waived.Start)
	assert.Empty(t, m.Findings(), "both had something to take")
}
