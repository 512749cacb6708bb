// Package elaboratetest makes designs of texts and files, for tests of what works on designs.
package elaboratetest

import (
	"context"
	"os"
	"path/filepath"

	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Disk reads the files that a text uses relative to the text's own file. It parses each file once.
type Disk map[string]*syntax.File

// Load implements elaborate.Loader.
func (d Disk) Load(_ context.Context, from *syntax.File, name string) (*syntax.File, error) {
	return d.file(filepath.Join(filepath.Dir(from.Src.Name), name))
}

func (d Disk) file(name string) (*syntax.File, error) {
	if f, ok := d[name]; ok {
		return f, nil
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	d[name] = syntax.Parse(source.NewFile(name, string(text)), nil)
	return d[name], nil
}

// Read elaborates a text, whatever is found in it.
func Read(name, text string) *elaborate.Result {
	return elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile(name, text), nil), Disk{})
}

// Designs returns the designs of a text, in which there must be no syntax findings and no errors.
func Designs(t require.TestingT, name, text string) []*model.Design {
	if h, ok := t.(interface{ Helper() }); ok {
		h.Helper()
	}
	f := syntax.Parse(source.NewFile(name, text), nil)
	require.Empty(t, f.Findings, name)
	r := elaborate.Elaborate(context.Background(), f, Disk{})
	for _, finding := range r.Findings {
		sound := finding.Severity < diag.Error && finding.Rule != "undefined-name" && finding.Rule != "wrong-kind"
		require.True(t, sound, "%s: %s", name, finding.Message)
	}
	require.NotEmpty(t, r.Designs)
	return r.Designs
}

// File returns the designs of a file, whatever is found in it.
func File(t require.TestingT, name string) []*model.Design {
	if h, ok := t.(interface{ Helper() }); ok {
		h.Helper()
	}
	d := Disk{}
	f, err := d.file(name)
	require.NoError(t, err)
	return elaborate.Elaborate(context.Background(), f, d).Designs
}
