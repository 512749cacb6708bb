package wiring_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/rules/wiring"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// onlyOf is the one finding of a rule about a text.
func onlyOf(t *testing.T, slug, text string) diag.Finding {
	t.Helper()
	c, err := rule.NewCatalogue(wiring.Group())
	require.NoError(t, err)
	got := run.File(t.Context(), run.FileRequest{
		Plan: run.Plan{Catalogue: c}, Root: syntax.Parse(source.NewFile("told.pintle", text), nil), Settings: settings.Default(),
	})
	require.Empty(t, got.Failures)
	var out []diag.Finding
	for _, f := range got.Findings {
		if f.Rule == slug {
			out = append(out, f)
		}
	}
	require.Len(t, out, 1, text)
	return out[0]
}

// told are the lines of the evidence of a title; nil: there is none.
func told(f diag.Finding, title string) (out []string) {
	for _, e := range f.Evidence {
		if e.Title == title {
			for _, l := range e.Lines {
				out = append(out, l.Text)
			}
		}
	}
	return out
}

// A fuse feeds what its own current runs to, which may be the battery that it stands at; where
// another source has a share in that, nobody says whom the fuse feeds.
func TestWhatAFuseFeeds(t *testing.T) {
	const charging = `title "Charging"
setting key: off, run
ground body
supply battery: 12.6 V, from body to stud
supply alternator: 14.2 V, from body to plus, one way, inside 60 mohm
fuse F2: battery.stud to bus, 10 A
node bus, ign
contact S1: bus to ign, make, made when key is run
wire W1: alternator.plus to ign, red, 25 mm2, 1 m
load ignition: ign to body, 4 A at 12 V, working from 60 %
`
	f := onlyOf(t, "fuse-below-load", charging)
	assert.Equal(t, []string{"battery: 15.61 A"}, told(f, "what it feeds"))
	assert.Contains(t, told(f, "current path"), "F2: bus to battery.stud, 15.61 A")
	assert.Contains(t, f.Help, "follow the current path")

	const shared = `title "Shared"
setting key: off, run
ground body
supply one: 12.6 V, from body to stud
supply two: 12.6 V, from body to stud
fuse F1: one.stud to bus, 1 A
fuse F2: two.stud to bus, 30 A
node bus
contact S1: bus to lamp_feed, make, made when key is run
node lamp_feed
load lamp: lamp_feed to body, 15 A at 12 V, lit from 60 %
`
	f = onlyOf(t, "fuse-below-load", shared)
	assert.Nil(t, told(f, "what it feeds"), "the lamp takes what two fuses carry")
	assert.NotNil(t, told(f, "current path"))
}

// A smaller fuse is no cure where what it feeds runs by more than that: the thin branch has one
// of its own then.
func TestFuseOfABranch(t *testing.T) {
	const branch = `title "Branch"
setting key: off, run
ground body
supply battery: 12.6 V, from body to stud
fuse F1: battery.stud to bus, 60 A
node bus
contact S1: bus to fed, make, made when key is run
node fed
wire W1: fed to big, red, 16 mm2, 1 m
node big
load heater: big to body, 45 A at 12 V, warm from 60 %
wire W2: fed to small, red, 0.75 mm2, 1 m
node small
load lamp: small to body, 0.4 A at 12 V, lit from 60 %
`
	assert.Contains(t, onlyOf(t, "fuse-above-wire", branch).Help, "a fuse of its own for W2")
}
