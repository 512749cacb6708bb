package elaborate

import (
	"pintle/lang/model"
)

// turnsOnCircuits reports whether a condition can change by the solution of circuits,
// fluid paths or readings without any input or memory having changed. Named
// conditions, results and bands are looked through.
func (b *builder) turnsOnCircuits(c *model.Cond) bool {
	if c == nil {
		return false
	}
	if c.Op == model.CondAtom {
		return b.atomTurnsOnCircuits(&c.Atom)
	}
	for _, k := range c.Kids {
		if b.turnsOnCircuits(k) {
			return true
		}
	}
	return false
}

func (b *builder) atomTurnsOnCircuits(a *model.Atom) bool {
	switch a.Kind {
	case model.AtomReading, model.AtomLive, model.AtomGrounded, model.AtomFloating, model.AtomMeasure,
		model.AtomFed, model.AtomVented, model.AtomNeither, model.AtomJoined:
		return true
	case model.AtomEdge:
		return b.turnsOnCircuits(b.d.Edges[a.Index].Of)
	case model.AtomCondition:
		return b.remember(taintKey{model.AtomCondition, a.Index}, func() bool {
			return b.turnsOnCircuits(b.d.Conditions[a.Index].Cond)
		})
	case model.AtomResult:
		return b.remember(taintKey{model.AtomResult, a.Index}, func() bool {
			for i := range b.d.Results[a.Index].Rows {
				if b.turnsOnCircuits(b.d.Results[a.Index].Rows[i].When) {
					return true
				}
			}
			return false
		})
	case model.AtomBands:
		// The band itself may be memory, but whether the partition speaks at all is not.
		t := &b.d.Bands[a.Index]
		return t.Reading != model.None || b.turnsOnCircuits(t.While)
	}
	return false
}

type taintKey struct {
	kind  model.AtomKind
	index int
}

// remember computes whether a named thing depends on circuits once. While it is being
// computed it counts as not; what runs in a ring has been reported where it was met.
func (b *builder) remember(k taintKey, compute func() bool) bool {
	if v, ok := b.taint[k]; ok {
		return v
	}
	b.taint[k] = false
	v := compute()
	b.taint[k] = v
	return v
}

// follow puts memory between circuits and what circuits are made of: each greatest
// part of the condition that depends on circuits is replaced by a memory that follows it
// one step behind. What depends on inputs and memory alone keeps acting at once.
func (b *builder) follow(c *model.Cond, owner *model.Info) *model.Cond {
	if c == nil || !b.turnsOnCircuits(c) {
		return c
	}
	if c.Op == model.CondAnd || c.Op == model.CondOr {
		var at, lag []*model.Cond
		for _, k := range c.Kids {
			if b.turnsOnCircuits(k) {
				lag = append(lag, k)
			} else {
				at = append(at, k)
			}
		}
		if len(at) > 0 {
			joined := &model.Cond{Op: c.Op, Kids: lag, Place: lag[0].Place}
			if len(lag) == 1 {
				joined = lag[0]
			}
			return &model.Cond{Op: c.Op, Kids: append(at, b.follow(joined, owner)), Place: c.Place}
		}
	}
	if c.Op == model.CondNot {
		return model.Not(b.follow(c.Kids[0], owner))
	}
	id, ok := b.followers[c]
	if !ok {
		id = model.MemoryID(len(b.d.Memories))
		b.followers[c] = id
		b.d.Memories = append(b.d.Memories, model.Memory{
			Info:    info(owner, "follow"),
			MemKind: model.MemFollow,
			States:  []string{"no", "yes"},
			Rules: []model.Rule{
				{From: []int{0}, To: 1, When: c},
				{From: []int{1}, To: 0, When: model.Not(c)},
			},
			Of: model.None,
		})
	}
	return memoryIs(id, c.Place, 1)
}

// info is what a thing that the text does not name itself takes over from its owner.
func info(owner *model.Info, kind string) model.Info {
	return model.Info{Path: owner.Path, Name: owner.Name, Kind: kind, Place: owner.Place, NamePlace: owner.NamePlace,
		Fit: owner.Fit, Broken: owner.Broken}
}
