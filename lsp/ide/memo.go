package ide

import (
	"context"
	"sync/atomic"
)

// memo is something worked out when it is first asked for and then kept. Several may
// ask at once: one works, the others wait, each as long as its own context lasts. What
// failed, or was given up because its context ended, is not kept.
type memo[T any] struct {
	done atomic.Pointer[T]
	turn turn
}

// known returns what was worked out already.
func (m *memo[T]) known() (out T, ok bool) {
	if p := m.done.Load(); p != nil {
		return *p, true
	}
	return out, false
}

func (m *memo[T]) get(ctx context.Context, compute func(context.Context) (T, error)) (T, error) {
	if v, ok := m.known(); ok {
		return v, nil
	}
	var none T
	if err := m.turn.take(ctx); err != nil {
		return none, err
	}
	defer m.turn.leave()
	if v, ok := m.known(); ok {
		return v, nil
	}
	v, err := compute(ctx)
	if err != nil {
		return none, err
	}
	m.done.Store(&v)
	return v, nil
}

// turn is a mutex that can be waited for with a context. It is made by newTurn.
type turn chan struct{}

func newTurn() turn { return make(turn, 1) }

func newMemo[T any]() memo[T] { return memo[T]{turn: newTurn()} }

func (t turn) take(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case t <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (t turn) leave() { <-t }
