package elaborate

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/schema"
	"pintle/lang/spelling"
	"pintle/lang/syntax"
)

func nearest(word string, among []string) string { return spelling.Best(word, slices.Values(among)) }

// testTrue lowers a condition that is just a name.
func (b *builder) testTrue(s scene, c *syntax.Cond, t thing) *model.Cond {
	place := s.place(c.Span)
	switch t.kind {
	case schema.Threshold:
		return memoryIs(b.d.Thresholds[t.id].Memory, place, 1)
	case schema.Condition:
		if !b.lowerCondition(int(t.id), place) {
			return unknownAt(place)
		}
		return atom(place, model.Atom{Kind: model.AtomCondition, Index: int(t.id)})
	case schema.Takes:
		if a := &b.args[t.id]; a.kind == argCond {
			return at(b.lowerArg(int(t.id), s, place), place)
		}
	}
	b.wrong(s.y, c.Span, t, "`"+c.Subject.A.String()+"` is "+article(wordOf(t))+", which is neither true nor false by itself", b.askable(t))
	return unknownAt(place)
}

// testIs lowers `is W` and `is any of W, W`.
func (b *builder) testIs(s scene, c *syntax.Cond, t thing) *model.Cond {
	place := s.place(c.Span)
	if names, kind := b.namedStates(t); names != nil {
		var in []int
		known := b.decided(t, place) && !b.infoOf(t.entity).Broken
		for _, w := range c.Words {
			p, ok := b.position(s.y, t.def, names, w, b.statesOf(t))
			if !ok {
				known = false
				continue
			}
			in = append(in, p)
		}
		if !known || len(in) == 0 {
			return unknownAt(place)
		}
		slices.Sort(in)
		in = slices.Compact(in)
		if t.kind == schema.Option {
			if slices.Contains(in, b.d.Options[t.id].Chosen) {
				return &model.Cond{Op: model.CondTrue, Place: place}
			}
			return &model.Cond{Op: model.CondFalse, Place: place}
		}
		return atom(place, model.Atom{Kind: kind, Index: int(t.id), In: in})
	}
	kids := make([]*model.Cond, len(c.Words))
	for i, w := range c.Words {
		kids[i] = b.testState(s, c, t, w)
	}
	return at(model.Or(kids...), place)
}

// namedStates returns the names of what a thing can be, where the text names them, and
// the atom that asks for them.
func (b *builder) namedStates(t thing) ([]string, model.AtomKind) {
	switch t.kind {
	case schema.Setting:
		return b.d.Settings[t.id].Positions, model.AtomSetting
	case schema.Option:
		return b.d.Options[t.id].Positions, 0
	case schema.Modes:
		return b.machineModes(int(t.id)), model.AtomMachine
	case schema.Result:
		return b.resultRows(int(t.id)), model.AtomResult
	case schema.Bands:
		return b.bandNames(int(t.id)), model.AtomBands
	}
	return nil, 0
}

// decided makes sure that the conditions of a result or of bands are lowered; false
// if they depend on themselves.
func (b *builder) decided(t thing, place diag.Place) bool {
	switch t.kind {
	case schema.Result:
		return b.lowerResult(int(t.id), place)
	case schema.Bands:
		return b.lowerBands(int(t.id), place)
	}
	return true
}

// testState lowers `is W` for what has states that the language names.
func (b *builder) testState(s scene, c *syntax.Cond, t thing, w syntax.Word) *model.Cond {
	place := s.place(c.Span)
	states, lowered := b.stateOf(s, c, t, w)
	if lowered != nil {
		return lowered
	}
	name := c.Subject.A.String()
	if len(states) == 0 {
		f := wrongKind(place, t, "nothing can be asked of `"+name+"`, which is "+article(wordOf(t)), b.askable(t))
		b.asIs(s, c, t, w, &f)
		b.report(s.y, nil, f)
		return unknownAt(place)
	}
	f := wrongKind(s.place(w.Span), t, "`"+name+"` is "+article(wordOf(t))+" and can't be `"+w.Text+"`", "it can be "+listOf(states))
	best := stateMeant(w.Text, states)
	if best == "" {
		best = nearest(w.Text, states)
	}
	didYouMean(&f, best)
	if best == "" {
		b.asIs(s, c, t, w, &f)
	}
	b.report(s.y, nil, f)
	return unknownAt(place)
}

// askable reports what can be asked of a thing.
func (b *builder) askable(t thing) string {
	n := "it"
	if t.def != nil {
		n = t.def.Name
	}
	switch t.kind {
	case schema.Setting, schema.Option, schema.Modes, schema.Result, schema.Bands:
		first := "POSITION"
		if t.def.Inner != nil && len(t.def.Inner.Defs) > 0 {
			first = t.def.Inner.Defs[0].Name
		}
		return "write `" + n + " is " + first + "`"
	case schema.Quantity:
		return "compare it: " + n + " above " + b.d.Quantities[t.id].Lo.String()
	case schema.Input:
		if b.d.Readings[t.id].Sender {
			return "compare it with a value"
		}
		return "write `" + n + " is low` or `" + n + " is high`"
	case schema.Threshold, schema.Condition:
		return "write just `" + n + "`, or `not " + n + "`"
	case schema.Coil, schema.Armature:
		return "write `" + n + " is energised` or `" + n + " is released`"
	case schema.Contact:
		return "write `" + n + " is made` or `" + n + " is open`"
	case schema.Node, aWay:
		return "write `" + n + " is live`, `is grounded` or `is floating`"
	case schema.Port, schema.Origin:
		return "write `" + n + " is fed`, `is vented` or `is neither`"
	case schema.Driver, schema.Beat:
		return "write `" + n + " is on` or `" + n + " is off`"
	case schema.Timer:
		return "write `" + n + " is running`, `is done` or `is idle`"
	case schema.Load:
		l := &b.d.Loads[t.id]
		if len(l.Levels) > 0 {
			return "write `" + n + " is " + l.Levels[0].Name + "`"
		}
		return "give the load a level to name: lit from 60 %"
	case schema.Fuse:
		return "write `" + n + " is blown` or `current through " + n + " above 1 A`"
	case schema.Wire, schema.Resistor, schema.Diode, schema.Supply:
		return "write `current through " + n + " above 1 A`"
	case schema.Fit, fitGroup:
		if inner := b.askableInside(t); inner != "" {
			return "name what is meant inside it, such as `" + n + "." + inner + "`"
		}
		return "name something of the fit, as " + n + ".NAME, or `" + n + " is powered` if it is a controller"
	}
	return "name a setting, threshold, condition or a thing with a state"
}

// askableInside names something of a fit that has a state and is seen from outside.
func (b *builder) askableInside(t thing) string {
	y := b.bodies[0]
	prefix := ""
	switch {
	case t.kind == schema.Fit:
		y = b.bodies[t.id]
	case len(b.groups[t.id]) > 0:
		y, prefix = b.groups[t.id][0], "1."
	}
	for _, d := range y.scope.Defs {
		switch d.Kind {
		case schema.Load, schema.Coil, schema.Armature, schema.Contact, schema.Input, schema.Driver, schema.Threshold, schema.Modes, schema.Condition:
			if y.scope.SeenFromOutside(d) {
				return prefix + d.Name
			}
		}
	}
	return ""
}

// stateOf lowers one word said of a thing; where it says nothing it returns what could
// be said instead.
func (b *builder) stateOf(s scene, c *syntax.Cond, t thing, w syntax.Word) ([]string, *model.Cond) {
	place := s.place(c.Span)
	word := w.Text
	switch t.kind {
	case schema.Coil:
		if word == "energised" || word == "released" {
			mem, ok := b.coilMemory(s, c, model.CoilID(t.id), t)
			if !ok {
				return nil, unknownAt(place)
			}
			return nil, memoryIs(mem, place, index(word == "energised"))
		}
		return []string{"energised", "released"}, nil
	case schema.Armature:
		if word == "energised" || word == "released" {
			return nil, memoryIs(b.d.Armatures[t.id].Memory, place, index(word == "energised"))
		}
		return []string{"energised", "released"}, nil
	case schema.Contact:
		if word == "made" || word == "open" {
			return nil, stands(word == "made", b.contactMade(int(t.id), place), b.standing(model.ThingContact, int(t.id)), "made", "open")
		}
		return []string{"made", "open"}, nil
	case schema.Node, aWay:
		return b.nodeState(s, c, t, word)
	case schema.Load:
		if t.def.Inner != nil {
			if d := t.def.Inner.Own(word); d != nil {
				b.note(s.y, w.Span, d)
			}
		}
		return b.levelState(place, model.LoadID(t.id), word)
	case schema.Port, schema.Origin:
		port := int(t.id)
		if t.kind == schema.Origin {
			port = int(b.d.Origins[t.id].Port)
		}
		switch word {
		case "fed":
			return nil, atom(place, model.Atom{Kind: model.AtomFed, Index: port})
		case "vented":
			return nil, atom(place, model.Atom{Kind: model.AtomVented, Index: port})
		case "neither":
			return nil, atom(place, model.Atom{Kind: model.AtomNeither, Index: port})
		}
		return []string{"fed", "vented", "neither"}, nil
	case schema.Input:
		r := &b.d.Readings[t.id]
		if r.Sender {
			return nil, nil
		}
		if word == "low" || word == "high" {
			return nil, memoryIs(r.Level, place, index(word == "high"))
		}
		return []string{"low", "high"}, nil
	case schema.Driver:
		if word == "on" || word == "off" {
			of := b.standing(model.ThingDriver, int(t.id))
			if s.acts { // a controller knows what it commands, not that its output is stuck
				of.Kind = model.ThingNone
			}
			return nil, stands(word == "on", b.driverOn(int(t.id), place), of, "on", "off")
		}
		return []string{"on", "off"}, nil
	case schema.Beat:
		if word == "on" || word == "off" {
			return nil, atom(place, model.Atom{Kind: model.AtomBeat, Index: int(t.id), In: []int{index(word == "on")}})
		}
		return []string{"on", "off"}, nil
	case schema.Timer:
		names := []string{"idle", "running", "done"}
		if i := slices.Index(names, word); i >= 0 {
			return nil, atom(place, model.Atom{Kind: model.AtomTimer, Index: int(t.id), In: []int{i}})
		}
		return names, nil
	case schema.Fuse:
		if word == "blown" {
			return nil, atom(place, model.Atom{Kind: model.AtomBlown, Index: int(t.id)})
		}
		return []string{"blown"}, nil
	case schema.Fit:
		return b.fitState(place, t, word)
	}
	return nil, nil
}

// stands is a condition of what stands on or off, made or broken, as something else decides:
// it keeps the words in which it is asked.
func stands(yes bool, k *model.Cond, of model.Thing, on, off string) *model.Cond {
	if k.Op == model.CondUnknown {
		return k
	}
	c := *k
	c.Said = &model.Said{Yes: of.Path + " is " + on, No: of.Path + " is " + off, Of: of, Made: true}
	if yes {
		return &c
	}
	return model.Not(&c)
}

// standing is a contact or driver as a condition names it.
func (b *builder) standing(kind model.ThingKind, id int) model.Thing {
	if kind == model.ThingContact {
		return model.Thing{Kind: kind, Index: id, Path: b.d.Contacts[id].Path}
	}
	return model.Thing{Kind: kind, Index: id, Path: b.d.Drivers[id].Path}
}

func index(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
