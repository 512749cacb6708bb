package circuits

import (
	"fmt"
	"math"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func feedsBack() rule.Rule {
	return rule.Rule{
		Name:     "feeds-back",
		Severity: diag.Error,
		Summary:  "a load that keeps running with its switch open, because an alternator or converter feeds its rail",
		Why:      "the key does not stop the engine, or the battery switch cuts nothing off while the engine turns",
		Doc:      pages.Of("feeds-back"),
		Needs:    rule.States,
		Run:      findFeedingBack,
	}
}

func findFeedingBack(p *rule.Pass) {
	v := look(p)
	var stores []*model.Supply // give and take: batteries
	for i := range v.d.Supplies {
		if s := &v.d.Supplies[i]; !s.Broken && !v.d.Elements[s.Element].OneWay {
			stores = append(stores, s)
		}
	}
	if len(stores) == 0 {
		return
	}
	for i := range v.d.Supplies {
		s := &v.d.Supplies[i]
		if s.Broken || !v.d.Elements[s.Element].OneWay {
			continue
		}
		v.keepsFeeding(s, stores)
	}
}

// onStore is where metal joins a consumer to the plus of a battery.
func (v *view) onStore(c *consumer, stores []*model.Supply) system.Condition {
	var any []system.Condition
	for _, s := range stores {
		any = append(any, ask.Joined(c.a, s.Plus), ask.Joined(c.b, s.Plus))
	}
	return ask.AnyOf(any)
}

// keepsFeeding looks for loads that a battery feeds over a switch, and that go on by a
// one-way source while that switch is open.
func (v *view) keepsFeeding(s *model.Supply, stores []*model.Supply) {
	var first *state
	var victims []*consumer
	for i := range v.consumers {
		c := &v.consumers[i]
		if c.element == model.None || c.runs <= 0 || v.isNear(c.Info, &s.Info) {
			continue
		}
		acts := ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs)
		on := v.onStore(c, stores)
		st, ok := v.find(c.Info, system.All(acts, system.On(s.While), system.Not(on), v.sound(c.a, c.b)))
		if ok != ask.Yes {
			continue
		}
		if v.tells(st, s, c) {
			continue
		}
		if then := st.without(v.broken(s.Element)); then == nil || math.Abs(volts(then.Solution, c)) >= c.runs {
			continue // something else feeds it
		}
		// The rail has to be one that a battery feeds, and a switch takes off it.
		if _, ok := v.can(c.Info, system.All(acts, on, system.Not(system.On(s.While)))); ok != ask.Yes {
			continue
		}
		victims = append(victims, c)
		if first == nil {
			first = st
		}
	}
	if first == nil {
		return
	}
	c := victims[0]
	gets := first.across(c)
	help := fmt.Sprintf("put a diode in the way back, so that %s can't feed what the switch is to turn off", s.Path)
	if by := v.chargesOver(first, s, c, stores); by != "" {
		help = fmt.Sprintf("take %s to the battery's side of %s: there it charges, and feeds nothing that %s is to turn off", v.d.Nodes[s.Plus].Path, by, by)
	}
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s stays on with its switch open: %s feeds it, %s", c.Path, s.Path, gets), Numbers: evidence.Numbers(gets),
		Place:   evidence.Site(v.d, c.Info),
		Subject: c.Path,
		Help:    help,
		Related: append([]diag.Related{{Place: s.Place, Note: "goes on feeding"}}, related(victims[1:], "goes on with it")...),
		Evidence: append([]diag.Evidence{
			first.Path("current path", first.way(c.element)), first.voltsOf(victims),
		}, evidence.Moves("how it comes about", first.trace)...),
	})
}

// chargesOver names the open switch between a source and a battery where the source itself, joined
// to a consumer by plain metal, is on the wrong side of it: closed, the switch lets it charge the
// battery, which a diode would not. It is empty where the source is not.
func (v *view) chargesOver(st *state, s *model.Supply, c *consumer, stores []*model.Supply) string {
	if !st.Joined(c.a, s.Plus) && !st.Joined(c.b, s.Plus) {
		return ""
	}
	for _, store := range stores {
		if _, ok := v.can(c.Info, system.All(ask.Joined(s.Plus, store.Plus), system.On(s.While))); ok != ask.Yes {
			continue
		}
		via := map[model.NodeID]model.ElementID{s.Plus: model.None}
		for queue := []model.NodeID{s.Plus}; len(queue) > 0; queue = queue[1:] {
			for i := range v.d.Elements {
				e := &v.d.Elements[i]
				if !e.Metal || e.A != queue[0] && e.B != queue[0] || queue[0] == v.d.Ground {
					continue
				}
				if y := e.A + e.B - queue[0]; y != queue[0] {
					if _, seen := via[y]; !seen {
						via[y] = model.ElementID(i)
						queue = append(queue, y)
					}
				}
			}
		}
		for n := store.Plus; n != s.Plus; {
			id, on := via[n]
			if !on {
				break
			}
			if w, switched, _ := v.c.SwitchOf(id); switched && !st.stands(w) {
				return evidence.Way(v.d, id)
			}
			n = v.d.Elements[id].A + v.d.Elements[id].B - n
		}
	}
	return ""
}

// tells reports whether a consumer is one by which a source shows that it gives: it is connected to
// the plus of the source itself, and what comes over it runs on through others. The lamp of an
// alternator glows so while the engine spins down, and feeds nothing that goes on; where the
// others do go on, they are what is found.
func (v *view) tells(st *state, s *model.Supply, c *consumer) bool {
	return (st.Joined(c.a, s.Plus) || st.Joined(c.b, s.Plus)) && len(v.on(st.way(c.element))) > 1
}

// isNear reports whether two things lie in one fit: the field of an alternator is not one
// of the loads that it feeds.
func (v *view) isNear(a, b *model.Info) bool { return a.Fit == b.Fit && a.Fit != model.None }
