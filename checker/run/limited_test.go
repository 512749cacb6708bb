package run

import (
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/budget"
	"pintle/checker/run/settings"
)

// TestOuterStops: time and memory end the work, and say that this depends on the machine.
func TestOuterStops(t *testing.T) {
	runtime.GC() // so that it is known what is held
	for limit, l := range map[string]settings.Limits{
		"time":   {Time: 1, Memory: 1 << 20},
		"memory": {Time: 3600, Memory: 0},
	} {
		ctx, end := bounded(t.Context(), &l, 0)
		<-ctx.Done()
		s := budget.Stopped(ctx)
		require.NotNil(t, s)
		assert.Equal(t, limit, s.Limit)
		assert.Contains(t, s.Why, "depends on the machine")
		end()
	}
	ctx, end := bounded(t.Context(), &settings.Limits{Time: 3600, Memory: 1 << 20}, time.Millisecond)
	<-ctx.Done()
	assert.Equal(t, "time", budget.Stopped(ctx).Limit, "the flag stands for the settings")
	end()
}
