package wiring

import (
	"fmt"

	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func driverOverload() rule.Rule {
	return rule.Rule{
		Name:     "driver-overload",
		Severity: diag.Error,
		Summary:  "a controller output that carries more current than its stated limit",
		Why:      "an overloaded output stage switches itself off or fails, and takes the controller with it",
		Doc:      pages.Of("driver-overload"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			v := look(p)
			for i := range v.d.Drivers {
				k := &v.d.Drivers[i]
				v.overload(&k.Info, k.Limit, "drive it through a relay, or take a load that needs less", k.Element)
			}
		},
	}
}

func contactOverload() rule.Rule {
	return rule.Rule{
		Name:         "contact-overload",
		Severity:     diag.Error,
		Summary:      "a contact or switch that carries more current than its stated limit",
		Why:          "overloaded contacts burn, stick or weld together",
		Doc:          pages.Of("contact-overload"),
		SuppressedBy: []string{"supplies-joined"},
		Needs:        rule.States,
		Run: func(p *rule.Pass) {
			v := look(p)
			const help = "take a contact for more current, or let this one switch a relay"
			for i := range v.d.Contacts {
				k := &v.d.Contacts[i]
				v.overload(&k.Info, k.Limit, help, k.RestElem, k.WorkElem)
			}
			for i := range v.d.Charts {
				k := &v.d.Charts[i]
				var joins []model.ElementID
				for _, row := range k.Rows {
					joins = append(joins, row.Elements...)
				}
				v.overload(&k.Info, k.Limit, help, joins...)
			}
		},
	}
}

// overload reports a thing of which some element carries more than a limit, in A, in some
// reachable state with every supply at the top of its range.
func (v *view) overload(on *model.Info, limit float64, help string, elements ...model.ElementID) {
	if on.Broken || limit <= 0 {
		return
	}
	k := v.highest()
	var most *peak
	var through model.ElementID
	for _, e := range elements {
		if e == model.None || v.d.Elements[e].Broken || bounds.Of(v.p).most(e) <= limit {
			continue
		}
		level := limit
		if most != nil {
			level = most.value
		}
		if got, ok := v.worst(v.at(k), on, ask.Current(e), level, v.sound(v.ends(e)...)); ok == ask.Yes {
			most, through = got, e
		}
	}
	if most == nil {
		return
	}
	amps := most.Through(through)
	v.p.Report(diag.Finding{
		Numbers: evidence.Numbers(amps),
		Place:   evidence.Site(v.d, on),
		Subject: on.Path,
		Message: fmt.Sprintf("%s may carry %s and carries %s%s", on.Path, unit.Format(limit, unit.Current), amps, v.with(k)),
		Help:    help,
		Evidence: append([]diag.Evidence{way("current path", most.Solved, through)},
			evidence.Moves("how it comes about", most.trace)...),
	})
}

// way is the main way of the current through an element.
func way(title string, s *evidence.Solved, e model.ElementID) diag.Evidence {
	steps, _ := s.PathThrough(e)
	return s.Path(title, steps)
}
