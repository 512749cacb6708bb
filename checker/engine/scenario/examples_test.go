package scenario_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// examples are the designs of all clean examples and of the parts.
func examples(t *testing.T) (out []*model.Design) {
	t.Helper()
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	parts, err := filepath.Glob("../../../examples/parts/*.pintle")
	require.NoError(t, err)
	files = append(files, parts...)
	require.NotEmpty(t, files)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		root := syntax.Parse(source.NewFile(f, string(text)), nil)
		read := elaborate.Elaborate(context.Background(), root, elaboratetest.Disk{})
		require.Empty(t, read.Findings, f)
		out = append(out, read.Designs...)
	}
	return out
}

// Every drive of every clean example sees what it expects, at every pace.
func TestExamplesDrive(t *testing.T) {
	ran := 0
	for _, d := range examples(t) {
		for i := range d.Drives {
			for _, pace := range []scenario.Pace{scenario.Middle, scenario.Shortest, scenario.Longest} {
				out, err := scenario.Run(context.Background(), d, &d.Drives[i], scenario.Options{Pace: pace})
				require.NoError(t, err, "%s %s %s", d.File.Name, d.Name, d.Drives[i].Path)
				for _, x := range out.Failures {
					t.Errorf("%s %s drive %s step %d, %s: expected %s; seen %s\n%v", d.File.Name, d.Name,
						d.Drives[i].Path, x.Step+1, x.When(), x.Expected, x.Seen, x.Chain)
				}
				ran++
			}
		}
	}
	require.Positive(t, ran)
	t.Log(ran, "drives")
}
