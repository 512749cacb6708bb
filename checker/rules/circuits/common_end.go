package circuits

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// felt is the share of the highest supply below which volts across a consumer tell nothing of
// where it finds its earth: a trickle through others. Common practice, no source.
const felt = 0.05

// common looks at a consumer with metal from a plus at one end (or to a minus) whose
// other end has no way of its own to the opposite: whatever leaves it there has to run
// on backwards through what is connected to the same point, into a feed that happens to be off.
// It gives the end that leads nowhere.
//
// Two consumers in series between two feeds are meant, as a tell-tale with its winding
// is. So at least two that are connected to the point have to be written towards it, or three
// have to hang there.
func (s *starvation) common(c *consumer) (end model.NodeID, l lack) {
	for _, side := range [...]struct {
		near, far []bool // metal at the terminal that there is, and at the missing one
		l         lack
	}{{s.feed, s.earth, lacksEarth}, {s.earth, s.feed, lacksFeed}} {
		if side.near[c.a] == side.near[c.b] || side.far[c.a] || side.far[c.b] {
			continue
		}
		end, other := c.b, c.a
		if side.near[end] {
			end, other = other, end
		}
		if s.search(end, c.element, side.far, side.near) || side.l == lacksEarth && s.charges(end, other) {
			continue
		}
		net, open := s.net(end, side.near)
		if open {
			continue
		}
		hang, towards := 0, 0
		for i := range s.consumers {
			o := &s.consumers[i]
			switch {
			case net[o.a] == net[o.b]:
			case net[o.b] && side.near[o.a], net[o.a] && side.near[o.b]:
				hang++
				if net[o.b] == (side.l == lacksEarth) {
					towards++
				}
			}
		}
		if hang >= 3 || towards >= 2 {
			return end, side.l
		}
	}
	return model.None, nothing
}

// net is what a point is joined to by metal, diodes and resistors. It is open where that
// comes to something known only from the outside, or to metal at one of the terminals.
func (s *starvation) net(from model.NodeID, terminal []bool) (in map[model.NodeID]bool, open bool) {
	in = map[model.NodeID]bool{from: true}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if terminal[n] || s.d.Elsewhere(&s.d.Nodes[n].Info) {
			return in, true
		}
		for _, id := range s.at[n] {
			e := &s.d.Elements[id]
			if y := e.A + e.B - n; !in[y] && (e.Metal || e.Type == model.ElemDiode || e.Type == model.ElemResistor) {
				in[y] = true
				queue = append(queue, y)
			}
		}
	}
	return in, false
}

// charges reports whether a current from one end of a consumer could go home into a supply
// that takes it, of fewer volts than one that the other end leads to.
func (s *starvation) charges(end, other model.NodeID) bool {
	absent := consequence.NeverPresent(s.p)
	for i := range s.d.Supplies {
		low := &s.d.Supplies[i]
		if low.Broken || s.d.Elements[low.Element].OneWay || !s.meets(end, low.Plus) || s.heldTo(other, low.Plus) {
			continue
		}
		for j := range s.d.Supplies {
			high := &s.d.Supplies[j]
			if i != j && !high.Broken && !slices.Contains(absent, high.Element) && high.Nominal.Float64() > low.Nominal.Float64() && s.meets(other, high.Plus) {
				return true
			}
		}
	}
	return false
}

// meets reports whether metal, diodes and resistors may join two nodes at some time.
func (s *starvation) meets(a, b model.NodeID) bool {
	in, _ := s.net(a, make([]bool, len(s.d.Nodes)))
	return in[b]
}

// together reports the consumers with a lack, those that share an end as one: there is
// one wire to mend.
func (s *starvation) together(of lack, cs []*starved, marks []bool) {
	type group struct {
		end model.NodeID
		of  []*starved
	}
	var groups []*group
	for _, c := range cs {
		end := s.deadEnd(c.consumer, marks)
		if c.common != model.None {
			end = c.common
		}
		net, _ := s.metal(end)
		if net[c.a] && net[c.b] {
			s.reportBridged(c.consumer)
			continue
		}
		var g *group
		for _, old := range groups {
			if net[old.end] {
				g = old
			}
		}
		if g == nil {
			g = &group{end: end}
			groups = append(groups, g)
		}
		g.of = append(g.of, c)
	}
	for _, g := range groups {
		s.reportTogether(of, g.end, g.of, marks)
	}
}

// reportBridged tells of a consumer of which metal joins both ends for good that no volts
// ever stand across it, and by what way they are joined.
func (s *starvation) reportBridged(c *consumer) {
	marks := make([]bool, len(s.d.Nodes))
	marks[c.a] = true
	f := diag.Finding{
		Place: evidence.Site(s.d, c.Info), Subject: c.Path,
		Message: fmt.Sprintf("both ends of %s are on one point, %s: it never has any volts", c.Path, s.d.Nodes[c.a].Path),
		Help:    "take one of its ends to where it belongs: to a feed, to ground, or to what is to switch it",
	}
	if way := s.heldWay(c.b, marks); len(way) > 0 {
		f.Message = fmt.Sprintf("both ends of %s are joined by metal: it never has any volts", c.Path)
		f.Evidence = []diag.Evidence{s.metalOf(fmt.Sprintf("from %s to %s", s.d.Nodes[c.a].Path, s.d.Nodes[c.b].Path), c.a, way)}
	}
	s.p.Report(f)
}

func (s *starvation) reportTogether(of lack, end model.NodeID, cs []*starved, marks []bool) {
	// By path, so that it does not follow the order of the text.
	slices.SortFunc(cs, func(a, b *starved) int { return strings.Compare(a.Path, b.Path) })
	first := cs[0]
	what, leads, help := "way to earth", "leads nowhere", "wire that end to ground, or to what is to switch its earth"
	if of == lacksFeed {
		what, leads, help = "feed", "leads to no supply", "wire that end to a fuse, or to what is to switch its feed"
	}
	goes, over := s.stretch(first.consumer, end), model.ElementID(model.None)
	if of == lacksEarth {
		if way, supply := s.toPlus(end); supply != "" {
			goes, leads = way, "leads to the plus of "+supply+" only"
			over = s.driverOn(end)
		}
	}
	bar := s.feed
	if of == lacksFeed {
		bar = s.earth
	}
	switch pin, way := s.loosePin(first.consumer, end, of == lacksEarth, bar); {
	case consequence.BarePin(s.p, end):
		leads = "has no wire"
		help = strings.Replace(help, "that end", s.d.Nodes[end].Path, 1)
	case pin != model.None && !strings.Contains(leads, "plus"):
		goes, leads = way, fmt.Sprintf("leads to %s, where no wire ends", s.d.Nodes[pin].Path)
		help = strings.Replace(help, "that end", s.d.Nodes[pin].Path, 1)
	}
	f := diag.Finding{
		Place: evidence.Site(s.d, first.Info), Subject: first.Path, Help: help,
		Evidence: []diag.Evidence{goes},
	}
	if over != model.None {
		e := &s.d.Elements[over]
		f.Related = append(f.Related, diag.Related{Place: evidence.Site(s.d, &e.Info), Note: "joins it to the plus"})
	}
	for _, c := range cs[1:] {
		f.Related = append(f.Related, diag.Related{Place: c.Place, Note: fmt.Sprintf("%s is joined to it too", c.Path)})
	}
	if len(cs) == 1 {
		f.Message = fmt.Sprintf("%s has no %s: %s %s", first.Path, what, s.d.Nodes[end].Path, leads)
	} else {
		names := make([]string, len(cs))
		for i, c := range cs {
			names[i] = c.Path
		}
		f.Message = fmt.Sprintf("%s have no %s: %s, which they share, %s", list(names), what, s.hub(end), leads)
	}
	for _, c := range cs {
		if c.common == model.None {
			continue
		}
		st, ok := s.find(c.Info, s.acts(c.consumer))
		if ok == ask.No {
			st, ok = s.find(c.Info, s.feelsAny(c.consumer))
		}
		if ok != ask.Yes || c.element == model.None || math.Abs(volts(st, c.consumer)) < felt*s.highest() {
			continue
		}
		way := st.way(c.element)
		var through []*consumer
		for _, o := range s.on(way) {
			if o.element != c.element {
				through = append(through, o)
			}
		}
		if len(through) == 0 {
			continue
		}
		side := "earth"
		if of == lacksFeed {
			side = "feed"
		}
		f.Message = fmt.Sprintf("the common %s %s %s: %s finds %s only through %s", side, s.hub(end), leads, c.Path, side, list(paths(through)))
		f.Evidence = append(f.Evidence, st.Path("the way that its current takes instead", way))
		f.Evidence = append(f.Evidence, evidence.Moves("how that comes about", st.trace)...)
		break
	}
	s.p.Report(f)
}

// metal is what is joined to a node by metal for good, in the order in which it is reached.
func (s *starvation) metal(from model.NodeID) (in map[model.NodeID]bool, order []model.NodeID) {
	in = map[model.NodeID]bool{from: true}
	order = []model.NodeID{from}
	for i := 0; i < len(order); i++ {
		for _, id := range s.at[order[i]] {
			e := &s.d.Elements[id]
			if y := e.A + e.B - order[i]; e.Metal && e.Closed == nil && !in[y] {
				in[y] = true
				order = append(order, y)
			}
		}
	}
	return in, order
}

// hub names the point of some metal where most pieces of it come together.
func (s *starvation) hub(end model.NodeID) string {
	best, most := end, 0
	_, order := s.metal(end)
	for _, n := range order {
		meet := 0
		for _, id := range s.at[n] {
			if s.d.Elements[id].Metal {
				meet++
			}
		}
		if meet > most || meet == most && s.d.Nodes[n].Path < s.d.Nodes[best].Path {
			best, most = n, meet
		}
	}
	return s.d.Nodes[best].Path
}
