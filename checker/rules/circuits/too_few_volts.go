package circuits

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// tooFewVolts reports supplies that together, at their highest, give fewer volts than anything that
// they feed needs, with all of that: once, at the supply if it is one. It gives those consumers that
// are left. A supply in another unit than was meant
// is one mistake, however much is connected to it.
func (s *starvation) tooFewVolts(cs []*starved) (others []*starved) {
	groups, keys := map[string][]*starved{}, []string{}
	by := map[string][]*model.Supply{}
	for _, c := range cs {
		feeding, most := s.feeding(c.consumer)
		if len(feeding) == 0 || c.runs <= 0 || most >= c.runs || c.there.Trace != nil {
			others = append(others, c)
			continue
		}
		var paths []string
		for _, k := range feeding {
			paths = append(paths, k.Path)
		}
		key := strings.Join(paths, "\n")
		if groups[key] == nil {
			keys = append(keys, key)
		}
		groups[key], by[key] = append(groups[key], c), feeding
	}
	for _, key := range keys {
		of := groups[key]
		if s.feedsOthers(by[key], of) {
			others = append(others, of...) // they are made for more volts than the rest
			continue
		}
		slices.SortFunc(of, func(a, b *starved) int { return strings.Compare(a.Path, b.Path) })
		first, feeding := of[0], by[key]
		f := diag.Finding{
			Place: evidence.Site(s.d, first.Info), Subject: first.Path,
			Message: fmt.Sprintf("%s never runs: it needs %s, and %s", first.Path, evidence.Volts(first.runs), gives(feeding)),
			Help:    "check the volts and the unit of what feeds it, and the volts that it is rated for",
			Related: evidence.Feeding(s.d, s.c, first.a, first.b),
		}
		if len(feeding) == 1 && len(of) > 1 {
			f.Place, f.Subject = evidence.Site(s.d, &feeding[0].Info), feeding[0].Path
			f.Message = fmt.Sprintf("%s gives %s, and nothing that it feeds runs on so little: %s needs %s", feeding[0].Path, feeding[0].Nominal, first.Path, evidence.Volts(first.runs))
			f.Help = "check the volts and their unit"
			f.Related = nil
			for _, c := range of {
				f.Related = append(f.Related, diag.Related{Place: evidence.Site(s.d, c.Info), Note: fmt.Sprintf("needs %s", evidence.Volts(c.runs))})
			}
		}
		s.p.Report(f)
	}
	return others
}

// feedsOthers reports whether some supplies feed consumers besides the given ones.
func (s *starvation) feedsOthers(supplies []*model.Supply, but []*starved) bool {
	for i := range s.consumers {
		c := &s.consumers[i]
		if slices.ContainsFunc(but, func(k *starved) bool { return k.consumer.Info == c.Info }) {
			continue
		}
		if of, most := s.feeding(c); slices.Equal(of, supplies) && c.runs <= most {
			return true
		}
	}
	return false
}

// feeding are the supplies of the circuits that a consumer lies in, and what they give in series at
// most, in V.
func (s *starvation) feeding(c *consumer) (of []*model.Supply, most float64) {
	for i := range s.d.Supplies {
		k := &s.d.Supplies[i]
		if k.Broken {
			continue
		}
		for _, n := range [...]model.NodeID{k.Plus, k.Minus} {
			in, ok := s.c.IslandOf(n)
			if !ok || n == s.d.Ground {
				continue
			}
			here := false
			for _, end := range [...]model.NodeID{c.a, c.b} {
				at, ok := s.c.IslandOf(end)
				here = here || ok && end != s.d.Ground && at == in
			}
			if here {
				of, most = append(of, k), most+max(k.Hi.Float64(), k.Nominal.Float64())
				break
			}
		}
	}
	return of, most
}

func gives(of []*model.Supply) string {
	var each []string
	for _, k := range of {
		each = append(each, fmt.Sprintf("%s gives %s", k.Path, k.Nominal))
	}
	return list(each)
}
