package circuits

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func nothingStartsIt() rule.Rule {
	return rule.Rule{
		Name:     "nothing-starts-it",
		Severity: diag.Warning,
		Summary:  "windings, loads, thresholds and modes that wait for each other in a ring",
		Why:      "each of them is sound and wired, and none of them ever starts",
		Doc:      pages.Of("nothing-starts-it"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			if p.Design.Bench || len(p.Design.Incomplete) > 0 {
				return
			}
			findRings(p)
		},
	}
}

// waits is one thing that never comes to be, and what it waits for.
type waits struct {
	cond    *model.Cond // that it is so
	info    *model.Info
	at      diag.Place
	needs   []string // what never comes either and is needed for it, by key
	without bool     // something else keeps it from being so
}

// rings follows what never comes to be to what it waits for.
type rings struct {
	*starvation
	known map[string]*waits
	order []string
}

// mostWaiting bounds how many things are followed.
const mostWaiting = 2000

func findRings(p *rule.Pass) {
	s := starving.Of(p)
	if s.at == nil {
		return
	}
	v := *s.view
	v.p = p
	r := &rings{starvation: &starvation{view: &v, feed: s.feed, earth: s.earth, at: s.at}, known: map[string]*waits{}}
	for i := range v.d.Coils {
		if k := &v.d.Coils[i]; !k.Broken && k.Memory != model.None {
			r.from(memoryIs(k.Memory, 1))
		}
	}
	for i := range v.d.Thresholds {
		if t := &v.d.Thresholds[i]; !t.Broken {
			r.from(memoryIs(t.Memory, 1))
		}
	}
	for i := range v.d.Machines {
		for k := range v.d.Machines[i].Modes {
			r.from(&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMachine, Index: i, In: []int{k}}})
		}
	}
	for i := range v.d.Timers {
		if !v.d.Timers[i].Broken && !v.d.Timers[i].Lowered {
			r.from(&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomTimer, Index: i, In: []int{model.TimerRunning, model.TimerDone}}})
		}
	}
	for _, ring := range r.closed() {
		r.report(ring)
	}
}

func memoryIs(m model.MemoryID, state int) *model.Cond {
	return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: int(m), In: []int{state}}}
}

func (r *rings) impossible(c *model.Cond) bool {
	if c == nil || !c.Known() {
		return false
	}
	got, err := r.s.PossibleHere(r.p.Ctx, system.On(c))
	r.p.StopOn(err)
	return got.Outcome == system.Fails
}

// from follows one thing, if it never comes to be.
func (r *rings) from(c *model.Cond) {
	r.p.StopOn(r.p.Ctx.Err())
	if len(r.order) < mostWaiting && r.impossible(c) {
		r.atom(c)
	}
}

// atom is the key of a thing that never comes to be, and follows it; empty for what has none.
func (r *rings) atom(c *model.Cond) string {
	a := &c.Atom
	key, info, at := "", (*model.Info)(nil), c.Place
	switch a.Kind {
	case model.AtomMemory:
		m := &r.d.Memories[a.Index]
		key, info = fmt.Sprintf("memory %d %v", a.Index, a.In), &m.Info
	case model.AtomMachine:
		key, info = fmt.Sprintf("machine %d %v", a.Index, a.In), &r.d.Machines[a.Index].Info
	case model.AtomTimer:
		key, info = fmt.Sprintf("timer %d", a.Index), &r.d.Timers[a.Index].Info
	case model.AtomMeasure:
		e := a.Measure.Element
		if a.Measure.Load != model.None {
			e = r.d.Loads[a.Measure.Load].Element
		}
		if e == model.None {
			e = r.between(a.Measure.A, a.Measure.B)
		}
		if e == model.None {
			return ""
		}
		key, info = fmt.Sprintf("element %d", e), &r.d.Elements[e].Info
	case model.AtomQuantity:
		key, info = fmt.Sprintf("quantity %d %v %s", a.Index, a.Cmp, a.Value), &r.d.Quantities[a.Index].Info
	default:
		return ""
	}
	if _, seen := r.known[key]; seen {
		return key
	}
	if !info.NamePlace.IsZero() {
		at = info.NamePlace
	}
	w := &waits{cond: c, info: info, at: at}
	r.known[key] = w
	r.order = append(r.order, key)
	r.follow(w)
	return key
}

// between is the winding or load whose ends two nodes are.
func (r *rings) between(a, b model.NodeID) model.ElementID {
	for i := range r.consumers {
		if c := &r.consumers[i]; c.element != model.None && (c.a == a && c.b == b || c.a == b && c.b == a) {
			return c.element
		}
	}
	return model.None
}

// follow finds what a thing waits for.
func (r *rings) follow(w *waits) {
	switch a := &w.cond.Atom; a.Kind {
	case model.AtomMemory:
		some := false
		for _, rule := range r.d.Memories[a.Index].Rules {
			if slices.Contains(a.In, rule.To) && !slices.Contains(rule.From, rule.To) {
				some = true
				r.needs(w, rule.When)
			}
		}
		w.without = w.without || !some
	case model.AtomMachine:
		r.enters(w, a)
	case model.AtomTimer:
		r.needs(w, r.d.Timers[a.Index].Run)
	case model.AtomMeasure:
		r.switches(w)
	case model.AtomQuantity:
		form := model.AssumeFalls
		if a.Cmp == model.Above || a.Cmp == model.AtLeast {
			form = model.AssumeRises
		}
		kept := false
		for i := range r.d.Assumptions {
			if k := &r.d.Assumptions[i]; !k.Broken && int(k.Quantity) == a.Index && k.Form == form && r.impossible(k.Cond) {
				kept = true
				r.needs(w, k.Cond)
			}
		}
		w.without = w.without || !kept
	}
}

// enters finds what the transitions into modes wait for.
func (r *rings) enters(w *waits, a *model.Atom) {
	m := &r.d.Machines[a.Index]
	some := false
	for i := range m.Transitions {
		t := &m.Transitions[i]
		if !slices.Contains(a.In, t.To) || slices.Contains(t.From, t.To) {
			continue
		}
		some = true
		if r.impossible(t.When) {
			r.needs(w, t.When)
			continue
		}
		from := &model.Cond{Op: model.CondAtom, Place: t.Place, Atom: model.Atom{Kind: model.AtomMachine, Index: a.Index, In: t.From}}
		r.needs(w, from)
	}
	w.without = w.without || !some
}

// switches finds the switches on the metal at both ends of a consumer that never conduct.
func (r *rings) switches(w *waits) {
	e := r.between(w.cond.Atom.Measure.A, w.cond.Atom.Measure.B)
	if e == model.None {
		e = w.cond.Atom.Measure.Element
	}
	if e == model.None && w.cond.Atom.Measure.Load != model.None {
		e = r.d.Loads[w.cond.Atom.Measure.Load].Element
	}
	if e == model.None {
		w.without = true
		return
	}
	if r.told(e) {
		w.without = true
		return
	}
	ends, before := r.plain(true), len(w.needs)
	for n, is := range r.plain(false) {
		ends[n] = ends[n] || is
	}
	// What is live or earthed at some time is not what is waited for, unless both ends of the
	// consumer are: then it waits for the two to be so at once.
	served := func(n model.NodeID) bool {
		return ends[n] || r.sometimes(ask.Live(n)) || r.sometimes(r.returns(n))
	}
	k := &r.d.Elements[e]
	both := !ends[k.A] && !ends[k.B] && served(k.A) == served(k.B)
	seen := map[model.NodeID]bool{k.A: true, k.B: true}
	for queue := []model.NodeID{k.A, k.B}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if own := n == k.A || n == k.B; ends[n] || !(own && both) && served(n) {
			continue
		}
		for _, id := range r.at[queue[0]] {
			way := &r.d.Elements[id]
			if !way.Metal && way.Type != model.ElemDiode {
				continue
			}
			if r.switched(id) && r.impossible(way.Closed) {
				r.needs(w, way.Closed)
			}
			if next := way.A + way.B - queue[0]; !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	w.without = w.without || len(w.needs) == before
}

// told reports whether a consumer lacks its feed or earth altogether, or a short takes its volts
// at times: that has a finding.
func (r *rings) told(e model.ElementID) bool {
	i, ok := r.byElement[e]
	if !ok {
		return true
	}
	c := &r.consumers[i]
	for _, k := range starving.Of(r.p).all {
		if k.Info == c.Info && (k.lack == lacksFeed || k.lack == lacksEarth || k.lack == apartInTime) {
			return true
		}
	}
	return r.sometimes(system.Not(r.sound(c.a, c.b)))
}

// needs adds what a condition that never holds waits for.
func (r *rings) needs(w *waits, c *model.Cond) {
	if !r.impossible(c) {
		w.without = true
		return
	}
	switch c.Op {
	case model.CondAnd:
		some := false
		for _, k := range c.Kids {
			if r.impossible(k) {
				some = true
				r.needs(w, k)
			}
		}
		w.without = w.without || !some
	case model.CondOr:
		for _, k := range c.Kids {
			r.needs(w, k)
		}
	case model.CondAtom:
		switch a := &c.Atom; a.Kind {
		case model.AtomCondition:
			r.needs(w, r.d.Conditions[a.Index].Cond)
			return
		case model.AtomResult:
			for _, row := range a.In {
				r.needs(w, r.d.Results[a.Index].Rows[row].When)
			}
			return
		}
		if key := r.atom(c); key != "" {
			if !slices.Contains(w.needs, key) {
				w.needs = append(w.needs, key)
			}
			return
		}
		w.without = true
	default:
		w.without = true
	}
}

// closed lists the rings: things of which each needs others of the same ring only, so that
// nothing outside of it could let one of them begin.
func (r *rings) closed() [][]string {
	reach := func(from string) map[string]bool {
		out := map[string]bool{}
		for queue := slices.Clone(r.known[from].needs); len(queue) > 0; queue = queue[1:] {
			if !out[queue[0]] {
				out[queue[0]] = true
				queue = append(queue, r.known[queue[0]].needs...)
			}
		}
		return out
	}
	var out [][]string
	taken := map[string]bool{}
	for _, key := range r.order {
		all := reach(key)
		if taken[key] || !all[key] {
			continue
		}
		ring, alone := []string{}, true
		for _, k := range r.order {
			if all[k] {
				ring = append(ring, k)
				alone = alone && !r.known[k].without && reach(k)[key]
			}
		}
		if alone {
			for _, k := range ring {
				taken[k] = true
			}
			out = append(out, ring)
		}
	}
	return out
}

func (r *rings) report(ring []string) {
	// A threshold, else a winding, is where people look; of several the first by name, so that
	// it does not follow the order of the text.
	rank := func(k string) string {
		info := r.known[k].info
		return map[string]string{"threshold": "0", "coil": "1"}[info.Kind] + "9" + info.Path
	}
	first := slices.MinFunc(ring, func(a, b string) int { return strings.Compare(rank(a), rank(b)) })
	w := r.known[first]
	if r.never(w.info, system.On(w.cond)) != ask.Yes {
		return // with other volts of a supply it begins
	}
	f := diag.Finding{
		Place:   evidence.Site(r.d, w.info),
		Subject: w.info.Path,
		Help:    "give one of them another start: a switch, a time, a value that comes by itself",
	}
	var lines []diag.Line
	var names []string
	at, seen := first, map[string]bool{}
	for !seen[at] {
		seen[at] = true
		k := r.known[at]
		next := slices.MinFunc(k.needs, func(a, b string) int {
			if seen[a] != seen[b] {
				return map[bool]int{true: 1, false: -1}[seen[a]]
			}
			return strings.Compare(rank(a), rank(b))
		})
		lines = append(lines, diag.Line{Text: fmt.Sprintf("%s only when %s", r.words(k), r.words(r.known[next])), Place: k.at})
		if at != first && !slices.Contains(names, k.info.Path) && k.info.Path != w.info.Path {
			names = append(names, k.info.Path)
			f.Related = append(f.Related, diag.Related{Place: k.at, Note: "waits in the same ring"})
		}
		at = next
	}
	if len(names) == 0 {
		f.Message = fmt.Sprintf("nothing ever starts %s: only itself would", w.info.Path)
	} else {
		f.Message = fmt.Sprintf("nothing ever starts %s: it waits for %s, and that for it", w.info.Path, strings.Join(names, ", that for "))
	}
	f.Evidence = []diag.Evidence{{Kind: diag.Chain, Title: "the ring", Lines: lines}}
	r.p.Report(f)
}

// words says that a thing is so.
func (r *rings) words(w *waits) string {
	if w.cond.Atom.Kind == model.AtomMeasure && w.cond.Atom.Measure.Load == model.None {
		return w.info.Path + " gets its volts"
	}
	return r.d.Words(w.cond)
}
