package mutate_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/mutate"
	"pintle/checker/checktest/soak"
	"pintle/checker/rule"
	"pintle/checker/rules"
)

func corpus(t *testing.T) ([]mutate.Design, *rule.Catalogue) {
	t.Helper()
	catalogue, err := rules.All()
	require.NoError(t, err)
	designs, err := mutate.Corpus(os.DirFS("../../.."), catalogue)
	require.NoError(t, err)
	require.Greater(t, len(designs), 100)
	return designs, catalogue
}

func design(t *testing.T, name string) (mutate.Design, *rule.Catalogue) {
	t.Helper()
	designs, catalogue := corpus(t)
	for _, d := range designs {
		if strings.HasSuffix(d.Name, name) {
			return d, catalogue
		}
	}
	t.Fatalf("no design %s", name)
	return mutate.Design{}, nil
}

// TestKinds: there are at least 25 kinds, each changes something in the corpus, and what it
// makes differs from the original.
func TestKinds(t *testing.T) {
	designs, _ := corpus(t)
	made := map[string]int{}
	for _, d := range designs {
		for _, m := range mutate.Mutants(d.Parse()) {
			assert.NotEqual(t, d.Text, m.Text, "%s: %s", d.Name, m.What)
			made[m.Kind]++
		}
	}
	assert.GreaterOrEqual(t, len(mutate.Kinds()), 25)
	for _, k := range mutate.Kinds() {
		assert.Positive(t, made[k.Name], k.Name)
	}
}

// TestSample measures a few of the mutants. PINTLE_SOAK=n measures n times as many, from
// about 1400 on all of them; `go run ./testdata/mutation` tells more.
func TestSample(t *testing.T) {
	designs, catalogue := corpus(t)
	for _, c := range []struct {
		name     string
		stripped bool
		every    int
	}{{"with claims", false, 700}, {"without", true, 1400}} {
		t.Run(c.name, func(t *testing.T) {
			s := mutate.Sample{Every: max(1, c.every/soak.Times(1)), Stripped: c.stripped}
			outcomes, err := s.Run(t.Context(), designs, catalogue, nil)
			require.NoError(t, err)
			var b strings.Builder
			all := mutate.Table(&b, outcomes)
			t.Log("\n" + b.String())
			require.Positive(t, all.Made)
			for i := range outcomes {
				if o := &outcomes[i]; o.Class == mutate.Missed || o.Class == mutate.Elsewhere {
					t.Log(o.Text())
				}
			}
			assert.GreaterOrEqual(t, all.Rate(), 50.0)
			assert.GreaterOrEqual(t, all.FirstRate(), 80.0)
			assert.LessOrEqual(t, all.Beside(), 1)
		})
	}
}

// TestSame: what is turned round without changing anything is proved to be equal, and what
// changes something is not.
func TestSame(t *testing.T) {
	d, catalogue := design(t, "examples/headlamps.pintle")
	o, err := mutate.NewOriginal(t.Context(), d, catalogue)
	require.NoError(t, err)
	assert.Equal(t, mutate.Equal, mutate.Same(t.Context(), d.Read(t.Context()), d.Read(t.Context())))
	seen := map[string]bool{}
	for _, m := range mutate.Mutants(d.Parse()) {
		if seen[m.Kind] || m.Kind != "reverse" && m.Kind != "drop-wire" && m.Kind != "thin-wire" {
			continue
		}
		seen[m.Kind] = true
		got := mutate.Same(t.Context(), d.Read(t.Context()), o.With(m.Text).Read(t.Context()))
		want := map[string]mutate.Likeness{"reverse": mutate.Equal, "drop-wire": mutate.Different, "thin-wire": mutate.Numbers}[m.Kind]
		assert.Equal(t, want, got, "%s: %s", m.Kind, m.What)
	}
	assert.Len(t, seen, 3)
}
