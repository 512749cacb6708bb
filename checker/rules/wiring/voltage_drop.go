package wiring

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/checker/settings"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func voltageDrop() rule.Rule {
	return rule.Rule{
		Name:     "voltage-drop",
		Severity: diag.Warning,
		Summary:  "a load that loses more volts in its feed or in its return than is usual",
		Why:      "lamps are dim, motors slow and relays unsure, and the missing volts heat the wiring",
		Doc:      page("voltage-drop"),
		Source:   "common practice (5 % of the supply on the feed side); workshop manuals (0.3 V on the ground side of a starter)",
		Needs:    rule.States,
		Run:      findDrops,
	}
}

// works is the share of its rated volts from which a load without named levels counts as
// working. Common practice, no source.
const works = 0.5

// side is the feed side or the ground side of a load.
type side struct {
	name   string
	limit  settings.Drop
	lost   model.Measure
	across func(circuit.Drop) []circuit.Step
}

func findDrops(p *rule.Pass) {
	if p.Design.Bench {
		return
	}
	v := look(p)
	net := netsOf(v.d, v.canConduct)
	for i := range v.d.Loads {
		l := &v.d.Loads[i]
		if l.Broken || l.Bounds || evidence.Elsewhere(v.d, &l.Info) || v.d.Elements[l.Element].Broken {
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
					v.drops(l, s, hot, cold)
				}
			}
		}
	}
}

// drops looks at what a load loses on its way from one supply and back to it.
func (v *view) drops(l *model.Load, s *model.Supply, hot, cold model.NodeID) {
	feeds := func(s *model.Supply) system.Condition {
		return system.All(joined(s.Plus, hot), joined(cold, s.Minus), system.On(v.d.Elements[s.Element].Closed))
	}
	runs := works * l.Rated
	for i, level := range l.Levels {
		if at := level.Percent / 100 * l.Rated; i == 0 || at < runs {
			runs = at
		}
	}
	on := system.All(feeds(s), above(voltsOf(hot, cold), runs))
	for _, sd := range []side{
		{"feed", v.p.Limits.FeedDrop, voltsOf(s.Plus, hot), func(d circuit.Drop) []circuit.Step { return d.FeedWay }},
		{"ground", v.p.Limits.GroundDrop, voltsOf(cold, s.Minus), func(d circuit.Drop) []circuit.Step { return d.GroundWay }},
	} {
		limit := sd.limit.Of(s.Nominal.Float64())
		if bounds.Of(v.p).drop(sd.lost.A, sd.lost.B) <= limit {
			continue
		}
		also := []system.Condition{on, v.sound()}
		for j := range v.d.Supplies {
			other := &v.d.Supplies[j]
			if other == s || other.Broken {
				continue
			}
			// Where another supply feeds it too, it must be far from that one as well.
			lost := voltsOf(other.Plus, hot)
			if sd.name == "ground" {
				lost = voltsOf(cold, other.Minus)
			}
			also = append(also, system.Any(system.Not(feeds(other)), above(lost, limit)))
		}
		got, ok := v.worst(v.at(circuit.Nominal), &l.Info, sd.lost, limit, system.All(also...))
		if ok == yes {
			v.reportDrop(l, s, sd, limit, got)
		}
	}
}

func (v *view) reportDrop(l *model.Load, s *model.Supply, sd side, limit float64, got *peak) {
	drop, ok := got.DropOf(l.Element)
	if !ok || drop.Source != s.Element {
		return
	}
	way := slices.Clone(sd.across(drop))
	volts := func(st circuit.Step) float64 {
		e := &v.d.Elements[st.Element]
		u, _ := got.Between(e.A, e.B)
		return math.Abs(u)
	}
	sure := got.value
	for _, st := range way {
		if e := &v.d.Elements[st.Element]; e.Type == model.ElemWire {
			if w := &v.d.Wires[e.Of]; !w.AreaSet || !w.LenSet {
				sure -= volts(st)
			}
		}
	}
	if sure <= limit {
		return // it turns on sizes or lengths that nobody stated
	}
	slices.SortStableFunc(way, func(a, b circuit.Step) int { return cmp.Compare(volts(b), volts(a)) })
	var lines []diag.Line
	for _, st := range way {
		e := &v.d.Elements[st.Element]
		lines = append(lines, evidence.Line(&e.Info, "%s: %s at %s", e.Path, evidence.Volts(volts(st)), evidence.Amps(st.Amps)))
	}
	v.p.Report(diag.Finding{
		Place:   evidence.Site(v.d, &l.Info),
		Subject: l.Path,
		Message: fmt.Sprintf("%s loses %s on the %s side, and %s is the limit", l.Path, evidence.Volts(got.value), sd.name, unit.Format(limit, unit.Voltage)),
		Help:    "begin with the first of these: a thicker or shorter wire, fewer joints, or a relay near the load",
		Evidence: append([]diag.Evidence{evidence.Values("where it is lost", lines...)},
			evidence.Moves("how it comes about", got.trace)...),
	})
}
