package circuits

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func suppliesOpposed() rule.Rule {
	return rule.Rule{
		Name:       "supplies-opposed",
		Severity:   diag.Error,
		Summary:    "two supplies in series that stand against each other, so that what they feed together never acts",
		Why:        "the one takes away the volts of the other: what runs on both gets next to nothing, or the wrong way round",
		Doc:        pages.Of("supplies-opposed"),
		Needs:      rule.States,
		Everywhere: true,
		Fixable:    true,
		Run: func(p *rule.Pass) {
			s, cs := lacking(p, standsAgainst)
			var done []model.SupplyID
			for _, c := range cs {
				if told := c.against.turn; !slices.Contains(done, told) {
					done = append(done, told)
					s.reportOpposed(c.against, cs)
				}
			}
		},
	}
}

// opposed are two supplies of which like ends meet at a point that is not ground.
type opposed struct {
	turn, other model.SupplyID // the one to turn round, and the other
	at          model.NodeID   // where they meet
	plus        bool           // with their plus ends
}

// opposedPairs lists the supplies that stand against one another: like ends are held together by
// metal, off ground, and no metal ever joins their other ends. Each pair is listed once for each of the two
// that might be turned round; first the one that, turned, leaves no plus on ground.
func (s *starvation) opposedPairs() []opposed {
	var first, then []opposed
	ground := make([]bool, len(s.d.Nodes))
	if s.d.Ground != model.None {
		ground[s.d.Ground] = true
	}
	for i := range s.d.Supplies {
		for j := range s.d.Supplies {
			a, b := &s.d.Supplies[i], &s.d.Supplies[j]
			if i == j || a.Broken || b.Broken {
				continue
			}
			for _, plus := range [...]bool{true, false} {
				near, far, on, off := a.Plus, a.Minus, b.Plus, b.Minus
				if !plus {
					near, far, on, off = far, near, off, on
				}
				if !s.heldTo(near, on) || s.d.Ground != model.None && s.heldTo(near, s.d.Ground) || s.metalJoins(far, off) {
					continue
				}
				pair := opposed{turn: model.SupplyID(i), other: model.SupplyID(j), at: near, plus: plus}
				// With a turned round, its plus is where its minus was.
				if onGround(s, a.Minus, ground) || onGround(s, b.Plus, ground) {
					then = append(then, pair)
				} else {
					first = append(first, pair)
				}
			}
		}
	}
	return append(first, then...)
}

func onGround(s *starvation, n model.NodeID, ground []bool) bool {
	return ground[n] || s.wayOver(n, ground, func(e *model.Element) bool { return e.Metal }) != nil
}

// metalJoins reports whether metal may join two nodes at some time.
func (s *starvation) metalJoins(a, b model.NodeID) bool {
	marks := make([]bool, len(s.d.Nodes))
	marks[b] = true
	return a == b || s.wayOver(a, marks, func(e *model.Element) bool { return e.Metal }) != nil
}

// standing is the pair of supplies of which one, turned round, would let a consumer act that never
// does; nil where there is none. Each is tried.
func (s *starvation) standing(c *consumer) *opposed {
	if s.pairs == nil {
		pairs := s.opposedPairs()
		s.pairs = &pairs
	}
	for i := range *s.pairs {
		pair := &(*s.pairs)[i]
		if s.with(c, func(d *model.Design) {
			e := &d.Elements[d.Supplies[pair.turn].Element]
			e.A, e.B = e.B, e.A
		}) {
			return pair
		}
	}
	return nil
}

func (s *starvation) reportOpposed(pair *opposed, cs []*starved) {
	turn, other := &s.d.Supplies[pair.turn], &s.d.Supplies[pair.other]
	end := "minus"
	if pair.plus {
		end = "plus"
	}
	var victims []*consumer
	for _, c := range cs {
		if c.against.turn == pair.turn {
			victims = append(victims, c.consumer)
		}
	}
	slices.SortFunc(victims, func(a, b *consumer) int { return strings.Compare(a.Path, b.Path) })
	never := "never works"
	if len(victims) > 1 {
		never = "never work"
	}
	s.p.Report(diag.Finding{
		Place: evidence.Site(s.d, &turn.Info), Subject: turn.Path,
		Message: fmt.Sprintf("%s stands against %s: both have their %s at %s, and %s %s", turn.Path, other.Path, end, s.d.Nodes[pair.at].Path, list(paths(victims)), never),
		Help:    fmt.Sprintf("turn %s round: from %s to %s", turn.Path, s.d.Nodes[turn.Plus].Path, s.d.Nodes[turn.Minus].Path),
		Fixes:   evidence.TurnRound(s.d, &turn.Info),
		Related: append([]diag.Related{{Place: evidence.Site(s.d, &other.Info), Note: "the other one"}}, related(victims, "runs on both")...),
	})
}
