package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// coilMemory is the memory of a coil that has its own armature. A coil that says
// neither when it pulls in nor when it drops out, but moves or is asked for something,
// has one too, with values that are assumed.
func (b *builder) coilMemory(s scene, c *syntax.Cond, id model.CoilID, t thing) (model.MemoryID, bool) {
	k := &b.d.Coils[id]
	if k.Armature != model.None {
		a := &b.d.Armatures[k.Armature]
		b.wrong(s.y, c.Span, t, "`"+k.Path+"` has no armature of its own: it moves `"+a.Path+"` together with others", "ask the armature: "+a.Name+" is energised")
		return model.None, false
	}
	return b.ownArmature(id), true
}

// ownArmature makes the memory of a coil's own armature and its rules.
func (b *builder) ownArmature(id model.CoilID) model.MemoryID {
	k := &b.d.Coils[id]
	if k.Memory != model.None {
		return k.Memory
	}
	k.Memory = b.newMemory(k.Info, model.MemCoil, int(id), "released", "energised")
	pullDefault, dropDefault := coilDefaults(b.highest)
	o := b.sources[schema.Coil][id]
	volts, _ := unit.Lookup("V")
	value := func(has bool, v unit.Value, form schema.FormID, otherwise float64, what string) model.Param {
		if has {
			p := model.Exactly(v.Float64())
			if c := o.it.Stmt.Clause(form); c != nil {
				p.Place = o.it.Stmt.Place(c.Span)
			}
			return p
		}
		return b.assume(o.y, o.it, otherwise, unit.Voltage, what)
	}
	// One of the two alone lets the other follow: it drops out well below where it
	// pulls in, in the proportion of the defaults.
	switch {
	case k.HasPull && !k.HasDrop:
		dropDefault = k.PullIn.Float64() * dropDefault / pullDefault
	case k.HasDrop && !k.HasPull:
		pullDefault = max(pullDefault, k.DropOut.Float64())
	}
	pull := value(k.HasPull, k.PullIn, schema.CoilPullsIn, pullDefault, "pull-in voltage")
	drop := value(k.HasDrop, k.DropOut, schema.CoilDropsOut, dropDefault, "drop-out voltage")
	if !k.HasPull {
		k.PullIn = unit.New(milli(pull.Nominal), volts)
	}
	if !k.HasDrop {
		k.DropOut = unit.New(milli(drop.Nominal), volts)
	}
	if drop.Nominal > pull.Nominal && k.HasPull && k.HasDrop {
		b.report(o.y, o.it.Stmt, diag.Finding{
			Rule: "threshold-inverted", Place: drop.Place, Subject: k.Path,
			Message: "`" + k.Path + "` would drop out at " + k.DropOut.String() + ", above the " + k.PullIn.String() + " at which it pulls in",
			Why:     "between the two it would pull in and drop out endlessly",
			Help:    "write the lower voltage after `drops out at`",
			Related: []diag.Related{{Place: pull.Place, Note: "pulls in"}},
		})
	}
	m := model.Measure{Kind: model.AbsVolts, A: k.A, B: k.B, Element: k.Element, Load: model.None}
	b.d.Memories[k.Memory].Rules = []model.Rule{
		{From: []int{0}, To: 1, When: measureIs(m, model.AtLeast, pull, pull.Place)},
		{From: []int{1}, To: 0, When: measureIs(m, model.Below, drop, drop.Place)},
	}
	return k.Memory
}

// milli is a number rounded to a thousandth, exactly.
func milli(v float64) unit.Num { return unit.Ratio(int64(v*1000+0.5), 1000) }

// decideArmature gives an armature its rules: by the signed sum of ampere-turns, or
// set by one coil and released by another.
func (b *builder) decideArmature(y *body, it *name.Item, id int) {
	a := &b.d.Armatures[id]
	mem := a.Memory
	if a.Broken {
		b.d.Memories[mem].Broken = true
		return
	}
	b.idleClauses(it, a)
	if a.Latching {
		b.latch(y, it, a)
		return
	}
	if len(a.Moved) == 0 {
		if !a.Broken {
			b.missingClause(y, it, "nothing moves `"+a.Path+"`", "write moved by COIL, or set by COIL, released by COIL")
		}
		a.Broken, b.d.Memories[mem].Broken = true, true
		return
	}
	pullIn, ok1 := b.value(y, it.Stmt, schema.ArmaturePullsIn, "turns")
	dropOut, ok2 := b.value(y, it.Stmt, schema.ArmatureDropsOut, "turns")
	if !ok1 || !ok2 {
		if !it.Stmt.Has(schema.ArmaturePullsIn) || !it.Stmt.Has(schema.ArmatureDropsOut) {
			b.missingClause(y, it, "`"+a.Path+"` does not say at how many ampere-turns it pulls in and drops out", "write pulls in at 120 At, drops out at 30 At")
		}
		a.Broken, b.d.Memories[mem].Broken = true, true
		return
	}
	a.PullIn, a.DropOut = pullIn.Float64(), dropOut.Float64()
	m := model.Measure{Kind: model.AmpereTurns, A: model.None, B: model.None, Element: model.None, Load: model.None}
	for i := range a.Moved {
		w := &a.Moved[i]
		k := &b.d.Coils[w.Coil]
		if k.Turns == 0 {
			if !k.Broken {
				b.wrong(y, it.Defs[0].Place.Span, thing{def: b.sources[schema.Coil][w.Coil].it.Defs[0]},
					"`"+k.Path+"` moves `"+a.Path+"` but does not say its turns", "add to the coil: turns 400")
			}
			a.Broken, b.d.Memories[mem].Broken = true, true
			return
		}
		w.Turns *= k.Turns
		m.Windings = append(m.Windings, model.ElementTurns{Element: k.Element, Turns: w.Turns})
	}
	at := func(form schema.FormID) (p diag.Place) { return it.Stmt.Place(it.Stmt.Clause(form).Span) }
	pull, drop := model.Exactly(a.PullIn), model.Exactly(a.DropOut)
	pull.Place, drop.Place = at(schema.ArmaturePullsIn), at(schema.ArmatureDropsOut)
	b.d.Memories[mem].Rules = []model.Rule{
		{From: []int{0}, To: 1, When: measureIs(m, model.AtLeast, pull, pull.Place)},
		{From: []int{1}, To: 0, When: measureIs(m, model.Below, drop, drop.Place)},
	}
}

// idleClauses reports what is said of an armature or its coils and has no effect there.
func (b *builder) idleClauses(it *name.Item, a *model.Armature) {
	idle := func(o origin, form schema.FormID, why string) {
		if o.it == nil {
			return
		}
		c := o.it.Stmt.Clause(form)
		if c == nil {
			return
		}
		b.report(o.y, o.it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: o.it.Stmt.Place(c.Span),
			Message: "`" + c.Form.Literal() + "` has no effect here: " + why,
			Why:     "a clause without effect hides what was meant",
			Help:    "leave it out",
			Related: []diag.Related{{Place: a.Place, Note: "the armature"}},
		})
	}
	for _, w := range a.Moved {
		o := b.sources[schema.Coil][w.Coil]
		idle(o, schema.CoilPullsIn, "`"+a.Path+"` is moved by the sum of its ampere-turns")
		idle(o, schema.CoilDropsOut, "`"+a.Path+"` is moved by the sum of its ampere-turns")
	}
	if !a.Latching {
		return
	}
	own := origin{y: b.bodies[0], it: it}
	idle(own, schema.ArmaturePullsIn, "each coil moves a latching armature at its own pull-in voltage")
	idle(own, schema.ArmatureDropsOut, "a latching armature stays without current")
	for _, id := range [...]model.CoilID{a.Set, a.Release} {
		if id != model.None {
			idle(b.sources[schema.Coil][id], schema.CoilDropsOut, "`"+a.Path+"` stays without current")
			idle(b.sources[schema.Coil][id], schema.CoilTurns, "a latching armature is moved by one coil at a time")
		}
	}
}

// latch is for an armature that one coil sets and another releases, each at its own
// pull-in voltage.
func (b *builder) latch(y *body, it *name.Item, a *model.Armature) {
	mem := &b.d.Memories[a.Memory]
	if a.Set == model.None || a.Release == model.None {
		if !a.Broken {
			missing, help := "releases", "released by COIL"
			if a.Set == model.None {
				missing, help = "sets", "set by COIL"
			}
			b.missingClause(y, it, "nothing "+missing+" `"+a.Path+"`", "add "+help)
		}
		a.Broken, mem.Broken = true, true
		return
	}
	if len(a.Moved) > 0 {
		b.report(y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: it.Defs[0].Place, Subject: a.Path,
			Message: "`" + a.Path + "` both latches and is moved by the sum of its coils",
			Why:     "it is not clear what moves it",
			Help:    "write either `moved by` or `set by` and `released by`",
		})
		a.Broken, mem.Broken = true, true
		return
	}
	reach := func(id model.CoilID) *model.Cond {
		k := &b.d.Coils[id]
		pull, _ := coilDefaults(b.highest)
		p := model.Exactly(pull)
		if o := b.sources[schema.Coil][id]; k.HasPull {
			p = model.Exactly(k.PullIn.Float64())
			if c := o.it.Stmt.Clause(schema.CoilPullsIn); c != nil {
				p.Place = o.it.Stmt.Place(c.Span)
			}
		} else {
			p = b.assume(o.y, o.it, pull, unit.Voltage, "pull-in voltage")
		}
		return measureIs(model.Measure{Kind: model.AbsVolts, A: k.A, B: k.B, Element: k.Element, Load: model.None}, model.AtLeast, p, p.Place)
	}
	set, release := reach(a.Set), reach(a.Release)
	// With both coils energised it stays where it is; the checker finds that state.
	mem.Rules = []model.Rule{
		{From: []int{0}, To: 1, When: model.And(set, model.Not(release))},
		{From: []int{1}, To: 0, When: model.And(release, model.Not(set))},
	}
}

// moveContact finds what moves a contact and when it is made.
func (b *builder) moveContact(id int) {
	o := b.sources[schema.Contact][id]
	st := o.it.Stmt
	k := &b.d.Contacts[id]
	switch {
	case st.Has(schema.ContactMadeSometimes):
		k.Sometimes = true
		b.onlyElsewhere(o, st)
		if k.WorkElem != model.None {
			k.Made = atom(k.Place, model.Atom{Kind: model.AtomFree, Index: int(k.WorkElem)})
		} else {
			k.Made = atom(k.Place, model.Atom{Kind: model.AtomFree, Index: int(k.RestElem)})
		}
	case st.Has(schema.ContactMadeWhen):
		owner := k.Info
		when := b.condition(scene{y: o.y, owner: &owner}, st.Clause(schema.ContactMadeWhen), "cond")
		b.noMoments(o.y, when)
		made := b.follow(when, &owner)
		b.d.Contacts[id].When, b.d.Contacts[id].Made = when, made
	default:
		by, ok := b.mover(o, st)
		if !ok {
			b.d.Contacts[id].Made = model.Unknown
			return
		}
		k = &b.d.Contacts[id]
		k.By = by
		k.Made = memoryIs(by, k.Place, index(k.Form != model.Break))
	}
}

// onlyElsewhere reports `made sometimes` in a body that should say what it does.
func (b *builder) onlyElsewhere(o origin, st *syntax.Stmt) {
	if o.y.elsewhere || b.alone {
		return
	}
	c := st.Clause(schema.ContactMadeSometimes)
	b.report(o.y, st, diag.Finding{
		Rule: "wrong-kind", Place: st.Place(c.Span),
		Message: "`made sometimes` is allowed only for contacts in an `elsewhere` body",
		Why:     "a contact that is described here has to say when it is made",
		Help:    "write `made when` with a condition, or put the contact into fit NAME: elsewhere { … }",
	})
}

// mover is the memory of the coil or armature that moves a contact.
func (b *builder) mover(o origin, st *syntax.Stmt) (model.MemoryID, bool) {
	if c := st.Clause(schema.ContactBy); c != nil {
		t, ok := b.find(o.y, c, "mover")
		if !ok {
			return model.None, false
		}
		if t.kind == schema.Armature {
			return b.d.Armatures[t.id].Memory, true
		}
		if a := b.d.Coils[t.id].Armature; a != model.None {
			return b.d.Armatures[a].Memory, true
		}
		return b.ownArmature(model.CoilID(t.id)), true
	}
	var found []entity
	doubtful := false // a coil or armature that can't be read may be the one
	for _, it := range o.y.live {
		if it.Stmt.Kind.ID != schema.Coil && it.Stmt.Kind.ID != schema.Armature {
			continue
		}
		for _, d := range it.Defs {
			switch x := o.y.ents[d.Index]; x.kind {
			case schema.Armature:
				found = append(found, x)
			case schema.Coil:
				if b.d.Coils[x.id].Armature == model.None {
					found = append(found, x)
				}
			case unknown:
				doubtful = true
			}
		}
	}
	switch {
	case doubtful:
		return model.None, false
	case len(found) == 1 && found[0].kind == schema.Armature:
		return b.d.Armatures[found[0].id].Memory, true
	case len(found) == 1:
		return b.ownArmature(model.CoilID(found[0].id)), true
	case len(found) == 0:
		b.missingClause(o.y, o.it, "nothing moves the contact `"+o.y.prefix+o.it.Defs[0].Name+"`", "add `by` with a coil or armature, or `made when` with a condition")
	default:
		b.missingClause(o.y, o.it, "which coil moves the contact `"+o.y.prefix+o.it.Defs[0].Name+"` is not said", "add `by` with the coil or armature")
	}
	return model.None, false
}

// closeContact closes the elements of a contact when it is made, and the resting throw
// of a changeover when it is not.
func (b *builder) closeContact(id int) {
	made := b.contactMade(id, b.d.Contacts[id].Place)
	k := &b.d.Contacts[id]
	if k.Made != nil {
		made = k.Made // with the place at which it is written
	}
	k.Made = made
	set := func(e model.ElementID, c *model.Cond) {
		if e != model.None {
			b.d.Elements[e].Closed = c
			b.d.Elements[e].Sometimes = k.Sometimes
		}
	}
	switch k.Form {
	case model.Make:
		set(k.WorkElem, made)
	case model.Break:
		set(k.RestElem, made)
	case model.Changeover:
		set(k.WorkElem, made)
		set(k.RestElem, model.Not(made))
	}
}
