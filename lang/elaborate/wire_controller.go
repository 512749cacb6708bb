package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/unit"
)

// wirePowered says what a controller works from and draws.
func (b *builder) wirePowered(y *body, it *name.Item) {
	if y.controller == model.None {
		return
	}
	k := b.d.Controllers[y.controller]
	h := it.Stmt.Head()
	if k.Place != it.Stmt.Place(it.Stmt.Line) {
		return
	}
	plus, ok1 := b.node(y, h.From, 0)
	minus, ok2 := b.node(y, h.To, 0)
	volts, ok3 := b.value(y, it.Stmt, schema.PoweredWorks, "volts")
	mem := &b.d.Memories[k.Powered]
	if !ok1 || !ok2 || !ok3 {
		k.Broken, mem.Broken = true, true
		k.Plus, k.Minus = b.someNode(plus, minus, k.Info), b.someNode(minus, plus, k.Info)
		b.d.Controllers[y.controller] = k
		b.incomplete(y, it)
		return
	}
	k.Plus, k.Minus, k.WorksFrom = plus, minus, volts
	level := model.Exactly(volts.Float64())
	level.Place = it.Stmt.Place(it.Stmt.Clause(schema.PoweredWorks).Span)
	measure := model.Measure{Kind: model.Volts, A: plus, B: minus, Element: model.None, Load: model.None}
	mem.Rules = []model.Rule{
		{From: []int{0}, To: 1, When: measureIs(measure, model.AtLeast, level, level.Place)},
		{From: []int{1}, To: 0, When: measureIs(measure, model.Below, level, level.Place)},
	}
	if c := it.Stmt.Clause(schema.PoweredDraws); c != nil {
		if q, ok := b.quantity(y, c, "current"); ok && q.Value.N.Sign() > 0 {
			p := param(q, it.Stmt.Place(c.Span))
			k.Draws = p.Nominal
			// What a box draws is taken as a resistance that draws it at the highest nominal
			// supply.
			v := b.supplyVolts()
			p.Nominal, p.Min, p.Max = v/p.Nominal, v/p.Max, v/p.Min
			i := k.Info
			k.Draw = b.element(model.Element{Info: i, Type: model.ElemDraw, A: plus, B: minus, Ohm: p, Of: int(y.controller)})
		}
	}
	b.d.Controllers[y.controller] = k
}

// powered asks whether a controller has its working voltage (1) or not (0); that is not
// known where its `powered` line could not be read.
func (b *builder) powered(id model.ControllerID, place diag.Place, state int) *model.Cond {
	k := &b.d.Controllers[id]
	if k.Broken {
		return unknownAt(place)
	}
	return memoryIs(k.Powered, place, state)
}

// someNode stands in for a pin that could not be understood: another one that could, or
// a node of its own. What is computed with it means nothing, and its owner says so by
// being broken, but nobody stumbles over it.
func (b *builder) someNode(n, other model.NodeID, owner model.Info) model.NodeID {
	switch {
	case n != model.None:
		return n
	case other != model.None:
		return other
	}
	owner.Kind, owner.Broken, owner.Used = "pin", true, 0
	return b.newNode(owner)
}

// supplyVolts is the highest nominal supply, or 12 V where there is none.
func (b *builder) supplyVolts() float64 {
	if b.highest > 0 {
		return b.highest
	}
	return 12
}

// needsController reports an input or driver in a body that is no controller.
func (b *builder) needsController(y *body, it *name.Item) bool {
	if y.controller != model.None {
		return false
	}
	word := it.Stmt.Kind.Name
	if !y.scope.Controller { // a broken `powered` line has been reported already
		b.missingClause(y, it, articleOf(word)+" `"+word+"` belongs to a controller, and this body has no `powered` line",
			"write what keeps it at work: powered A to B: works from 7 V")
	}
	return true
}

func (b *builder) wireInput(y *body, it *name.Item, n int) bool {
	if b.needsController(y, it) {
		return false
	}
	st, id := it.Stmt, model.ReadingID(n)
	r := b.d.Readings[id]
	read := b.read(y, it)
	if r.Pin = read.node(schema.InputAt, "pin"); read.lost {
		return false
	}
	r.Sender = st.Has(schema.InputReadsSender)
	if !r.Sender && !st.Has(schema.InputReadsVolts) {
		return false
	}
	b.wirePulls(y, it, id, &r)
	if r.Sender {
		if st.Has(schema.InputCountsValue) {
			r.CountsAs, r.HasCountsAs = read.value(schema.InputCountsValue)
		} else if !st.Broken {
			if c := st.Clause(schema.InputCountsLevel); c != nil {
				b.report(y, st, diag.Finding{Rule: "wrong-kind", Place: st.Place(c.Span), Subject: r.Path,
					Message: "`" + r.Path + "` reads a sender: it counts as a value, not as " + c.Word("level").Text,
					Why:     "it is not clear what the controller does while the wire is off",
					Help:    "write counts as VALUE while disconnected"})
			} else {
				b.missingClause(y, it, "`"+r.Path+"` does not say what it counts as while disconnected", "write counts as VALUE while disconnected")
			}
			r.Broken = true
		}
		b.onlyOfVolts(y, it, &r)
		b.d.Readings[id] = r
		return true
	}
	b.wireLevel(y, it, id, &r)
	b.d.Readings[id] = r
	return true
}

// onlyOfVolts reports what an input that reads a sender has no use for.
func (b *builder) onlyOfVolts(y *body, it *name.Item, r *model.Reading) {
	for _, form := range [...]schema.FormID{schema.InputLow, schema.InputHigh} {
		if c := it.Stmt.Clause(form); c != nil {
			b.report(y, it.Stmt, diag.Finding{Rule: "wrong-kind", Place: it.Stmt.Place(c.Span), Subject: r.Path,
				Message: "`" + c.Form.Literal() + "` applies only to inputs that read volts", Why: "a clause without effect hides what was meant",
				Help: "leave it out, or write `reads volts`"})
		}
	}
}

// wirePulls makes the resistors inside a controller that pull an input up or down.
func (b *builder) wirePulls(y *body, it *name.Item, id model.ReadingID, r *model.Reading) {
	st := it.Stmt
	minus := b.controllerMinus(y)
	if minus == model.None {
		return
	}
	pull := func(ohm, volts model.Param, closed *model.Cond) {
		r.Pull = b.element(model.Element{Info: r.Info, Type: model.ElemPull, A: minus, B: r.Pin, Ohm: ohm, Volts: volts, Closed: closed, Of: int(id)})
	}
	powered := b.powered(y.controller, it.Stmt.Place(it.Stmt.Line), 1)
	if c := st.Clause(schema.InputPulledDown); c != nil {
		if q, ok := b.quantity(y, c, "resistance"); ok {
			pull(param(q, st.Place(c.Span)), model.Param{}, nil)
		}
	}
	if c := st.Clause(schema.InputPulledUp); c != nil {
		q, ok1 := b.quantity(y, c, "resistance")
		v, ok2 := b.quantity(y, c, "volts")
		if ok1 && ok2 {
			pull(param(q, st.Place(c.Span)), param(v, st.Place(c.Span)), powered)
		}
	}
	c := st.Clause(schema.InputCountsLevel)
	if c == nil || r.Sender {
		return
	}
	r.CountsHigh = 0
	if c.Word("level").Text == "high" {
		r.CountsHigh = 1
	}
	if r.Pull != model.None {
		b.pullAgrees(y, it, r, c) // what it reads while disconnected follows from the resistor
		return
	}
	ohm := b.assume(y, it, WeakPullOhm, unit.Resistance, "pull while disconnected")
	if r.CountsHigh == 0 {
		pull(ohm, model.Param{}, nil)
		return
	}
	if v, ok := b.value(y, st, schema.InputHigh, "volts"); ok {
		pull(ohm, model.Exactly(2*v.Float64()), powered)
	}
}

// pullAgrees reports an input that is said to read something else while disconnected
// than its resistor makes it read.
func (b *builder) pullAgrees(y *body, it *name.Item, r *model.Reading, c clause) {
	st := it.Stmt
	up, down := st.Clause(schema.InputPulledUp), st.Clause(schema.InputPulledDown)
	if up != nil && down != nil {
		return
	}
	reads := 0
	if up != nil {
		v, ok1 := b.quantity(y, up, "volts")
		high, ok2 := b.value(y, st, schema.InputHigh, "volts")
		if !ok1 || !ok2 {
			return
		}
		if n, err := v.Value.Cmp(high); err == nil && n > 0 {
			reads = 1
		}
	}
	if reads == r.CountsHigh {
		return
	}
	pull := up
	if pull == nil {
		pull = down
	}
	b.report(y, st, diag.Finding{
		Rule: "wrong-kind", Place: st.Place(c.Span), Subject: r.Path,
		Message: "`" + r.Path + "` counts as " + c.Word("level").Text + " while disconnected, but its resistor makes it read " + [...]string{"low", "high"}[reads],
		Why:     "it is not clear what the controller does while the wire is off",
		Help:    "leave out `counts as`: the resistor decides",
		Related: []diag.Related{{Place: st.Place(pull.Span), Note: "the resistor"}},
	})
}

// controllerMinus finds the ground pin of the body's controller, wherever its line stands.
func (b *builder) controllerMinus(y *body) model.NodeID {
	for _, it := range y.live {
		if it.Stmt.Kind.ID == schema.Powered && it.Stmt.Head().To != nil {
			if n, ok := b.node(y, it.Stmt.Head().To, 0); ok {
				return n
			}
			return model.None
		}
	}
	return model.None
}

// wireLevel gives an input that reads volts its memory: low below one voltage, high
// above another, and between the two as it was.
func (b *builder) wireLevel(y *body, it *name.Item, id model.ReadingID, r *model.Reading) {
	st := it.Stmt
	mem := &b.d.Memories[r.Level]
	low, high := st.Clause(schema.InputLow), st.Clause(schema.InputHigh)
	if low == nil || high == nil {
		b.missingClause(y, it, "`"+r.Path+"` does not say from which volts it reads low and high", "write low below 1.5 V, high above 3.5 V")
		r.Broken, mem.Broken = true, true
		return
	}
	minus := b.controllerMinus(y)
	lo, ok1 := b.quantity(y, low, "volts")
	hi, ok2 := b.quantity(y, high, "volts")
	if !ok1 || !ok2 || minus == model.None {
		r.Broken, mem.Broken = true, true
		return
	}
	if n, err := hi.Value.Cmp(lo.Value); err == nil && n < 0 {
		b.report(y, st, diag.Finding{
			Rule: "threshold-inverted", Place: st.Place(high.Span), Subject: r.Path,
			Message: "`" + r.Path + "` would be low and high at once between " + hi.Value.String() + " and " + lo.Value.String(),
			Why:     "the controller could not tell low from high",
			Help:    "write the higher voltage after `high above`",
			Related: []diag.Related{{Place: st.Place(low.Span), Note: "low below"}},
		})
		r.Broken, mem.Broken = true, true
		return
	}
	r.LowBelow, r.HighAbove = lo.Value, hi.Value
	m := model.Measure{Kind: model.Volts, A: r.Pin, B: minus, Element: model.None, Load: model.None}
	mem.Rules = []model.Rule{
		{From: []int{1}, To: 0, When: measureIs(m, model.Below, param(lo, st.Place(low.Span)), st.Place(low.Span))},
		{From: []int{0}, To: 1, When: measureIs(m, model.Above, param(hi, st.Place(high.Span)), st.Place(high.Span))},
	}
}

func (b *builder) wireDriver(y *body, it *name.Item, id int) bool {
	if b.needsController(y, it) {
		return false
	}
	r := b.read(y, it)
	v := b.d.Drivers[id]
	v.Clamped = r.st.Has(schema.DriverClamped)
	e := model.Element{Info: v.Info, Type: model.ElemDriver, Metal: true, Of: id}
	if v.Feeds = r.st.Has(schema.DriverFeeds); v.Feeds {
		v.Pin, v.From = r.node(schema.DriverFeeds, "pin"), r.node(schema.DriverFeeds, "feed")
		e.A, e.B = v.From, v.Pin
	} else {
		v.Pin, v.From = r.node(schema.DriverEarths, "pin"), r.node(schema.DriverEarths, "ground")
		e.A, e.B = v.Pin, v.From
	}
	if r.lost {
		return false
	}
	e.Limit = r.limit(schema.DriverUpTo)
	e.LimitPlace, v.Limit = e.Limit.Place, e.Limit.Nominal
	e.Ohm = b.paramOf(y, it, schema.DriverInside, "resistance", DefaultDriverOhm, unit.Resistance, "inside resistance")
	v.Element = b.element(e)
	b.d.Drivers[id] = v
	return true
}
