package system

import (
	"context"
	"slices"

	"pintle/checker/engine/fluid"
	"pintle/checker/engine/incomplete"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// paths turns the answers about fluids into conditions, all at once and only when one of
// them is first asked for.
type paths struct {
	net    *fluid.Fluid
	broken []bool // by port: something joined to it could not be read
	forest *logic.Manager
	solved *fluid.Answers[logic.Ref]
}

// newPaths prepares the graph of ports. Errors: fluid.ErrFault.
func newPaths(d *model.Design, faults []model.FaultAction) (*paths, error) {
	net, err := fluid.New(d, faults)
	if err != nil {
		return nil, err
	}
	return &paths{net: net, broken: incomplete.OfFluid(net)}, nil
}

// port is an atom about a port; any kind but fed, vented and neither asks for both fed
// and vented at once.
func (s *System) port(ctx context.Context, a *model.Atom) (meaning, error) {
	p := s.paths
	if a.Index < 0 || a.Index >= len(p.broken) || p.broken[a.Index] {
		return s.doubt(""), nil
	}
	if p.solved == nil {
		if err := s.solvePaths(ctx); err != nil {
			return meaning{}, err
		}
	}
	port := model.PortID(a.Index)
	var where logic.Ref
	switch a.Kind {
	case model.AtomFed:
		where = p.solved.Fed(port)
	case model.AtomVented:
		where = p.solved.Vented(port)
	case model.AtomNeither:
		where = p.solved.Neither(port)
	default:
		where = p.solved.Both(port)
	}
	e := shannon(p.forest, where)
	if p.forest.Err() != nil {
		return s.doubt("there are too many fluid paths to distinguish"), nil
	}
	return meaning{expr: e}, nil
}

// solvePaths takes the fixed point over all passages, in a manager over the variables
// that their conditions speak of.
func (s *System) solvePaths(ctx context.Context) error {
	p := s.paths
	exprs := map[*model.Cond]*logic.Expr{}
	var vars []logic.Var
	read := func(c *model.Cond) error {
		if c == nil || exprs[c] != nil {
			return nil
		}
		m, err := s.level(ctx, c)
		if err != nil {
			return err
		}
		exprs[c] = m.expr
		vars = append(vars, m.expr.Vars()...)
		return nil
	}
	for _, e := range p.net.Edges() {
		if err := read(e.Cond); err != nil {
			return err
		}
	}
	for _, o := range p.net.Sources() {
		if err := read(o.Cond); err != nil {
			return err
		}
	}
	slices.Sort(vars)
	f, err := logic.NewManager(s.space, logic.ManagerOptions{Order: append([]logic.Var{}, slices.Compact(vars)...), MaxNodes: s.opts.MaxNodes})
	if err != nil {
		return err
	}
	f.Watch(ctx)
	p.forest = f
	p.solved, err = fluid.Solve(ctx, p.net, fluid.Logic[logic.Ref]{
		False: logic.Never, True: logic.Always,
		Of:   func(c *model.Cond) logic.Ref { return f.Of(exprs[c]) },
		And:  f.And,
		Or:   f.Or,
		Not:  logic.Ref.Not,
		Same: func(a, b logic.Ref) bool { return a == b || f.Err() != nil },
	})
	return err
}
