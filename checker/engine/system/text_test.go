package system_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// disk loads the files that a design uses from beside it.
type disk map[string]*syntax.File

func (d disk) Load(_ context.Context, from *syntax.File, name string) (*syntax.File, error) {
	path := filepath.Join(filepath.Dir(from.Src.Name), name)
	if f, ok := d[path]; ok {
		return f, nil
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	d[path] = syntax.Parse(source.NewFile(path, string(text)), nil)
	return d[path], nil
}

// designs reads a text, which must have no errors, into its designs.
func designs(t testing.TB, name, text string) []*model.Design {
	t.Helper()
	f := syntax.Parse(source.NewFile(name, text), nil)
	for _, finding := range f.Findings {
		t.Fatalf("%s: %s", name, finding.Message)
	}
	r := elaborate.Elaborate(context.Background(), f, disk{})
	for _, finding := range r.Findings {
		if finding.Severity == diag.Error || finding.Rule == "undefined-name" || finding.Rule == "wrong-kind" {
			t.Fatalf("%s: %s", name, finding.Message)
		}
	}
	require.NotEmpty(t, r.Designs)
	return r.Designs
}

// build makes the system of the first design of a text.
func build(t testing.TB, text string) *system.System {
	t.Helper()
	s, err := system.Build(context.Background(), designs(t, "test.pintle", text)[0], system.Options{})
	require.NoError(t, err)
	return s
}

// requirement finds a requirement by its name.
func requirement(t testing.TB, d *model.Design, name string) *model.Requirement {
	t.Helper()
	for i := range d.Requirements {
		if d.Requirements[i].Name == name {
			return &d.Requirements[i]
		}
	}
	t.Fatalf("no requirement %s", name)
	return nil
}

func decide(t testing.TB, s *system.System, name string) system.Verdict {
	t.Helper()
	v, err := s.Decide(context.Background(), requirement(t, s.Design(), name))
	require.NoError(t, err)
	return v
}

// story is a trace in words.
func story(v system.Verdict) string {
	if v.Trace == nil {
		return ""
	}
	var b strings.Builder
	for _, l := range v.Trace.Lines() {
		b.WriteString(l.Text)
		b.WriteByte('\n')
	}
	return b.String()
}

// replace puts a text where %s stands.
func replace(text, with string) string { return strings.ReplaceAll(text, "%s", with) }
