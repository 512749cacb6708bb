package circuits

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/lang/model"
)

// reach marks what metal may join to a plus and to a minus at some time.
func (s *starvation) reach() { s.reachWithout(model.None) }

// reachWithout is the same with one element taken out.
func (s *starvation) reachWithout(but model.ElementID) {
	n := len(s.d.Nodes)
	s.feed, s.earth, s.at = make([]bool, n), make([]bool, n), make([][]model.ElementID, n)
	for i := range s.d.Elements {
		if e := &s.d.Elements[i]; s.conductible(e) && model.ElementID(i) != but {
			s.at[e.A] = append(s.at[e.A], model.ElementID(i))
			if e.B != e.A {
				s.at[e.B] = append(s.at[e.B], model.ElementID(i))
			}
		}
	}
	absent := consequence.NeverPresent(s.p)
	for i := range s.d.Supplies {
		if k := &s.d.Supplies[i]; !slices.Contains(absent, k.Element) {
			s.feed[k.Plus], s.earth[k.Minus] = true, true
		}
	}
	// A way that goes on beyond earth or beyond the stud of the battery is no feed.
	pluses, minuses := slices.Clone(s.feed), slices.Clone(s.earth)
	if s.d.Ground != model.None {
		minuses[s.d.Ground] = true
	}
	feed, earth := s.metalFrom(s.feed, minuses, true, anyTwo), s.metalFrom(s.earth, pluses, false, anyTwo)
	for n := range feed {
		if feed[n] && earth[n] {
			// The two throws of a changeover lead to both, and no way leads through both: what
			// a feed is must not depend on that.
			feed, earth = s.metalFrom(s.feed, minuses, true, s.exclude), s.metalFrom(s.earth, pluses, false, s.exclude)
			break
		}
	}
	s.feed, s.earth = feed, earth
}

// mostWaysTo is how many ways to one point are distinguished, by the switches on them; beyond that
// they count as one that nothing excludes.
const mostWaysTo = 8

func anyTwo(a, b circuit.Switch) bool { return false }

// metalFrom marks what metal and diodes may join to some nodes at some time, by ways on which
// no two switches exclude one another; and not beyond nodes that are barred. Forward is along
// a current, backward against it.
func (s *starvation) metalFrom(start, bar []bool, forward bool, exclude func(a, b circuit.Switch) bool) []bool {
	type place struct {
		n    model.NodeID
		over []circuit.Switch // on the way, ascending
	}
	marks := make([]bool, len(s.d.Nodes))
	ways := make([][][]circuit.Switch, len(s.d.Nodes))
	var queue []place
	enter := func(n model.NodeID, over []circuit.Switch) {
		if slices.ContainsFunc(ways[n], func(w []circuit.Switch) bool { return subset(w, over) }) {
			return
		}
		if len(ways[n]) == mostWaysTo {
			over = nil
		}
		marks[n], ways[n] = true, append(ways[n], over)
		queue = append(queue, place{n, over})
	}
	for n, is := range start {
		if is {
			enter(model.NodeID(n), nil)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, id := range s.at[at.n] {
			e := &s.d.Elements[id]
			if !e.Metal && (e.Type != model.ElemDiode || (at.n == e.A) != forward) {
				continue
			}
			next := e.A + e.B - at.n
			if bar[next] {
				continue
			}
			over := at.over
			if w, switched, _ := s.c.SwitchOf(id); switched && !slices.Contains(over, w) {
				if slices.ContainsFunc(over, func(other circuit.Switch) bool { return exclude(min(w, other), max(w, other)) }) {
					continue
				}
				over = slices.Sorted(slices.Values(append(slices.Clone(over), w)))
			}
			enter(next, over)
		}
	}
	return marks
}

func subset(a, b []circuit.Switch) bool {
	return !slices.ContainsFunc(a, func(w circuit.Switch) bool { return !slices.Contains(b, w) })
}

// exclude reports whether two switches each conduct in some state that is reached, and never
// both. What one of them alone never does is no matter of the other.
func (s *starvation) exclude(a, b circuit.Switch) bool {
	key := [2]circuit.Switch{a, b}
	if known, ok := s.excluded[key]; ok {
		return known
	}
	infos := s.c.Switches()
	one, other := system.On(infos[a].Cond), system.On(infos[b].Cond)
	got, err := s.s.PossibleHere(s.p.Ctx, system.All(one, other))
	s.p.StopOn(err)
	is := got.Outcome == system.Fails && s.sometimes(one) && s.sometimes(other) && !consequence.Restless(s.p, one, other)
	if s.excluded == nil {
		s.excluded = map[[2]circuit.Switch]bool{}
	}
	s.excluded[key] = is
	return is
}

func (s *starvation) conductible(e *model.Element) bool {
	return e.Type != model.ElemSupply && e.Type != model.ElemPull && (e.Closed == nil || e.Closed.Op != model.CondFalse)
}

// leads reports whether a current could come to a node from a plus, and go from it to a
// minus, other than through one element: by metal, or through other consumers and
// resistors. Beyond metal that is at a plus there is no way to a minus, and the other
// way round.
func (s *starvation) leads(n model.NodeID, but model.ElementID) (plus, minus bool) {
	return s.search(n, but, s.feed, s.earth), s.search(n, but, s.earth, s.feed)
}

func (s *starvation) search(n model.NodeID, but model.ElementID, to, bar []bool) bool {
	seen := map[model.NodeID]bool{n: true}
	for queue := []model.NodeID{n}; len(queue) > 0; queue = queue[1:] {
		x := queue[0]
		if to[x] {
			return true
		}
		if bar[x] {
			continue
		}
		for _, id := range s.at[x] {
			e := &s.d.Elements[id]
			if y := e.A + e.B - x; id != but && !seen[y] {
				seen[y] = true
				queue = append(queue, y)
			}
		}
	}
	return false
}
