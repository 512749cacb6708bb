package circuits

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// manyWays bounds how many ways of one kind are told of one thing; by then the first
// findings are worth mending before more are read.
const manyWays = 8

func supplyToGroundShort() rule.Rule {
	return rule.Rule{
		Name:     "supply-to-ground-short",
		Severity: diag.Error,
		Summary:  "a path from a feed to earth with no load in it, in a reachable state",
		Why:      "the fuse blows as soon as somebody does this; without a fuse the wire burns",
		Doc:      pages.Of("supply-to-ground-short"),
		Needs:    rule.States,
		Run:      findShorts,
	}
}

func findShorts(p *rule.Pass) {
	v := look(p)
	told := map[model.ElementID]bool{}
	for i := range v.d.Supplies {
		s := &v.d.Supplies[i]
		if s.Broken || s.Plus == s.Minus {
			continue
		}
		more := system.All(ask.Joined(s.Plus, s.Minus), system.On(s.While))
		for range manyWays {
			st, ok := v.find(&s.Info, more)
			if ok != ask.Yes {
				break
			}
			way, ok2 := st.MetalPath(s.Plus, s.Minus)
			if !ok2 {
				break
			}
			culprit := v.closes(way)
			if !told[culprit] && !v.driversMeet(way) && !v.bears(s, way) {
				told[culprit] = true
				v.reportShort(st, s, way, culprit)
			}
			var closed []system.Condition
			for _, e := range way {
				if v.switched(e) {
					closed = append(closed, v.closed(e))
				}
			}
			if len(closed) == 0 {
				break // it is there always
			}
			more = system.All(more, system.Not(system.All(closed...)))
		}
	}
}

// closes picks the element of a short that makes it: the last one before earth that
// conducts only at times, or the last one of all.
func (v *view) closes(way []model.ElementID) model.ElementID {
	for i := len(way) - 1; i >= 0; i-- {
		if v.switched(way[i]) {
			return way[i]
		}
	}
	return way[len(way)-1]
}

// bears reports whether everything on a way may carry the most that a supply can give: then
// no fuse opens and nothing burns. A weak source, such as a magneto's primary, is stopped by
// earthing it.
func (v *view) bears(s *model.Supply, way []model.ElementID) bool {
	inside := v.d.Elements[s.Element].Ohm.Min
	if inside <= 0 {
		return false
	}
	most := v.d.Elements[s.Element].Volts.Max / inside
	for _, e := range way {
		if may, ok := v.mayCarry(&v.d.Elements[e]); !ok || most > may {
			return false
		}
	}
	return true
}

// mayCarry is what a piece of metal may carry, in A. ok is false where nothing states it.
func (v *view) mayCarry(e *model.Element) (amps float64, ok bool) {
	switch e.Type {
	case model.ElemWire:
		w := &v.d.Wires[e.Of]
		if w.Rated > 0 {
			return w.Rated, true
		}
		if !w.AreaSet {
			return 0, false
		}
		return v.p.Ampacity().Amps(w.Area)
	case model.ElemFuse:
		return v.d.Fuses[e.Of].Rating, true
	}
	return e.Limit.Min, e.Limit.Min > 0
}

// driversMeet reports whether a way runs through a driver that feeds and one that earths:
// that is a conflict of drivers.
func (v *view) driversMeet(way []model.ElementID) bool {
	var feeds, earths bool
	for _, e := range way {
		if x := &v.d.Elements[e]; x.Type == model.ElemDriver {
			if v.d.Drivers[x.Of].Feeds {
				feeds = true
			} else {
				earths = true
			}
		}
	}
	return feeds && earths
}

func (v *view) reportShort(st *state, s *model.Supply, way []model.ElementID, culprit model.ElementID) {
	e := &v.d.Elements[culprit]
	ends := "the feed to earth"
	if s.Minus != v.d.Ground && !st.Grounded(s.Minus) {
		ends = "the plus of " + s.Path + " to its minus"
	}
	amps := st.Through(culprit) // of this way, not of all that the supply gives
	f := diag.Finding{
		Message: fmt.Sprintf("%s joins %s with no load between: %s", evidence.Way(v.d, culprit), ends, amps),
		Numbers: evidence.Numbers(amps),
		Place:   evidence.Site(v.d, &e.Info),
		Subject: v.thing(e),
		Why:     v.endOfShort(st, way),
		Help:    "lead one of the two ends elsewhere, or put the load that it should switch in between",
		Evidence: append([]diag.Evidence{
			v.metalOf("from "+v.d.Nodes[s.Plus].Path+" to "+v.d.Nodes[s.Minus].Path, s.Plus, way),
		}, evidence.Moves("how it comes about", st.trace)...),
	}
	if !v.switched(culprit) {
		f.Help = "take this wire off one of its ends"
	}
	v.p.Report(f)
}

// endOfShort says what ends the current of a short, or what it spoils where no fuse does.
func (v *view) endOfShort(st *state, way []model.ElementID) string {
	fused := false
	loads := slices.DeleteFunc(st.FuseLoads(), func(l circuit.FuseLoad) bool { return !slices.Contains(way, v.d.Fuses[l.Fuse].Element) })
	var opens []string
	for _, l := range circuit.FirstToOpen(loads) {
		opens = append(opens, v.d.Fuses[l.Fuse].Path)
	}
	if opens != nil {
		return strings.Join(opens, " or ") + " blows, unless something else ends the current first"
	}
	weakest, most := "", 1.0
	for _, id := range way {
		e := &v.d.Elements[id]
		fused = fused || e.Type == model.ElemFuse
		if may, ok := v.mayCarry(e); ok && e.Type != model.ElemFuse && math.Abs(st.Amps(id))/may > most {
			weakest, most = fmt.Sprintf("%s is good for no more than %s", evidence.Way(v.d, id), unit.Format(may, unit.Current)), math.Abs(st.Amps(id))/may
		}
	}
	why := "there is no fuse in this path"
	if fused {
		why = "no fuse in this path opens at that"
	}
	if weakest == "" {
		return why + ", and nothing else ends the current"
	}
	return why + ", and " + weakest
}

// thing is the path of what an element belongs to, as it is declared.
func (v *view) thing(e *model.Element) string {
	switch e.Type {
	case model.ElemContact:
		return v.d.Contacts[e.Of].Path
	case model.ElemChart:
		return v.d.Charts[e.Of].Path
	case model.ElemDriver:
		return v.d.Drivers[e.Of].Path
	}
	return e.Path
}
