// Package budget bounds the work on one design.
//
// Work is counted, never timed: the same design with the same limit ends in the same place in
// every run and on every machine. Whoever starts the work makes a Budget and puts it into a
// context; the engines find it there and spend it as they go. When it is spent the context
// ends, with a [Stop] as its cause, so that all engines give up as they do for a context that
// nobody waits for any more. What has been decided by then stands; the rest is undecided.
//
// A limit that is not counted, such as one on time, ends the same context with [Budget.Stop].
package budget

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
)

// Kind is a kind of work.
type Kind uint8

// The kinds.
const (
	// Diagrams counts results of operations on decision diagrams that were worked out.
	Diagrams Kind = iota
	// States counts the elements of circuits that were solved in states of their switches, in
	// all these states together.
	States
	// Corners counts the elements that were solved at ends of what a design leaves open, in all
	// these corners together.
	Corners
	// Zones counts states that were followed together with the time.
	Zones
	Kinds
)

func (k Kind) String() string {
	return [...]string{
		Diagrams: "sets of states", States: "circuits in single states",
		Corners: "tolerances", Zones: "time",
	}[k]
}

// weight is what one unit of a kind costs, in steps: about 0.1 µs each on a laptop.
func (k Kind) weight() int64 { return [...]int64{Diagrams: 1, States: 10, Corners: 4, Zones: 100}[k] }

// Spent is work that was done, in steps by kind.
type Spent [Kinds]int64

// Steps is the sum over all kinds.
func (s Spent) Steps() (n int64) {
	for _, x := range s {
		n += x
	}
	return n
}

// Less is what of the work was not done before.
func (s Spent) Less(before Spent) Spent {
	for k := range s {
		s[k] -= before[k]
	}
	return s
}

// Budget is what the work on one design may cost. It is safe for concurrent use.
type Budget struct {
	most  int64
	spent [Kinds]atomic.Int64
	total atomic.Int64
	end   context.CancelCauseFunc
}

type key struct{}

// New makes a budget of so many steps, without a limit if that is not positive, and a context
// that ends when it is spent. The last result ends it in any case.
func New(ctx context.Context, steps int64) (context.Context, *Budget, func()) {
	b := &Budget{most: steps}
	ctx, b.end = context.WithCancelCause(ctx)
	return context.WithValue(ctx, key{}, b), b, func() { b.end(nil) }
}

// From returns the budget of a context; nil if it has none.
func From(ctx context.Context) *Budget {
	b, _ := ctx.Value(key{}).(*Budget)
	return b
}

// Spend counts n units of work. A nil budget counts nothing.
func (b *Budget) Spend(k Kind, n int64) {
	if b == nil || n <= 0 {
		return
	}
	n *= k.weight()
	b.spent[k].Add(n)
	if total := b.total.Add(n); b.most > 0 && total > b.most && total-n <= b.most {
		b.Stop(&Stop{Limit: "work", Why: fmt.Sprintf("the work that one design may take, %s steps, is done", millions(b.most))})
	}
}

// Spent is the work so far.
func (b *Budget) Spent() (s Spent) {
	if b != nil {
		for k := range s {
			s[k] = b.spent[k].Load()
		}
	}
	return s
}

// Stop ends the work for a reason of its own. The first reason stands.
func (b *Budget) Stop(why *Stop) { b.end(why) }

// Stop is why the work on a design ended before it was done.
type Stop struct {
	Limit string // the setting that can be raised
	Why   string // in words
}

func (s *Stop) Error() string { return s.Why }

// Stopped returns why the work of a context ended early; nil if it did not, or if nobody waits
// for it any more.
func Stopped(ctx context.Context) *Stop {
	var s *Stop
	if ctx == nil || ctx.Err() == nil || !errors.As(context.Cause(ctx), &s) {
		return nil
	}
	return s
}

// millions writes a number of steps with no more digits than it needs.
func millions(n int64) string {
	if n >= 1e6 {
		return fmt.Sprintf("%.4g million", float64(n)/1e6)
	}
	return fmt.Sprint(n)
}
