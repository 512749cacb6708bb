package mutate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/mutate"
	"pintle/checker/checktest/soak"
	"pintle/checker/engine/circuit"
	"pintle/checker/question/compare"
	"pintle/checker/rule"
	"pintle/checker/run/settings"
)

// TestCompared: a design that is written otherwise, or in which everything has another name, is the
// same in behaviour. Each run takes a sample; PINTLE_SOAK=20 takes all.
func TestCompared(t *testing.T) {
	designs, _ := corpus(t)
	every := max(1, 20/soak.Times(1))
	compared, same, named := 0, 0, 0
	for i, d := range designs {
		if (i+soak.Seed())%every != 0 {
			continue
		}
		memo := circuit.NewMemo()
		pass := func(d mutate.Design) []*rule.Pass {
			var out []*rule.Pass
			read := d.Read(t.Context())
			for _, e := range read.Designs {
				out = append(out, &rule.Pass{Ctx: t.Context(), Root: read.Files[0], Read: read, Design: e, Limits: settings.Default().Limits, Memo: memo})
			}
			return out
		}
		old := pass(d)
		for _, v := range mutate.Preserving(t.Context(), d) {
			fresh := pass(d.With(v.Text))
			require.Len(t, fresh, len(old), "%s: %s", d.Name, v.Kind)
			for k := range old {
				if v.Kind != "rename" && old[k].Design.Name != fresh[k].Design.Name {
					continue
				}
				r, err := compare.Designs(old[k], fresh[k])
				require.NoError(t, err)
				compared++
				if r.Same() {
					same++
				}
				if v.Kind == "rename" && len(r.Lost)+len(r.Gained) == 0 {
					named++
				}
				if v.Kind == "rename" && len(r.Inputs) > 0 {
					continue // an input was not found under its other name: that is told
				}
				assert.Empty(t, r.Differences, "%s %s: %s", d.Name, old[k].Design.Name, v.Kind)
				if v.Kind == "rename" {
					continue
				}
				assert.Empty(t, r.Lost, "%s: %s", d.Name, v.Kind)
				assert.Empty(t, r.Gained, "%s: %s", d.Name, v.Kind)
			}
		}
	}
	t.Logf("%d compared, %d the same, %d renamed throughout", compared, same, named)
	require.Greater(t, same, compared*9/10)
}
