package wiring

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func voltageDrop() rule.Rule {
	return rule.Rule{
		Name:     "voltage-drop",
		Severity: diag.Warning,
		Summary:  "a load whose feed or return loses more volts than is usual",
		Why:      "lamps are dim, motors slow and relays unreliable, and the missing volts heat the wiring",
		Doc:      pages.Of("voltage-drop"),
		Source:   "common practice, no source: 5 % of the supply on the feed side, 0.3 V on the ground side",
		Needs:    rule.States,
		Run:      findDrops,
	}
}

// works is the share of its rated volts from which a load without named levels counts as
// working. Common practice, no source.
const works = 0.5

// side is the feed side or the ground side of a load, where it loses too much.
type side struct {
	name  string
	limit float64 // V
	lost  model.Measure
	way   func(circuit.Drop) []circuit.Step
	most  *peak
	lines []diag.Line // where it is lost
	worst model.ElementID
}

// dropped is a load with the sides on which it loses too much.
type dropped struct {
	*model.Load
	over []side
}

func findDrops(p *rule.Pass) {
	if p.Design.Bench {
		return
	}
	v := look(p)
	net := netsOf(v.d, v.canConduct)
	var all []dropped
	for i := range v.d.Loads {
		l := &v.d.Loads[i]
		if l.Broken || l.Bounds || v.d.Elsewhere(&l.Info) || v.d.Elements[l.Element].Broken {
			continue
		}
		for j := range v.d.Supplies {
			s := &v.d.Supplies[j]
			if s.Broken {
				continue
			}
			for _, ends := range [][2]model.NodeID{{l.A, l.B}, {l.B, l.A}} {
				hot, cold := ends[0], ends[1]
				if net(hot) == net(s.Plus) && net(cold) == net(s.Minus) {
					if over := v.drops(l, s, hot, cold); len(over) > 0 {
						all = append(all, dropped{l, over})
					}
				}
			}
		}
	}
	// Those that lose the most in one and the same piece have one cause: that which loses
	// the most of them stands for all.
	slices.SortStableFunc(all, func(a, b dropped) int {
		return cmp.Or(cmp.Compare(b.over[0].most.value, a.over[0].most.value), cmp.Compare(a.Path, b.Path))
	})
	told := make([]bool, len(all))
	for i, one := range all {
		if told[i] {
			continue
		}
		var with []dropped
		for k := i + 1; k < len(all); k++ {
			if !told[k] && sameCause(one.over, all[k].over) {
				told[k] = true
				with = append(with, all[k])
			}
		}
		v.reportDrop(one, with)
	}
}

// sameCause reports whether two loads lose the most on the same sides, in the same pieces.
func sameCause(a, b []side) bool {
	return slices.EqualFunc(a, b, func(x, y side) bool { return x.name == y.name && x.worst == y.worst })
}

// drops looks at what a load loses on its way from one supply and back to it, and gives
// the sides on which that is too much.
func (v *view) drops(l *model.Load, s *model.Supply, hot, cold model.NodeID) []side {
	feeds := func(s *model.Supply) system.Condition {
		return system.All(ask.Joined(s.Plus, hot), ask.Joined(cold, s.Minus), system.On(v.d.Elements[s.Element].Closed))
	}
	runs := works * l.Rated
	for i, level := range l.Levels {
		if at := level.Percent / 100 * l.Rated; i == 0 || at < runs {
			runs = at
		}
	}
	var over []side
	for _, sd := range []side{
		{
			name: "feed", limit: v.p.Limits.FeedDrop.Of(s.Nominal.Float64()), lost: ask.Volts(s.Plus, hot),
			way: func(d circuit.Drop) []circuit.Step { return d.FeedWay },
		},
		{
			name: "ground", limit: v.p.Limits.GroundDrop.Of(s.Nominal.Float64()), lost: ask.Volts(cold, s.Minus),
			way: func(d circuit.Drop) []circuit.Step { return d.GroundWay },
		},
	} {
		if bounds.Of(v.p).drop(sd.lost.A, sd.lost.B) <= sd.limit {
			continue
		}
		such := []system.Condition{ask.Above(ask.Volts(hot, cold), runs)}
		read := []func(*circuit.Solution) bool{v.reading(ask.Volts(hot, cold), runs)}
		for j := range v.d.Supplies {
			other := &v.d.Supplies[j]
			if other == s || other.Broken {
				continue
			}
			// Where another supply feeds it too, it must be far from that one as well.
			lost := ask.Volts(other.Plus, hot)
			if sd.name == "ground" {
				lost = ask.Volts(cold, other.Minus)
			}
			such = append(such, system.Any(system.Not(feeds(other)), ask.Above(lost, sd.limit)))
			far := v.reading(lost, sd.limit)
			read = append(read, func(sol *circuit.Solution) bool {
				return !(sol.Joined(other.Plus, hot) && sol.Joined(cold, other.Minus) && sol.Conducts(other.Element)) || far(sol)
			})
		}
		in := ask.Among{
			Where: system.All(feeds(s), v.sound(l.A, l.B)), Such: system.All(such...),
			Reads: func(sol *circuit.Solution) bool {
				return !slices.ContainsFunc(read, func(holds func(*circuit.Solution) bool) bool { return !holds(sol) })
			},
		}
		var ok ask.Answer
		if sd.most, ok = v.worstAmong(v.at(circuit.Nominal), &l.Info, sd.lost, sd.limit, in); ok == ask.Yes && v.surely(l, s, &sd) {
			over = append(over, sd)
		}
	}
	return over
}

// reading tells of one solution whether a measure is above a level there.
func (v *view) reading(m model.Measure, level float64) func(*circuit.Solution) bool {
	return func(sol *circuit.Solution) bool {
		x, err := sol.Measure(v.p.Ctx, m)
		v.p.StopOn(err)
		return x > level*(1+hair)
	}
}

// surely tells where a side loses its volts, and whether it does so without the sizes,
// lengths and resistances that nobody stated.
func (v *view) surely(l *model.Load, s *model.Supply, sd *side) bool {
	drop, ok := sd.most.DropOf(l.Element)
	if !ok || drop.Source != s.Element {
		return false
	}
	way := slices.Clone(sd.way(drop))
	volts := func(st circuit.Step) float64 {
		e := &v.d.Elements[st.Element]
		u, _ := sd.most.Between(e.A, e.B)
		return math.Abs(u)
	}
	stated := func(e *model.Element) bool {
		if e.Type == model.ElemWire {
			return v.d.Wires[e.Of].AreaSet && v.d.Wires[e.Of].LenSet
		}
		return !e.Ohm.Assumed
	}
	slices.SortStableFunc(way, func(a, b circuit.Step) int {
		return cmp.Or(cmp.Compare(volts(b), volts(a)), cmp.Compare(v.d.Elements[a.Element].Path, v.d.Elements[b.Element].Path))
	})
	sure := sd.most.value
	sd.worst = model.None
	for _, st := range way {
		e := &v.d.Elements[st.Element]
		if !stated(e) {
			sure -= volts(st)
		} else if sd.worst == model.None {
			sd.worst = st.Element
		}
		sd.lines = append(sd.lines, evidence.Line(&e.Info, "%s: %s at %s", e.Path, sd.most.Across(st.Element), sd.most.Through(st.Element)))
	}
	return sure > sd.limit
}

func (v *view) reportDrop(l dropped, with []dropped) {
	over := l.over
	f := diag.Finding{
		Place:   evidence.Site(v.d, &l.Info),
		Subject: l.Path,
		Help:    "begin with what loses the most: a thicker or shorter wire, fewer joints, or a relay near the load",
	}
	said := map[model.ElementID]bool{l.Element: true} // a motor that runs both ways is one load
	for _, o := range with {
		if said[o.Element] {
			continue
		}
		said[o.Element] = true
		f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &o.Info),
			Note: fmt.Sprintf("%s loses %s too, most of it in the same piece", o.Path, evidence.Volts(o.over[0].most.value))})
	}
	for _, sd := range over {
		f.Evidence = append(f.Evidence, evidence.Values("where it is lost on the "+sd.name+" side", sd.lines...))
	}
	first := &over[0]
	f.Message = fmt.Sprintf("%s loses %s on the %s side, and %s is the limit", l.Path, first.most.most(), first.name, evidence.Volts(first.limit))
	if len(over) > 1 {
		second := &over[1]
		f.Message = fmt.Sprintf("%s loses %s on the %s side and %s on the %s side; %s and %s are the limits", l.Path,
			first.most.most(), first.name, second.most.most(), second.name,
			evidence.Volts(first.limit), evidence.Volts(second.limit))
	}
	for _, sd := range over {
		f.Numbers = append(f.Numbers, sd.most.most())
	}
	f.Evidence = append(f.Evidence, evidence.Moves("how it comes about", first.most.trace)...)
	v.p.Report(f)
}
