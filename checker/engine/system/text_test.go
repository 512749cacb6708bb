package system_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// build makes the system of the first design of a text.
func build(t testing.TB, text string) *system.System {
	t.Helper()
	s, err := system.Build(context.Background(), elaboratetest.Designs(t, "test.pintle", text)[0], system.Options{})
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
