package consequence

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// OneLevel is an input that only ever reads one of its levels while its box has power,
// although what it is wired to changes then.
type OneLevel struct {
	Never int             // the level that it never reads: 0 low, 1 high
	By    model.ElementID // the nearest switch on its wiring, which both conducts and does not
	// There leads to where it reads the level after all, with other volts of a supply than
	// the nominal ones.
	There system.Verdict
}

var oneLevels = rule.Share(func(p *rule.Pass) map[model.ReadingID]*OneLevel { return map[model.ReadingID]*OneLevel{} })

// StaysAt reports whether an input that reads volts is one that only ever reads one level.
// An input that is tied to ground, to a supply or to the feed of its own box is meant to,
// and one that would read the other level with a single fault may be there for that.
func StaysAt(p *rule.Pass, id model.ReadingID) (*OneLevel, bool) {
	known := oneLevels.Of(p)
	got, ok := known[id]
	if !ok {
		got = staysAt(p, id)
		known[id] = got
	}
	return got, got != nil
}

func staysAt(p *rule.Pass, id model.ReadingID) *OneLevel {
	d := p.Design
	r := &d.Readings[id]
	if d.Bench || len(d.Incomplete) > 0 || r.Sender || r.Broken || r.Used == 0 || r.Level == model.None || r.Controller == model.None ||
		d.Nodes[r.Pin].Broken || d.Elsewhere(&r.Info) {
		return nil
	}
	for level := range 2 {
		reads := system.All(powered(d, r), system.InState(r.Level, level))
		if !impossible(p, reads) {
			continue
		}
		out := &OneLevel{Never: level}
		if Unpowered(p, r.Controller) || Restless(p, reads) {
			return nil
		}
		if !impossibleFreed(p, reads) {
			return nil // assumptions keep it from that, and not what it is wired to
		}
		if out.By = moves(p, r); out.By == model.None || loose(p, r) {
			return nil
		}
		there, only := OnlyThere(p, reads)
		if !only {
			return nil
		}
		out.There = there
		if with, sure := WithFault(p, reads, Faults(p, model.None, true, true)); with || !sure {
			return nil
		}
		return out
	}
	return nil
}

// Deaf tells of a condition that holds in no state in which a controller has power whether
// that is so because of an input of it that only ever reads the other level then.
func Deaf(p *rule.Pass, c *model.Cond, box model.ControllerID) bool {
	return deaf(p, c, system.InState(p.Design.Controllers[box].Powered, 1), deepest)
}

func deaf(p *rule.Pass, c *model.Cond, on system.Condition, deep int) bool {
	if c == nil || !c.Known() || deep == 0 || !impossible(p, system.All(system.On(c), on)) {
		return false
	}
	switch c.Op {
	case model.CondAnd:
		return slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return deaf(p, k, on, deep-1) })
	case model.CondOr:
		return !slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return !deaf(p, k, on, deep-1) })
	case model.CondNot:
		k := c.Kids[0]
		return k.Op == model.CondAtom && k.Atom.Kind == model.AtomMemory && waitsForLevel(p, k.Atom.Index, 1-k.Atom.In[0])
	case model.CondAtom:
		switch a := &c.Atom; a.Kind {
		case model.AtomCondition:
			return deaf(p, p.Design.Conditions[a.Index].Cond, on, deep-1)
		case model.AtomTimer:
			return deaf(p, p.Design.Timers[a.Index].Run, on, deep-1)
		case model.AtomMemory:
			return waitsForLevel(p, a.Index, a.In[0])
		}
	}
	return false
}

// waitsForLevel reports whether a memory is the level of an input that never reads it.
func waitsForLevel(p *rule.Pass, memory, level int) bool {
	m := &p.Design.Memories[memory]
	if m.MemKind != model.MemLevel {
		return false
	}
	still, is := StaysAt(p, model.ReadingID(m.Of))
	return is && still.Never == level
}

// deafDriver tells of what is switched on by a condition and the power of a box whether it
// waits in vain for an input of that.
func deafDriver(p *rule.Pass, kids []*model.Cond) bool {
	for i, k := range kids {
		if k.Op != model.CondAtom || k.Atom.Kind != model.AtomMemory || p.Design.Memories[k.Atom.Index].MemKind != model.MemPowered {
			continue
		}
		for j, other := range kids {
			if i != j && Deaf(p, other, model.ControllerID(p.Design.Memories[k.Atom.Index].Of)) {
				return true
			}
		}
	}
	return false
}

func powered(d *model.Design, r *model.Reading) system.Condition {
	return system.InState(d.Controllers[r.Controller].Powered, 1)
}

// OnlyThere tells of a condition that holds in no state at nominal values whether that is
// so whatever the tolerances, other volts of supplies left aside; and leads to where it
// holds with those.
func OnlyThere(p *rule.Pass, c system.Condition) (there system.Verdict, never bool) {
	got, err := p.System().Never(p.Ctx, c)
	p.StopOn(err)
	switch got.Outcome {
	case system.Holds:
		return system.Verdict{}, !got.NominalOnly
	case system.HoldsNominally:
		nominal, err := p.System().NeverOver(p.Ctx, c, circuit.OverTolerance|circuit.OverWarmth)
		p.StopOn(err)
		return got, nominal.Outcome == system.Holds && !nominal.NominalOnly
	}
	return system.Verdict{}, false
}

// Restless reports whether hardware that never settles, or assumptions that leave nothing that
// can move, affect one of some conditions: then nothing is to be concluded from what is
// never so. Both have findings of their own.
func Restless(p *rule.Pass, conds ...system.Condition) bool {
	is, err := p.System().Restless(p.Ctx, conds...)
	p.StopOn(err)
	return is
}

// freed is the state system as if nothing were assumed: where an input of a controller is deaf, an
// assumption that something moves only while a motor runs keeps that still as well, and the switch
// that the input is wired to with it.
var freed = rule.Share(func(p *rule.Pass) *system.System {
	if len(p.Design.Assumptions) == 0 {
		return p.System()
	}
	d := *p.Design
	d.Assumptions = nil
	d.Symptoms, d.Requirements, d.Notices, d.Drives = nil, nil, nil, nil // they only look on
	s, err := system.Build(p.Ctx, &d, system.Options{MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, Memo: p.Memo})
	p.StopOn(err)
	return s
})

func impossibleFreed(p *rule.Pass, c system.Condition) bool {
	got, err := freed.Of(p).PossibleHere(p.Ctx, c)
	p.StopOn(err)
	return got.Outcome == system.Fails
}

// moves is the switch nearest to the pin of an input, over anything that conducts, that
// is closed in some state in which the box has power and open in another; None where the
// pin is tied by metal to something fixed, or no such switch comes before that.
func moves(p *rule.Pass, r *model.Reading) model.ElementID {
	d, c := p.Design, p.Circuit()
	fixed := make([]bool, len(d.Nodes))
	fix := func(n model.NodeID) {
		if n != model.None {
			fixed[n] = true
		}
	}
	fix(d.Ground)
	for i := range d.Supplies {
		fix(d.Supplies[i].Plus)
		fix(d.Supplies[i].Minus)
	}
	fix(d.Controllers[r.Controller].Plus)
	fix(d.Controllers[r.Controller].Minus)
	at := make([][]model.ElementID, len(d.Nodes))
	for i := range d.Elements {
		e := &d.Elements[i]
		if _, switched, conducts := c.SwitchOf(model.ElementID(i)); switched || conducts {
			at[e.A], at[e.B] = append(at[e.A], model.ElementID(i)), append(at[e.B], model.ElementID(i))
		}
	}
	// What metal that always conducts joins to something fixed is fixed too.
	for n := range fixed {
		if fixed[n] {
			spread(d, at, model.NodeID(n), fixed)
		}
	}
	on := powered(d, r)
	seen := map[model.NodeID]bool{r.Pin: true}
	for queue := []model.NodeID{r.Pin}; len(queue) > 0; queue = queue[1:] {
		if fixed[queue[0]] {
			continue
		}
		for _, id := range at[queue[0]] {
			e := &d.Elements[id]
			if e.Type == model.ElemSupply || e.Type == model.ElemPull {
				continue
			}
			if _, switched, _ := c.SwitchOf(id); switched {
				closed := !impossibleFreed(p, system.All(on, system.On(e.Closed)))
				if closed && !impossibleFreed(p, system.All(on, system.Not(system.On(e.Closed)))) {
					return id
				}
				if !closed {
					continue
				}
			}
			if next := e.A + e.B - queue[0]; !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return model.None
}

// spread marks what metal joins to a node for good.
func spread(d *model.Design, at [][]model.ElementID, from model.NodeID, marks []bool) {
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for _, id := range at[queue[0]] {
			e := &d.Elements[id]
			if next := e.A + e.B - queue[0]; e.Metal && e.Closed == nil && !marks[next] {
				marks[next] = true
				queue = append(queue, next)
			}
		}
	}
}
