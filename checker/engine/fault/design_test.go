package fault

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// disk reads the files that a text uses, from beside it.
type disk map[string]*syntax.File

func (d disk) Load(_ context.Context, from *syntax.File, name string) (*syntax.File, error) {
	file := filepath.Join(filepath.Dir(from.Src.Name), name)
	if f, ok := d[file]; ok {
		return f, nil
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	d[file] = syntax.Parse(source.NewFile(file, string(text)), nil)
	return d[file], nil
}

// designs are those of a text.
func designs(t require.TestingT, name, text string) []*model.Design {
	if h, ok := t.(interface{ Helper() }); ok {
		h.Helper()
	}
	f := syntax.Parse(source.NewFile(name, text), nil)
	require.Empty(t, f.Findings, name)
	r := elaborate.Elaborate(context.Background(), f, disk{})
	for _, finding := range r.Findings {
		require.Less(t, finding.Severity, diag.Error, "%s: %s", name, finding.Message)
	}
	require.NotEmpty(t, r.Designs)
	return r.Designs
}

// designsOf are those of a file.
func designsOf(t testing.TB, file string) []*model.Design {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	return designs(t, file, string(text))
}
