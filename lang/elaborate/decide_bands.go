package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// watched is a quantity or a reading that thresholds and bands look at.
type watched struct {
	quantity model.QuantityID
	reading  model.ReadingID
	measure  *model.Measure
	dim      unit.Dim
}

// watch finds what a path stands for as something that varies.
func (b *builder) watch(s scene, ref *syntax.Ref) (watched, bool) {
	w := watched{quantity: model.None, reading: model.None}
	t, ok := b.resolve(s.y, ref)
	if !ok || !b.mayName(s, ref, t) {
		return w, false
	}
	switch t.kind {
	case schema.Quantity:
		w.quantity = model.QuantityID(t.id)
		w.dim = b.d.Quantities[t.id].Lo.Dim()
		return w, true
	case schema.Input:
		r := &b.d.Readings[t.id]
		if r.Sender {
			w.reading, w.dim = model.ReadingID(t.id), r.CountsAs.Dim()
			return w, r.HasCountsAs
		}
	}
	b.wrongThing(s.y, ref, t, "a quantity or an input that reads a sender")
	return w, false
}

// atom asks how what is watched compares with a value.
func (w watched) atom(c model.Cmp, v unit.Value, place diag.Place) *model.Cond {
	switch {
	case w.measure != nil:
		p := model.Exactly(v.Float64())
		p.Place = place
		return measureIs(*w.measure, c, p, place)
	case w.reading != model.None:
		return atom(place, model.Atom{Kind: model.AtomReading, Index: int(w.reading), Cmp: c, Value: v})
	}
	return atom(place, model.Atom{Kind: model.AtomQuantity, Index: int(w.quantity), Cmp: c, Value: v})
}

// observe reads the thresholds of a body, before any condition can name them.
func (b *builder) observe(y *body) {
	for _, it := range y.live {
		if it.Stmt.Kind.ID != schema.Threshold {
			continue
		}
		for _, d := range it.Defs {
			if x := y.ents[d.Index]; x.kind == schema.Threshold {
				b.decideThreshold(y, it, int(x.id))
			}
		}
	}
}

func (b *builder) decideThreshold(y *body, it *name.Item, id int) {
	t := b.d.Thresholds[id]
	ok := b.readThreshold(y, it, &t)
	if !ok {
		t.Broken = true
		b.d.Memories[t.Memory].Broken = true
	}
	b.d.Thresholds[id] = t
}

func (b *builder) readThreshold(y *body, it *name.Item, t *model.Threshold) bool {
	st := it.Stmt
	s := scene{y: y, owner: &t.Info, acts: y.controller != model.None}
	c := st.Clause(schema.ThresholdSubject)
	if c == nil {
		return false
	}
	x := c.Subject("subject")
	if x == nil {
		return false
	}
	var w watched
	ok := true
	if x.Kind == syntax.SubjectRef {
		w, ok = b.watch(s, x.A)
	} else {
		m, dim, known := b.measure(s, x)
		w = watched{quantity: model.None, reading: model.None, measure: &m, dim: dim}
		ok = known
	}
	sets, sc, ok1 := b.edge(y, st, w.dim, ok, schema.ThresholdSetsAt, schema.ThresholdSetsAbove, schema.ThresholdSetsBelow)
	clears, cc, ok2 := b.edge(y, st, w.dim, ok && ok1, schema.ThresholdClearsAt, schema.ThresholdClearsAbove, schema.ThresholdClearsBelow)
	if !ok || !ok1 || !ok2 {
		return false
	}
	t.Quantity, t.Reading, t.Measure = w.quantity, w.reading, w.measure
	t.Sets, t.Clears = sets, clears
	t.SetsPlace, t.ClearsPlace = st.Place(sc.Span), st.Place(cc.Span)
	t.SetsCmp, t.ClearsCmp = sides(sets, sc.Form.ID, clears, cc.Form.ID)
	set := w.atom(t.SetsCmp, sets, t.SetsPlace)
	clear := w.atom(t.ClearsCmp, clears, t.ClearsPlace)
	if t.Controller != model.None {
		set = model.And(set, b.powered(t.Controller, t.Place, 1))
		clear = model.Or(clear, b.powered(t.Controller, t.Place, 0))
	}
	mem := &b.d.Memories[t.Memory]
	mem.Rules = []model.Rule{{From: []int{1}, To: 0, When: clear}, {From: []int{0}, To: 1, When: set}}
	if st.Has(schema.ThresholdStartsSet) {
		mem.Start = 1
	}
	return true
}

// edge is the value at which a threshold sets or clears, with the clause that tells.
func (b *builder) edge(y *body, st *syntax.Stmt, dim unit.Dim, check bool, forms ...schema.FormID) (unit.Value, clause, bool) {
	for _, form := range forms {
		c := st.Clause(form)
		if c == nil {
			continue
		}
		q, ok := b.quantity(y, c, "value")
		if ok && check {
			ok = b.sameDim(y, c.Quantity("value"), q.Value, dim)
		}
		return q.Value, c, ok
	}
	return unit.Value{}, nil, false
}

// sides tells from which side a threshold sets and clears. `at` is the value itself
// included, on the side that the other clause or the two values imply.
func sides(sets unit.Value, sf schema.FormID, clears unit.Value, cf schema.FormID) (set, clear model.Cmp) {
	order, _ := sets.Cmp(clears)
	rising := order >= 0
	switch {
	case sf == schema.ThresholdSetsAbove || cf == schema.ThresholdClearsBelow:
		rising = true
	case sf == schema.ThresholdSetsBelow || cf == schema.ThresholdClearsAbove:
		rising = false
	}
	switch sf {
	case schema.ThresholdSetsAbove:
		set = model.Above
	case schema.ThresholdSetsBelow:
		set = model.Below
	default:
		set = model.AtMost
		if rising {
			set = model.AtLeast
		}
	}
	switch cf {
	case schema.ThresholdClearsAbove:
		clear = model.Above
	case schema.ThresholdClearsBelow:
		clear = model.Below
	default:
		clear = model.AtLeast
		if rising {
			clear = model.AtMost
		}
	}
	return set, clear
}

// lowerBands decides a partition, but for the claims of its bands, which may name the
// partition itself.
func (b *builder) lowerBands(id int, place diag.Place) bool {
	t := &b.d.Bands[id]
	return b.once(lazyKey{schema.Bands, id}, t.Path, place, b.divideBands)
}

func (b *builder) divideBands(id int) {
	o := b.sources[schema.Bands][id]
	t := b.d.Bands[id]
	s := b.in(o, &t.Info)
	c := o.it.Stmt.Clause(schema.BandsOver)
	var w watched
	ok := c != nil
	if ok {
		w, ok = b.watch(s, c.Ref("quantity"))
	}
	if c := o.it.Stmt.Clause(schema.BandsWhile); c != nil {
		t.While = b.condition(s, c, "cond")
		t.While = at(t.While, s.place(c.Span))
	}
	t.Quantity, t.Reading = model.None, model.None
	if ok {
		t.Quantity, t.Reading = w.quantity, w.reading
	} else {
		t.Broken = true
	}
	i := 0
	b.eachRow(o.y, o.it.Stmt.Body, schema.Band, func(st *syntax.Stmt) {
		if i < len(t.Bands) {
			b.band(s, &t, i, st, w, ok)
		}
		i++
	})
	if ok {
		b.bandStretches(&t, w)
	}
	if t.Memory != model.None {
		b.d.Memories[t.Memory].Rules = bandRules(&t)
		b.d.Memories[t.Memory].Broken = t.Broken
	}
	b.d.Bands[id] = t
}

func (b *builder) band(s scene, t *model.Bands, i int, st *syntax.Stmt, w watched, known bool) {
	band := &t.Bands[i]
	band.Keeps = st.Has(schema.BandKeeps)
	if c := st.Clause(schema.BandEnters); c != nil {
		d := b.sources[schema.Bands][b.bandsIndex(t)].it.Defs[0]
		if p, ok := b.position(s.y, d, bandNamesOf(t), c.Word("band"), d.Inner); ok {
			band.EntersAs = p
		} else {
			t.Broken = true
		}
		if !band.Keeps {
			b.report(s.y, st, diag.Finding{Rule: "wrong-kind", Place: st.Place(c.Span), Subject: band.Path,
				Message: "`enters as` applies only to bands with `keeps`", Why: "a clause without effect hides what was meant", Help: "add `keeps`, or leave it out"})
		}
	}
	c := st.Clause(schema.BandRange)
	if c == nil {
		band.Broken, t.Broken = true, true
		return
	}
	lo, hi, ok := b.span(s.y, c, "range")
	if ok && known {
		ok = b.sameDim(s.y, c.Quantity("range"), lo, w.dim)
	}
	if !ok {
		band.Broken, t.Broken = true, true
		return
	}
	band.Lo, band.Hi = lo, hi
	band.LoPlace, band.HiPlace = st.Place(c.Span), st.Place(c.Span)
}

func (b *builder) bandsIndex(t *model.Bands) int {
	for i := range b.d.Bands {
		if b.d.Bands[i].Place == t.Place && b.d.Bands[i].Path == t.Path {
			return i
		}
	}
	return 0
}

func bandNamesOf(t *model.Bands) []string {
	out := make([]string, len(t.Bands))
	for i := range t.Bands {
		out[i] = t.Bands[i].Name
	}
	return out
}

// bandStretches says of each band when the quantity lies in it: the lower end included
// and the upper not, but for the band that ends where the range does.
func (b *builder) bandStretches(t *model.Bands, w watched) {
	last := -1
	for i := range t.Bands {
		x := &t.Bands[i]
		if x.Broken {
			continue
		}
		if last < 0 {
			last = i
			continue
		}
		if n, err := x.Hi.Cmp(t.Bands[last].Hi); err == nil && n > 0 {
			last = i
		}
	}
	for i := range t.Bands {
		x := &t.Bands[i]
		if x.Broken {
			x.In = model.Unknown
			continue
		}
		upper := model.Below
		if i == last && b.reachesEnd(t, x) {
			upper = model.AtMost
		}
		x.In = at(model.And(w.atom(model.AtLeast, x.Lo, x.LoPlace), w.atom(upper, x.Hi, x.HiPlace)), x.LoPlace)
	}
}

// reachesEnd reports whether a band ends where the range of its quantity does. What an
// input may read is known only when senders are found, so its last band counts as such.
func (b *builder) reachesEnd(t *model.Bands, x *model.Band) bool {
	if t.Quantity == model.None {
		return true
	}
	n, err := x.Hi.Cmp(b.d.Quantities[t.Quantity].Hi)
	return err == nil && n >= 0
}

// bandRules moves the memory of a partition that keeps: into each band that does not
// keep when the quantity is in it, into what a band that keeps enters as when there is
// none to have come from, and out of all when the partition does not speak. The last
// state is that: none.
func bandRules(t *model.Bands) []model.Rule {
	none := len(t.Bands)
	var rules []model.Rule
	if t.While != nil {
		rules = append(rules, model.Rule{To: none, When: model.Not(t.While)})
	}
	for i := range t.Bands {
		x := &t.Bands[i]
		if x.In == nil {
			continue
		}
		switch {
		case !x.Keeps:
			rules = append(rules, model.Rule{To: i, When: model.And(t.While, x.In)})
		case x.EntersAs != model.None:
			rules = append(rules, model.Rule{From: []int{none}, To: x.EntersAs, When: model.And(t.While, x.In)})
		}
	}
	return rules
}

// claimBands lowers what must hold in each band.
func (b *builder) claimBands(y *body, it *name.Item, id int) {
	i := 0
	b.eachRow(y, it.Stmt.Body, schema.Band, func(st *syntax.Stmt) {
		bands := b.d.Bands[id].Bands
		if i >= len(bands) {
			return
		}
		row := i
		i++
		var claims []*model.Cond
		owner := bands[row].Info
		for _, c := range st.All(schema.BandClaim) {
			claims = append(claims, b.condition(scene{y: y, owner: &owner}, c, "cond"))
		}
		if len(claims) == 0 {
			return
		}
		t := &b.d.Bands[id]
		t.Bands[row].Claim = model.And(claims...)
		if !t.Bands[row].Claim.Known() { // a slip in `keeps` reads as a claim
			t.Bands[row].Broken, t.Broken = true, true
			if t.Memory != model.None {
				b.d.Memories[t.Memory].Broken = true
			}
		}
	})
}
