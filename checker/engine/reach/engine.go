package reach

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"slices"

	"pintle/checker/engine/logic"
)

// Engine answers questions about one System. Each question is decided on the
// smallest part of the system that affects it; parts are compiled once
// and shared. An Engine belongs to one goroutine at a time.
type Engine struct {
	sys    *System
	opts   Options
	deps   [][]logic.Var
	models map[string]*model
	recent []string                // keys of models, latest last
	known  map[*logic.Expr]Verdict // of Never: many questions come down to a few
	ringed [][]logic.Var           // what rings gives, once it was asked
	gone   uint64                  // nodes made by models that were forgotten
	ends   uint64                  // how many nodes may have been made in all; see Allow
	untold bool                    // see Untold
}

// keptModels bounds the compiled parts that an Engine remembers.
const keptModels = 12

// New checks sys and returns an Engine for it. The error wraps ErrSystem. The
// System must not be changed afterwards.
func New(sys *System, opts Options) (*Engine, error) {
	if err := check(sys); err != nil {
		return nil, err
	}
	if opts.MaxZones <= 0 {
		opts.MaxZones = 20000
	}
	if opts.MaxWork == 0 {
		opts.MaxWork = 100_000_000
	}
	if opts.MaxTraces <= 0 {
		opts.MaxTraces = 32
	}
	sys = normal(sys)
	queue(sys)
	wait(sys)
	return &Engine{sys: sys, opts: opts, deps: dependencies(sys), models: map[string]*model{}, known: map[*logic.Expr]Verdict{}, ends: math.MaxUint64}, nil
}

// Made counts the decision nodes that the engine has made for all questions so far: the
// work that it has done. The same questions in the same order give the same count.
func (e *Engine) Made() uint64 {
	made := e.gone
	for _, m := range e.models {
		made += m.f.Stats.Made
	}
	return made
}

// Allow lets the engine make n more decision nodes for all questions that follow together,
// and no more than MaxWork for each; what would need more is Undecided. The function returned ends
// that. An undecided answer from within it is not remembered: asked again, a question gets
// what MaxWork gives it.
func (e *Engine) Allow(n uint64) (end func()) {
	before := e.ends
	made := e.Made()
	e.ends = made + min(n, math.MaxUint64-made)
	return func() { e.ends = before }
}

// Untold asks, until the function returned is called, for outcomes without the traces that show
// them: Trace may then be nil, or not a shortest one. Finding that a state is reached costs
// much less than finding the shortest way there.
func (e *Engine) Untold() (end func()) {
	before := e.untold
	e.untold = true
	return func() { e.untold = before }
}

// left is how many nodes Allow leaves.
func (e *Engine) left() uint64 {
	if e.ends == math.MaxUint64 {
		return e.ends
	}
	return e.ends - min(e.ends, e.Made())
}

// System is what the engine works on, without nil expressions.
func (e *Engine) System() *System { return e.sys }

// Slice lists the variables that affect the given ones, themselves
// included, in rising order: the smallest set closed under what rules, guards,
// durations and invariants read. What is decided on a slice is true of the
// whole, provided that the rest can start at all and does not hunt for ever
// (Hunts finds that).
func (e *Engine) Slice(vars ...logic.Var) []logic.Var { return cone(e.deps, vars) }

// all lists every variable.
func (e *Engine) all() []logic.Var {
	out := make([]logic.Var, len(e.sys.Vars))
	for i := range out {
		out[i] = logic.Var(i)
	}
	return out
}

// model compiles the slice that the given variables need.
func (e *Engine) model(ctx context.Context, vars ...logic.Var) (*model, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	slice := e.all()
	if !e.opts.Unsliced {
		slice = e.Slice(vars...)
	}
	var text []byte
	for _, v := range slice {
		text = binary.AppendUvarint(text, uint64(v))
	}
	key := string(text)
	m, known := e.models[key]
	if !known {
		var err error
		if m, err = compile(ctx, e.sys, e.deps, slice, e.opts.MaxNodes); err != nil {
			return nil, err
		}
		m.rings = e.ringsIn(m)
		e.models[key] = m
		if e.recent = append(e.recent, key); len(e.recent) > keptModels {
			e.gone += e.models[e.recent[0]].f.Stats.Made
			delete(e.models, e.recent[0])
			e.recent = e.recent[1:]
		}
	} else {
		at := slices.Index(e.recent, key)
		e.recent = append(slices.Delete(e.recent, at, at+1), key)
	}
	m.f.Watch(ctx)
	m.f.Recover()
	m.f.Quota(min(e.opts.MaxWork, e.left()))
	if m.f.Crowded() {
		m.f.Collect()
	}
	return m, nil
}

func varsOf(es ...*logic.Expr) []logic.Var {
	var out []logic.Var
	for _, e := range es {
		out = append(out, e.Vars()...)
	}
	return out
}

// Undecidable reports whether err means that a limit was met, so that the answer
// is unknown, and words that. Any other error, a done context above all, is no
// answer at all. Questions that return a Verdict have done this already.
func Undecidable(err error) (reason string, ok bool) {
	switch {
	case errors.Is(err, logic.ErrTooLarge):
		return "the state space is " + logic.ErrTooLarge.Error(), true
	case errors.Is(err, logic.ErrTooLong):
		return "the state space " + logic.ErrTooLong.Error(), true
	}
	return "", false
}

// unsure makes the verdict for a question that met a limit.
func unsure(err error) (Verdict, error) {
	if reason, ok := Undecidable(err); ok {
		return Verdict{Outcome: Undecided, Reason: reason}, nil
	}
	return Verdict{}, err
}

func (m *model) work() Work {
	return Work{Variables: len(m.vars), Images: m.images, Peak: m.f.Stats.Peak}
}

// Reachable gives the exact set of resting states as far as the given
// variables tell them apart, in the Manager that holds it, for Simplify and the
// like. Both are valid until the next question to the Engine.
func (e *Engine) Reachable(ctx context.Context, vars ...logic.Var) (*logic.Manager, logic.Ref, error) {
	m, err := e.model(ctx, vars...)
	if err != nil {
		return nil, logic.Never, err
	}
	r, err := m.reach()
	if err != nil {
		return nil, logic.Never, err
	}
	var hide []logic.Var
	for _, v := range m.vars {
		if !slices.Contains(vars, v) {
			hide = append(hide, v)
		}
	}
	out := m.f.Exists(r.all, m.f.Bits(hide...))
	return m.f, m.f.And(out, m.f.Valid()), m.f.Err()
}
