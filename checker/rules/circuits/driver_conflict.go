package circuits

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

func driverConflict() rule.Rule {
	return rule.Rule{
		Name:     "driver-conflict",
		Severity: diag.Error,
		Summary:  "a wire that one driver feeds while another earths it, or an input with two senders at once",
		Why:      "two drivers against each other are a short circuit, and an input with two senders reads neither",
		Doc:      pages.Of("driver-conflict"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			v := look(p)
			v.driversAgainst()
			v.sendersTogether()
		},
	}
}

func (v *view) driversAgainst() {
	for i := range v.d.Drivers {
		up := &v.d.Drivers[i]
		if !up.Feeds || up.Broken {
			continue
		}
		for j := range v.d.Drivers {
			down := &v.d.Drivers[j]
			if down.Feeds || down.Broken {
				continue
			}
			st, ok := v.find(&down.Info, system.All(
				v.closed(up.Element), v.closed(down.Element),
				ask.Joined(up.Pin, down.Pin), ask.Live(up.From), v.returns(down.From)))
			if ok != ask.Yes {
				continue
			}
			// Through what earths one of them all that is earthed is joined: the two are
			// against each other only where they are joined without themselves.
			way, joined := st.MetalPath(up.Pin, down.Pin, up.Element, down.Element)
			if !joined {
				continue
			}
			ev := v.metalOf("from the one to the other", up.Pin, way)
			shown := evidence.Moves("how it comes about", st.trace)
			if len(way) > 0 {
				shown = append([]diag.Evidence{ev}, shown...)
			}
			amps := st.Through(down.Element)
			v.p.Report(diag.Finding{
				Numbers:  evidence.Numbers(amps),
				Message:  fmt.Sprintf("%s earths what %s feeds at the same time: %s", down.Path, up.Path, amps),
				Place:    evidence.Site(v.d, &down.Info),
				Subject:  down.Path,
				Help:     "lock the two against each other in their conditions, or give each its own wire",
				Related:  []diag.Related{{Place: up.Place, Note: "feeds the same wire"}},
				Evidence: shown,
			})
		}
	}
}

func (v *view) sendersTogether() {
	for i := range v.d.Readings {
		r := &v.d.Readings[i]
		if !r.Sender || r.Broken {
			continue
		}
		for j, a := range r.Senders {
			one := &v.d.Senders[a]
			for _, b := range r.Senders[j+1:] {
				other := &v.d.Senders[b]
				if one.Broken || other.Broken {
					continue
				}
				st, ok := v.find(&r.Info, system.All(ask.Joined(one.Pin, r.Pin), ask.Joined(other.Pin, r.Pin)))
				if ok != ask.Yes {
					continue
				}
				var shown []diag.Evidence
				if way, ok := st.MetalPath(one.Pin, other.Pin); ok && len(way) > 0 {
					shown = append(shown, v.metalOf("from the one to the other", one.Pin, way))
				}
				v.p.Report(diag.Finding{
					Message: fmt.Sprintf("%s gets readings from %s and %s at once", r.Path, one.Path, other.Path),
					Place:   evidence.Site(v.d, &r.Info),
					Subject: r.Path,
					Help:    "give each sender an input of its own, or a switch that joins only one of them",
					Related: []diag.Related{
						{Place: one.Place, Note: "one sender"}, {Place: other.Place, Note: "the other"},
					},
					Evidence: append(shown, evidence.Moves("how it comes about", st.trace)...),
				})
			}
		}
	}
}
