package server

import (
	"context"
	"sync"
	"time"
)

const (
	// mostRequests is how many requests may be unanswered at once; further ones are refused.
	mostRequests = 1024
	// concurrent is how many requests begin at once; others wait for one to be answered, or to
	// turn out slow.
	concurrent = 32
	// slow is after what time a request makes room for the next one. It works on.
	slow = 50 * time.Millisecond
)

// front is where requests begin. A cheap one has its answer while it stands there; one that
// takes long stands aside, so that any number of slow ones keep no cheap one waiting.
type front chan struct{}

func newFront() front { return make(front, concurrent) }

// enter waits for a place. Whoever was let in has to leave.
func (f front) enter(ctx context.Context) (leave func(), err error) {
	select {
	case f <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	var once sync.Once
	free := func() { once.Do(func() { <-f }) }
	aside := time.AfterFunc(slow, free)
	return func() { aside.Stop(); free() }, nil
}
