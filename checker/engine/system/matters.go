package system

import (
	"context"

	"pintle/checker/engine/logic"
)

// Matters is how those switches stand without which the value of a peak would be worse. The
// others may stand as they like, so that no move is reported that has no say in the value.
func (x *Search) Matters(ctx context.Context, p *Peak) (*logic.Expr, error) {
	space := x.f.Space()
	all := make([]*logic.Expr, len(x.order))
	for i, closed := range p.closed {
		if all[i] = x.stand[i]; !closed {
			all[i] = space.Not(all[i])
		}
	}
	for _, i := range x.changeable() {
		other, err := x.solve(ctx, x.pick(x.f.Diff(x.in, x.f.Of(all[i])), p.closed))
		if err != nil {
			return nil, err
		}
		if other != nil && !x.better(p, other) {
			all[i] = space.True()
		}
	}
	return space.And(all...), nil
}

// NoLower is the state where a trace ends, if the value there is no worse than at a peak; nil if
// it is.
func (x *Search) NoLower(ctx context.Context, t *Trace, than *Peak) (*Peak, error) {
	p, err := x.At(ctx, t)
	if err != nil || p == nil || x.better(than, p) {
		return nil, err
	}
	return p, nil
}
