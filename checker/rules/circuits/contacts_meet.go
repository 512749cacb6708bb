package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func contactsMeet() rule.Rule {
	return rule.Rule{
		Name:         "contacts-meet",
		Severity:     diag.Warning,
		Summary:      "contacts of two relays, or two contacts of one, that join a feed to earth only for the moment while they move",
		Why:          "one relay lets go after the other has pulled in, or one contact closes before the other has opened: each time the contacts burn, until they weld or the fuse blows",
		Doc:          pages.Of("contacts-meet"),
		SuppressedBy: []string{"supply-to-ground-short"},
		Needs:        rule.States,
		Run:          findContactsMeet,
	}
}

func findContactsMeet(p *rule.Pass) {
	v := look(p)
	told := map[*model.Contact]bool{}
	for _, short := range ask.Shorts(p) {
		v.meetBetween(short, told)
		v.meetOnOne(short, told)
	}
}

// meetBetween looks for a state that is passed while things settle in which contacts of several
// relays short a supply that nothing shorts at rest.
func (v *view) meetBetween(short ask.Short, told map[*model.Contact]bool) {
	irons := map[model.MemoryID]bool{}
	for i := range v.d.Contacts {
		if k := &v.d.Contacts[i]; k.By != model.None && !k.Broken {
			irons[k.By] = true
		}
	}
	if len(irons) < 2 || consequence.Restless(v.p, short.When) {
		return
	}
	rest, err := v.s.PossibleHere(v.p.Ctx, short.When)
	v.p.StopOn(err)
	if rest.Outcome != system.Fails {
		return // supply-to-ground-short speaks of it, or it is not known
	}
	trace, err := v.s.Passing(v.p.Ctx, short.When)
	v.p.StopOn(err)
	if trace == nil {
		return
	}
	way := v.metalThere(short.Supply, trace, nil)
	var met []*model.Contact
	for _, id := range way {
		if k := v.contactOf(id); k != nil && k.By != model.None && !slices.ContainsFunc(met, func(o *model.Contact) bool { return o.By == k.By }) {
			met = append(met, k)
		}
	}
	if len(met) < 2 {
		return // a switch that a hand moves opens before a relay that it feeds has moved
	}
	v.reportMeet(&v.d.Supplies[short.Supply], met[0], met[1], way, trace, fmt.Sprintf(
		"%s and %s are closed at once while their relays move: together they join %s to earth until the slower one has let go",
		met[0].Path, met[1].Path, v.d.Supplies[short.Supply].Path),
		"let each winding be fed through a break contact of the other relay, or use changeovers that rest at one side", told)
}

// meetOnOne looks for two contacts that one iron moves, of which one closes while the other opens,
// and that short a supply while both are closed, in a state in which the iron is about to move.
func (v *view) meetOnOne(short ask.Short, told map[*model.Contact]bool) {
	for i := range v.d.Contacts {
		one := &v.d.Contacts[i]
		if one.By == model.None || one.Broken || one.RestElem == model.None {
			continue
		}
		for j := range v.d.Contacts {
			other := &v.d.Contacts[j]
			if i == j || other.By != one.By || other.Broken || other.WorkElem == model.None || told[one] || told[other] {
				continue
			}
			v.meetPair(short, one, other, told)
		}
	}
}

func (v *view) meetPair(short ask.Short, opens, closes *model.Contact, told map[*model.Contact]bool) {
	c, err := circuit.New(v.d, circuit.Overlay{
		v.fault(opens.RestElem, model.FaultStuckMade), v.fault(closes.WorkElem, model.FaultStuckMade),
	})
	if err != nil {
		return
	}
	k := &cut{v, c, opens.RestElem}
	both := ask.ShortedOn(v.d, short.Supply, k.ask)
	var moves []system.Condition
	for _, r := range v.d.Memories[opens.By].Rules {
		for _, from := range r.From {
			if from != r.To {
				moves = append(moves, system.All(system.InState(opens.By, from), system.On(r.When)))
			}
		}
	}
	when := system.All(both, system.Not(short.When), ask.AnyOf(moves))
	if consequence.Restless(v.p, when) {
		return
	}
	trace, err := v.s.Passing(v.p.Ctx, when)
	v.p.StopOn(err)
	if trace == nil {
		return
	}
	way := v.metalThere(short.Supply, trace, []model.ElementID{opens.RestElem, closes.WorkElem})
	if !slices.Contains(way, opens.RestElem) || !slices.Contains(way, closes.WorkElem) {
		return
	}
	v.reportMeet(&v.d.Supplies[short.Supply], opens, closes, way, trace, fmt.Sprintf(
		"%s and %s may both be closed while %s moves: together they join %s to earth",
		opens.Path, closes.Path, v.d.Memories[opens.By].Path, v.d.Supplies[short.Supply].Path),
		"use a changeover, which opens one side before it closes the other", told)
}

func (v *view) reportMeet(supply *model.Supply, one, other *model.Contact, way []model.ElementID, trace *system.Trace, message, help string, told map[*model.Contact]bool) {
	if told[one] || told[other] || v.bears(supply, way) {
		return
	}
	told[one], told[other] = true, true
	lines := make([]diag.Line, 0, len(way))
	for _, id := range way {
		e := &v.d.Elements[id]
		lines = append(lines, diag.Line{Text: evidence.Way(v.d, id), Place: e.Place})
	}
	moves := evidence.Passing("how it comes about", trace)
	for i := range moves {
		moves[i].State.Near = append(moves[i].State.Near, "a drive takes one of the two to be faster")
	}
	v.p.Report(diag.Finding{
		Message:  message,
		Place:    evidence.Site(v.d, &one.Info),
		Subject:  one.Path,
		Help:     help,
		Related:  []diag.Related{{Place: evidence.Site(v.d, &other.Info), Note: "the other contact"}},
		Evidence: append([]diag.Evidence{{Kind: diag.Path, Title: "from the supply to earth in that moment", Lines: lines}}, moves...),
	})
}

func (v *view) contactOf(id model.ElementID) *model.Contact {
	if e := &v.d.Elements[id]; e.Type == model.ElemContact {
		return &v.d.Contacts[e.Of]
	}
	return nil
}

// metalThere is the shortest way over metal, some elements taken to be closed, from the plus of a
// supply to its minus in the state that a trace ends in.
func (v *view) metalThere(id model.SupplyID, trace *system.Trace, also []model.ElementID) []model.ElementID {
	s, last := &v.d.Supplies[id], trace.Last()
	closed := func(id model.ElementID) bool {
		e := &v.d.Elements[id]
		if e.Closed == nil || slices.Contains(also, id) {
			return true
		}
		x, err := v.s.Expr(v.p.Ctx, e.Closed)
		v.p.StopOn(err)
		return x.Eval(last)
	}
	from := map[model.NodeID]model.ElementID{s.Plus: model.None}
	for queue := []model.NodeID{s.Plus}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == s.Minus {
			var out []model.ElementID
			for at := n; from[at] != model.None; {
				e := from[at]
				out = append(out, e)
				at = v.d.Elements[e].A + v.d.Elements[e].B - at
			}
			slices.Reverse(out)
			return out
		}
		for i := range v.d.Elements {
			e := &v.d.Elements[i]
			if !e.Metal || e.Broken || e.A != n && e.B != n || e.A == e.B {
				continue
			}
			next := e.A + e.B - n
			if _, seen := from[next]; seen || !closed(model.ElementID(i)) {
				continue
			}
			from[next] = model.ElementID(i)
			queue = append(queue, next)
		}
	}
	return nil
}
