package circuits_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/rules/circuits"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// heard is what one rule says.
type heard struct{ found []diag.Finding }

func (h *heard) Report(f diag.Finding) { h.found = append(h.found, f) }
func (h *heard) Clear(_, _ string)     {}

// A rail car whose heating panels lie on a ring of bars, with hand switches between the bars in
// three steps round the ring: the current to each panel has ways over any of the switches. What
// a rule does there ends at counted work, and it says once that it is undecided.
func TestMeshEndsUndecided(t *testing.T) {
	const bars = 10
	var b strings.Builder
	b.WriteString("ground frame\nsupply cell: 12 V, from frame to top\n")
	for i := range bars {
		fmt.Fprintf(&b, "node bar%d\n", i)
	}
	n := 0
	join := func(from, to string) {
		fmt.Fprintf(&b, "setting hand%d: off, on\ncontact link%d: %s to %s, make, made when hand%d is on\n", n, n, from, to, n)
		n++
	}
	// Steps and feeds are uneven, so that no two bars are alike.
	for i := range 3 * bars {
		from, to := fmt.Sprintf("bar%d", i*i%bars), fmt.Sprintf("bar%d", (i*7+3+i/bars)%bars)
		if i%7 == 0 {
			from = "cell.top"
		}
		if from != to {
			join(from, to)
		}
	}
	for i := range bars {
		fmt.Fprintf(&b, "load panel%d: bar%d to frame, 5 W at 12 V, lit from 60 %%\n", i, i)
	}
	files := circuits.Group().Fixtures
	root := syntax.Parse(source.NewFile("mesh.pintle", b.String()), nil)
	read := elaborate.Elaborate(t.Context(), root, run.NewLoader(run.InFS(files), root))
	require.Empty(t, read.Findings)
	require.Len(t, read.Designs, 1)
	p := &rule.Pass{Ctx: t.Context(), Root: root, Read: read, Design: read.Designs[0], Limits: settings.DefaultLimits()}
	for _, r := range circuits.Group().Rules {
		if r.Name != "back-feed" {
			continue
		}
		var got heard
		before := p.System().Engine().Made()
		p.Run(&r, &got)
		undecided := 0
		for _, f := range got.found {
			if f.Rule == rule.Undecided && strings.HasPrefix(f.Message, "back-feed can't be decided for the design: the switches and loads") {
				undecided++
			}
		}
		assert.Equal(t, 1, undecided, "it is said once")
		// Made within one question is at most as much again.
		assert.Less(t, p.System().Engine().Made()-before, uint64(2*(300_000+10_000*len(p.Design.Elements))))
		return
	}
	t.Fatal("no such rule")
}
