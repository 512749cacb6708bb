package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// decide lowers the conditions of a body.
func (b *builder) decide(y *body) {
	for _, it := range y.live {
		if b.stop() {
			return
		}
		for _, d := range it.Defs {
			if d.In != y.scope || isClaim(d.Kind) || d.Kind == schema.Bench || d.Index >= len(y.ents) {
				continue
			}
			b.decideThing(y, it, y.ents[d.Index])
		}
	}
}

func (b *builder) decideThing(y *body, it *name.Item, x entity) {
	if int(x.kind) < len(kinds) && kinds[x.kind].decide != nil {
		kinds[x.kind].decide(b, y, it, int(x.id))
	}
}

func (b *builder) decideSupply(y *body, it *name.Item, id int) {
	if c := it.Stmt.Clause(schema.SupplyWhile); c != nil {
		when := b.hardware(y, &b.d.Supplies[id].Info, c)
		b.d.Supplies[id].While = when
		b.d.Elements[b.d.Supplies[id].Element].Closed = when
	}
}

func (b *builder) decideOrigin(y *body, it *name.Item, id int) {
	if c := it.Stmt.Clause(schema.OriginPresent); c != nil {
		when := b.hardware(y, &b.d.Origins[id].Info, c)
		b.d.Origins[id].Present = when
	}
}

// decideCoil gives a coil its own armature, unless it moves one together with others.
func (b *builder) decideCoil(_ *body, _ *name.Item, id int) {
	if b.d.Coils[id].HasPull && b.d.Coils[id].Armature == model.None {
		b.ownArmature(model.CoilID(id))
	}
}

func (b *builder) decideContact(_ *body, _ *name.Item, id int) { b.closeContact(id) }

func (b *builder) decideDriver(_ *body, _ *name.Item, id int) {
	on := b.driverOn(id, b.d.Drivers[id].Place)
	b.d.Elements[b.d.Drivers[id].Element].Closed = on
}

func (b *builder) decideCondition(_ *body, _ *name.Item, id int) {
	b.lowerCondition(id, b.d.Conditions[id].Place)
}

func (b *builder) decideResult(_ *body, _ *name.Item, id int) {
	b.lowerResult(id, b.d.Results[id].Place)
}

func (b *builder) decideBands(_ *body, _ *name.Item, id int) {
	b.lowerBands(id, b.d.Bands[id].Place)
}

// hardware lowers a condition under which a piece of a circuit or of a fluid path is
// there or open: nothing that it depends on may be the circuit's own solution, and it
// can't be a moment.
func (b *builder) hardware(y *body, owner *model.Info, c clause) *model.Cond {
	when := b.condition(scene{y: y, owner: owner}, c, "cond")
	b.noMoments(y, when)
	return b.follow(when, owner)
}

// noMoments reports `begins`, `ends` and `stays` where something has to last.
func (b *builder) noMoments(y *body, c *model.Cond) {
	b.moments(y, c, "a contact, output or passage would be open or closed for no time at all",
		"let `modes` take the move as a transition, and name the mode here")
}

// noMomentsAsked is the same for what is asked, claimed or timed.
func (b *builder) noMomentsAsked(y *body, conds ...*model.Cond) {
	for _, c := range conds {
		b.moments(y, c, "what is asked of states has to last for some time, and a moment does not",
			"name the state that it leads to; a timer that `starts when` waits for the beginning by itself")
	}
}

// moments reports the moments in a condition, also where it names one that has them.
func (b *builder) moments(y *body, c *model.Cond, why, help string) {
	c.Atoms(func(a *model.Cond) {
		word, named := b.moment(a, 0)
		if word == "" {
			return
		}
		message := "`" + word + "` is true only at a moment"
		if named != "" {
			message = "`" + named + "` depends on `" + word + "`, which is true only at a moment"
		}
		b.report(y, nil, diag.Finding{Rule: "wrong-kind", Place: a.Place, Message: message, Why: why, Help: help})
	})
}

// moment finds `begins`, `ends` or `stays` in an atom, or in the condition that it names.
func (b *builder) moment(a *model.Cond, depth int) (word, named string) {
	switch {
	case a.Atom.Kind == model.AtomEdge:
		return [...]string{"begins", "ends", "stays"}[a.Atom.Edge], ""
	case a.Atom.Kind == model.AtomCondition && depth < len(b.d.Conditions):
		n := &b.d.Conditions[a.Atom.Index]
		n.Cond.Atoms(func(k *model.Cond) {
			if w, _ := b.moment(k, depth+1); w != "" && word == "" {
				word, named = w, n.Path
			}
		})
	}
	return word, named
}

// wireHose and wirePassage find the ports that a path of a fluid lies between.
func (b *builder) wireHose(y *body, it *name.Item, id int) bool {
	r, p := b.read(y, it), &b.d.Passages[id]
	m, n := r.port(schema.HoseEnds, "from"), r.port(schema.HoseEnds, "to")
	if r.lost {
		return false
	}
	p.A, p.B = m, n
	return true
}

func (b *builder) wirePassage(y *body, it *name.Item, id int) bool {
	r, p := b.read(y, it), &b.d.Passages[id]
	m, n := r.port(schema.PassageEnds, "a"), r.port(schema.PassageEnds, "b")
	if r.lost {
		return false
	}
	p.A, p.B = m, n
	return true
}

func (b *builder) decideHose(_ *body, it *name.Item, id int) {
	if p := &b.d.Passages[id]; p.A != model.None {
		p.Clamped = it.Stmt.Has(schema.HoseClamped)
	}
}

func (b *builder) decidePassage(y *body, it *name.Item, id int) {
	p := &b.d.Passages[id]
	if p.A == model.None {
		return
	}
	p.OneWay = it.Stmt.Has(schema.PassageOneWay)
	if c := it.Stmt.Clause(schema.PassagePasses); c != nil {
		when := b.hardware(y, &p.Info, c)
		b.d.Passages[id].Open = when
		return
	}
	if !it.Stmt.Has(schema.PassageAlways) {
		p.Broken, p.Open = true, model.Unknown // the parser has said what is missing
	}
}

// join looks at what is joined when everything has its ends.
func (b *builder) join(y *body) {
	for _, it := range y.live {
		if k := it.Stmt.Kind.ID; k != schema.Passage && k != schema.Hose || len(it.Defs) == 0 {
			continue
		}
		x := y.ents[it.Defs[0].Index]
		if x.kind == schema.Passage || x.kind == schema.Hose {
			b.sameMedium(y, it, &b.d.Passages[x.id])
		}
	}
}

// sameMedium reports a path that joins two different fluids. It is asked when every
// port has its medium.
func (b *builder) sameMedium(y *body, it *name.Item, p *model.Passage) {
	m, n := &b.d.Ports[p.A], &b.d.Ports[p.B]
	if m.Medium == n.Medium || m.Medium == "" || n.Medium == "" {
		return
	}
	b.report(y, it.Stmt, diag.Finding{
		Rule: "wrong-kind", Place: p.Place, Subject: p.Path,
		Message: "`" + p.Path + "` joins " + m.Medium + " to " + n.Medium,
		Why:     "the two would mix",
		Help:    "join ports of one medium",
		Related: []diag.Related{{Place: m.Place, Note: m.Medium}, {Place: n.Place, Note: n.Medium}},
	})
}

func (b *builder) switchDriver(id int) {
	v := b.d.Drivers[id]
	o := b.sources[schema.Driver][id]
	when := model.Unknown
	if c := o.it.Stmt.Clause(schema.DriverWhen); c != nil {
		when = b.condition(b.in(o, &v.Info), c, "cond")
		b.noMoments(o.y, when)
	}
	on := when
	if v.Controller != model.None {
		on = model.And(b.follow(when, &v.Info), b.powered(v.Controller, v.Place, 1))
	}
	b.d.Drivers[id].When, b.d.Drivers[id].On = when, on
}

func (b *builder) decideBeat(y *body, it *name.Item, id int) {
	r := b.read(y, it)
	t := b.d.Beats[id]
	t.On, t.Off = r.param(schema.BeatOn).Nominal, r.param(schema.BeatOff).Nominal
	t.Broken = t.Broken || r.lost
	if c := it.Stmt.Clause(schema.BeatWhile); c != nil {
		t.While = b.condition(scene{y: y, owner: &t.Info, acts: y.controller != model.None}, c, "cond")
		b.noMomentsAsked(y, t.While)
	}
	if t.Controller != model.None {
		t.While = model.And(t.While, b.powered(t.Controller, t.Place, 1))
	}
	b.d.Beats[id] = t
}

func (b *builder) decideTimer(y *body, it *name.Item, id int) {
	t := b.d.Timers[id]
	st := it.Stmt
	s := scene{y: y, owner: &t.Info, acts: y.controller != model.None}
	c := st.Clause(schema.TimerRuns)
	if f := st.Clause(schema.TimerStarts); f != nil {
		c, t.Starts = f, true
	}
	run := model.Unknown
	if c != nil {
		run = b.condition(s, c, "cond")
	}
	var stop *model.Cond
	if c := st.Clause(schema.TimerStops); c != nil {
		stop = b.condition(s, c, "cond")
	}
	b.noMomentsAsked(y, run, stop)
	t.Cases = b.timerCases(s, it, &t)
	if len(t.Cases) == 0 {
		t.Broken = true
	}
	b.d.Timers[id] = t
	b.runTimer(model.TimerID(id), run, stop)
}

// timerCases reads how long a timer lasts: one time, or rows by case.
func (b *builder) timerCases(s scene, it *name.Item, t *model.Timer) []model.TimerCase {
	lasts := it.Stmt.Clause(schema.TimerLasts)
	var cases []model.TimerCase
	if lasts != nil {
		if lo, hi, ok := b.duration(s.y, lasts.Quantity("time")); ok {
			cases = append(cases, model.TimerCase{Min: lo, Max: hi, Place: it.Stmt.Place(lasts.Span)})
		}
	}
	if !it.Stmt.HasBody {
		return cases
	}
	if lasts != nil {
		b.report(s.y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: it.Stmt.Place(lasts.Span), Subject: t.Path,
			Message: "`" + t.Path + "` has a time of its own and rows by case",
			Why:     "it is not clear which of them counts",
			Help:    "make the time a row: row NAME: lasts " + "…, otherwise",
		})
	}
	cases = cases[:0]
	var otherwise *model.TimerCase
	b.eachRow(s.y, it.Stmt.Body, schema.TimerRow, func(st *syntax.Stmt) {
		row := model.TimerCase{Name: st.Name().Text, Place: st.Place(st.Line)}
		c := st.Clause(schema.TimerRowLasts)
		if c == nil {
			t.Broken = true
			return
		}
		lo, hi, ok := b.duration(s.y, c.Quantity("time"))
		if !ok {
			t.Broken = true
			return
		}
		row.Min, row.Max = lo, hi
		if st.Has(schema.TimerRowOtherwise) {
			if otherwise != nil {
				b.secondOtherwise(s.y, st, otherwise.Place)
			}
			otherwise = &row
			return
		}
		if c := st.Clause(schema.TimerRowWhen); c != nil {
			row.When = b.condition(s, c, "cond")
		} else {
			row.When = model.Unknown
		}
		cases = append(cases, row)
	})
	if otherwise == nil {
		if !t.Broken {
			b.missingClause(s.y, it, "no row of `"+t.Path+"` says how long it lasts otherwise", "add a row: row NAME: lasts 1 s, otherwise")
		}
		return nil
	}
	return append(cases, *otherwise)
}

func (b *builder) decideModes(y *body, it *name.Item, id int) {
	m := &b.d.Machines[id]
	names := b.machineModes(id)
	d := it.Defs[0]
	if c := it.Stmt.Clause(schema.ModesStart); c != nil && len(names) > 0 {
		if p, ok := b.position(y, d, names, c.Word("mode"), d.Inner); ok {
			m.Start = p
		} else {
			m.Broken = true
		}
	}
	if len(names) == 0 {
		m.Broken = true
		b.missingClause(y, it, "`"+m.Path+"` has no modes", "name them in its body: mode idle, running")
	}
	if m.Controller != model.None {
		m.Reset = b.powered(m.Controller, m.Place, 0)
	}
	s := scene{y: y, owner: &m.Info, acts: y.controller != model.None}
	var out []model.Transition
	b.eachRow(y, it.Stmt.Body, schema.From, func(st *syntax.Stmt) {
		t, ok := b.transition(s, st, d, names)
		if !ok {
			b.d.Machines[id].Broken = true
			return
		}
		out = append(out, t)
	})
	b.d.Machines[id].Transitions = out
}

func (b *builder) transition(s scene, st *syntax.Stmt, d *name.Def, names []string) (model.Transition, bool) {
	h := st.Head()
	t := model.Transition{Any: h.Any, Place: st.Place(st.Line)}
	ok := !st.Broken || h.To != nil
	if h.To == nil || len(h.To.Parts) != 1 {
		return t, false
	}
	to, known := b.position(s.y, d, names, h.To.Parts[0], d.Inner)
	ok = ok && known
	t.To = to
	for _, w := range h.Names {
		p, known := b.position(s.y, d, names, w, d.Inner)
		ok = ok && known
		if known {
			t.From = append(t.From, p)
		}
	}
	if h.Any {
		t.From = nil
		for i := range names {
			if i != to {
				t.From = append(t.From, i)
			}
		}
	}
	t.When = model.Unknown
	if c := st.Clause(schema.FromWhen); c != nil {
		t.When = b.condition(s, c, "cond")
	}
	return t, ok
}
