package faults_test

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/rule"
	"pintle/checker/rules/faults"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func TestFixtures(t *testing.T) { checktest.Run(t, faults.Group()) }

// That a loose wire means go is said where it is the input's own wire, and only there.
func TestALooseWireIsTheInputsOwn(t *testing.T) {
	g := faults.Group()
	c, err := rule.NewCatalogue(g)
	require.NoError(t, err)
	for file, means := range map[string]bool{"bad_loose_wire": true, "bad_other_wire": false} {
		file = "fault-violates-requirement/" + file + run.Extension
		text, err := fs.ReadFile(g.Fixtures, file)
		require.NoError(t, err)
		tree := syntax.Parse(source.NewFile(file, string(text)), nil)
		got := run.File(t.Context(), run.FileRequest{
			Plan: run.Plan{Catalogue: c, Today: checktest.Today}, Root: tree,
			Settings: settings.Default(), Loader: run.NewLoader(run.InFS(g.Fixtures), tree),
		})
		require.Len(t, got.Findings, 1)
		if means {
			assert.Contains(t, got.Findings[0].Help, "a loose wire means go")
		} else {
			assert.NotContains(t, got.Findings[0].Help, "a loose wire means go")
		}
	}
}
