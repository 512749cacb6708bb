package fault

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// BenchmarkExamples tries every single fault of an example on all requirements that hold,
// and on all symptoms.
func BenchmarkExamples(b *testing.B) {
	ctx := context.Background()
	for _, name := range []string{"kickdown", "glow_timer", "two_speed_fan", "ev_precharge"} {
		d := elaboratetest.File(b, filepath.Join("../../../examples", name+".pintle"))[0]
		sound, err := system.Build(ctx, d, system.Options{})
		require.NoError(b, err)
		var holds []int
		for i := range d.Requirements {
			v, err := sound.Decide(ctx, &d.Requirements[i])
			require.NoError(b, err)
			if v.Outcome == system.Holds {
				holds = append(holds, i)
			}
		}
		b.Run(name+"/despite", func(b *testing.B) {
			for b.Loop() {
				_, err := NewSweep(d, Options{}).Despite(ctx, holds)
				require.NoError(b, err)
			}
		})
		b.Run(name+"/symptoms", func(b *testing.B) {
			var conds []*model.Cond
			for i := range d.Symptoms {
				conds = append(conds, d.Symptoms[i].Cond)
			}
			for b.Loop() {
				_, err := NewSweep(d, Options{}).Explain(ctx, conds)
				require.NoError(b, err)
			}
		})
	}
}
