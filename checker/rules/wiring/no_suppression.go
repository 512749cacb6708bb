package wiring

import (
	"fmt"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func noSuppression() rule.Rule {
	return rule.Rule{
		Name:     "no-suppression",
		Severity: diag.Warning,
		Summary:  "a winding switched by a controller's driver without diode, resistor or stated clamp",
		Why:      "each time it is switched off, the winding puts several hundred volts on the driver, until the driver fails",
		Doc:      pages.Of("no-suppression"),
		Source:   "common practice: a diode with its cathode on the feed, or 470 to 680 ohm, across a relay's winding",
		Needs:    rule.Circuit,
		Run:      findUnsuppressed,
	}
}

// quenches is how many times the resistance of a winding may have what its current dies
// away in: the spike is then so many times the supply. Relays with a resistor inside have
// up to ten times; a pull-up of some kiloohm is no suppression.
const quenches = 20

func findUnsuppressed(p *rule.Pass) {
	v := look(p)
	for i := range v.d.Drivers {
		k := &v.d.Drivers[i]
		if k.Broken || k.Clamped || v.d.Elements[k.Element].Broken {
			continue
		}
		var bare []*model.Coil
		for _, id := range v.windingsAt(k) {
			if e := &v.d.Elements[id]; !v.quenched(id, k.Element) {
				bare = append(bare, &v.d.Coils[e.Of])
			}
		}
		if len(bare) == 0 {
			continue
		}
		var names []string
		f := diag.Finding{
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Help:    "put a diode across the winding, cathode to the feed, or write `clamped` if the driver has a clamp of its own",
		}
		for _, c := range bare {
			names = append(names, c.Path)
			f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &c.Info), Note: "the winding"})
		}
		f.Message = fmt.Sprintf("%s switches %s, and nothing suppresses its switch-off spike", k.Path, strings.Join(names, " and "))
		p.Report(f)
	}
}

// windingsAt lists the windings that are connected to a driver's pin by metal and diodes.
func (v *view) windingsAt(k *model.Driver) []model.ElementID {
	rail := map[model.NodeID]bool{v.d.Ground: true}
	for i := range v.d.Supplies {
		rail[v.d.Supplies[i].Plus], rail[v.d.Supplies[i].Minus] = true, true
	}
	seen := map[model.NodeID]bool{k.Pin: true}
	var out []model.ElementID
	for queue := []model.NodeID{k.Pin}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if rail[n] {
			return nil // it sits on a rail: what hangs there is not switched by it
		}
		for _, id := range bounds.Of(v.p).at[n] {
			e := &v.d.Elements[id]
			switch next := e.A + e.B - n; {
			case e.Type == model.ElemCoil && !e.Broken:
				if v.currentFrom(id, next, k.Feeds) {
					out = append(out, id)
				}
			case e.Type == model.ElemDiode && (n == e.A) != k.Feeds:
				// it looks the other way: a clamp
			case passes(e) && e.Type != model.ElemDriver && !seen[next]:
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return out
}

// currentFrom reports whether the end of a winding that is away from its driver could ever
// come to the other side of a supply than the driver takes it to. Where it could not, the
// winding has no current and that is the finding.
func (v *view) currentFrom(winding model.ElementID, far model.NodeID, feeds bool) bool {
	if !feeds {
		_, fed := v.c.FeedWay(far, winding)
		return fed
	}
	if _, earthed := v.c.GroundWay(far, winding); earthed {
		return true
	}
	for i := range v.d.Supplies { // or to a minus that is kept off ground
		minus := v.d.Supplies[i].Minus
		here, ok := v.c.IslandOf(far)
		there, ok2 := v.c.IslandOf(minus)
		if _, earthed := v.c.GroundWay(minus); ok && ok2 && here == there && !earthed {
			return true
		}
	}
	return false
}

// quenched reports whether the current of a winding finds a way round while its driver is
// off: through what always conducts, by a diode or by resistance that is not too high.
// A diode counts whichever way round it is: a wrong one is another finding.
func (v *view) quenched(winding, driver model.ElementID) bool {
	w := &v.d.Elements[winding]
	seen := map[model.NodeID]bool{w.A: true}
	for queue := []model.NodeID{w.A}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == w.B {
			return true
		}
		for _, id := range bounds.Of(v.p).at[n] {
			e := &v.d.Elements[id]
			next := e.A + e.B - n
			if id == winding || id == driver || seen[next] || e.Closed != nil || !v.takesSpike(e, w) {
				continue
			}
			seen[next] = true
			queue = append(queue, next)
		}
	}
	return false
}

func (v *view) takesSpike(e, winding *model.Element) bool {
	switch e.Type {
	case model.ElemCoil, model.ElemDraw, model.ElemPull, model.ElemDriver:
		return false
	case model.ElemLoad, model.ElemResistor:
		return e.Ohm.Nominal <= quenches*winding.Ohm.Nominal
	}
	return true
}
