package budget

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSpend(t *testing.T) {
	ctx, b, end := New(t.Context(), 100)
	defer end()
	From(ctx).Spend(Diagrams, 60)
	require.NoError(t, ctx.Err())
	From(ctx).Spend(States, 4)
	require.NoError(t, ctx.Err(), "a hundred are allowed")
	assert.Nil(t, Stopped(ctx))
	From(ctx).Spend(Diagrams, 1)
	require.Error(t, ctx.Err())
	s := Stopped(ctx)
	require.NotNil(t, s)
	assert.Equal(t, "work", s.Limit)
	b.Stop(&Stop{Limit: "time", Why: "later"})
	assert.Equal(t, s, Stopped(ctx), "the first reason stands")
	assert.Equal(t, int64(101), b.Spent().Steps())
	assert.Equal(t, Spent{Diagrams: 61, States: 40}, b.Spent())
}

func TestNoBudget(t *testing.T) {
	From(t.Context()).Spend(Zones, 5) // counts nowhere
	assert.Zero(t, From(t.Context()).Spent())
	ctx, b, end := New(t.Context(), 0)
	b.Spend(Zones, 1<<40)
	require.NoError(t, ctx.Err(), "no limit")
	end()
	require.Error(t, ctx.Err())
	assert.Nil(t, Stopped(ctx), "ended, not stopped")
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	assert.Nil(t, Stopped(gone))
}
