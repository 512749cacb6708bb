package circuits

import (
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/lang/model"
)

// What counts as running.
const (
	// feels is the share of its rated volts below which a load is taken to carry
	// nothing.
	feels = 0.01
)

// consumer is something that a circuit is there to feed: a load, a winding or a
// controller.
type consumer struct {
	*model.Info
	element model.ElementID // None: a controller that draws nothing
	a, b    model.NodeID
	rated   float64        // V
	runs    float64        // V, from which it does something; a winding's is what it pulls in at
	memory  model.MemoryID // 1 while it acts: a winding's armature, a controller's power
	load    *model.Load    // nil: no load
	shares  bool           // a winding that moves an armature together with others
	moves   float64        // A, with which a winding by itself would move its armature; 0: it is known by its volts
	part    part           // that a winding has in the iron that it moves
	assumed float64        // V, with which a winding is taken to pull in where it does not say; 0: it does
}

// part is what a winding does for the iron that it moves.
type part uint8

const (
	helps    part = iota // it moves none, or another winding speaks for the iron
	pulls                // it pulls it in, sets it, or is the first of several that move it
	releases             // it releases a latching armature
)

func (v *view) findConsumers() {
	d := v.d
	add := func(c consumer) {
		if c.Broken || c.a < 0 || c.b < 0 || d.Nodes[c.a].Broken || d.Nodes[c.b].Broken {
			return
		}
		if c.element != model.None {
			v.byElement[c.element] = len(v.consumers)
		}
		v.consumers = append(v.consumers, c)
	}
	v.byElement = map[model.ElementID]int{}
	for i := range d.Loads {
		l := &d.Loads[i]
		runs := ask.RunsFrom / 100.0 * l.Rated
		for j, level := range l.Levels {
			if at := level.Percent / 100 * l.Rated; j == 0 || at < runs {
				runs = at
			}
		}
		add(consumer{Info: &l.Info, element: l.Element, a: l.A, b: l.B, rated: l.Rated, runs: runs, memory: model.None, load: l})
	}
	for i := range d.Coils {
		k := &d.Coils[i]
		c := consumer{Info: &k.Info, element: k.Element, a: k.A, b: k.B, memory: k.Memory, rated: v.highest()}
		if k.HasPull {
			c.runs = k.PullIn.Float64()
			c.rated = c.runs
		}
		if k.Memory != model.None {
			c.part = pulls
			if !k.HasPull {
				c.assumed = k.PullIn.Float64()
			}
		}
		if k.Armature != model.None {
			if c.memory == model.None {
				c.memory = d.Armatures[k.Armature].Memory
			}
			arm := &d.Armatures[k.Armature]
			c.shares = len(arm.Moved) > 1
			switch id := model.CoilID(i); {
			case arm.Latching && arm.Release == id:
				c.part = releases
			case arm.Latching || arm.PullIn > 0 && len(arm.Moved) > 0 && arm.Moved[0].Coil == id:
				c.part = pulls
			}
			if !k.HasPull && k.Turns > 0 && arm.PullIn > 0 {
				c.moves = arm.PullIn / k.Turns
			}
		}
		add(c)
	}
	for i := range d.Controllers {
		k := &d.Controllers[i]
		c := consumer{Info: &k.Info, element: k.Draw, a: k.Plus, b: k.Minus, memory: k.Powered}
		c.runs = k.WorksFrom.Float64()
		c.rated = c.runs
		add(c)
	}
}

// word is what a consumer is called.
func (c *consumer) word() string {
	switch {
	case c.load != nil:
		return "load"
	case c.Kind == "coil":
		return "winding"
	}
	return "controller"
}

// acts is where a consumer does what it is there for: a load at its lowest named level
// (or a tenth of its rated volts), a winding pulled in, a controller powered.
func (v *view) acts(c *consumer) system.Condition {
	if c.memory != model.None {
		return ask.Remembers(c.memory)
	}
	return ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs)
}

// works is where a consumer shows that it is of use: it acts, or, as a winding that others
// help, has a current.
func (v *view) works(c *consumer) system.Condition {
	switch {
	case c.Kind != "coil" || c.part == pulls && c.memory != model.None:
		return v.acts(c)
	case c.part == releases && c.runs > 0:
		return ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs)
	}
	return v.feelsAny(c)
}

// feelsAny is where more than a trace of volts stands across a consumer. A winding of
// which ampere-turns are stated may be of few turns and hardly any resistance, and have
// next to no volts: with it, current counts.
func (v *view) feelsAny(c *consumer) system.Condition {
	if c.moves > 0 && c.element != model.None {
		return ask.AtLeast(ask.Current(c.element), feels*c.moves)
	}
	return ask.AtLeast(ask.VoltsAcross(c.a, c.b), feels*c.rated)
}

// direct is where a consumer has its feed and its return by metal (and diodes) alone.
func (v *view) direct(c *consumer) system.Condition {
	return system.Any(
		system.All(ask.Live(c.a), v.returns(c.b)),
		system.All(ask.Live(c.b), v.returns(c.a)))
}
