package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func voltageClassB() rule.Rule {
	return rule.Rule{
		Name:     "voltage-class-b",
		Severity: diag.Note,
		Summary:  "a supply, or several in series, of more than 60 V",
		Why:      "voltage of class B can kill: only trained people may work on it, with the system off, locked, and tested to be dead",
		Doc:      pages.Of("voltage-class-b"),
		Source:   "UN R100 (high voltage: above 60 V DC or 30 V AC rms); ISO 6469-3 classes A and B",
		Needs:    rule.Design,
		Run:      findClassB,
	}
}

// classA is the highest DC voltage of class A, in V.
const classA = 60

func findClassB(p *rule.Pass) {
	d := p.Design
	if d.Bench {
		return
	}
	for i := range d.Supplies {
		s := &d.Supplies[i]
		if s.Broken || d.Elements[s.Element].Broken {
			continue
		}
		sum, chain := seriesUpTo(d, i)
		own := s.Hi.Float64()
		if sum <= classA || own <= classA && sum-own > classA {
			continue // class A, or the one below it is the one to tell of
		}
		f := diag.Finding{
			Place:   evidence.Site(d, &s.Info),
			Subject: s.Path,
			Message: fmt.Sprintf("%s reaches %s: voltage class B", s.Path, unit.Format(sum, unit.Voltage)),
			Help:    "work on it only as trained for it: switch off, lock, wait for capacitors, test that it is dead, cover what is live nearby",
		}
		if len(chain) > 1 {
			f.Message = fmt.Sprintf("%s and what it stands on reach %s: voltage class B", s.Path, unit.Format(sum, unit.Voltage))
			var lines []diag.Line
			for _, j := range chain {
				lines = append(lines, evidence.Line(&d.Supplies[j].Info, "%s: up to %s", d.Supplies[j].Path, d.Supplies[j].Hi))
			}
			f.Evidence = []diag.Evidence{evidence.Values("in series", lines...)}
		}
		p.Report(f)
	}
}

// seriesUpTo adds up the volts of a supply and of those whose plus is its minus, joined
// by metal that always conducts.
func seriesUpTo(d *model.Design, i int) (volts float64, chain []int) {
	net := heldTogether(d)
	on := map[int]bool{}
	for next := i; next >= 0; {
		on[next] = true
		chain = append(chain, next)
		volts += d.Supplies[next].Hi.Float64()
		below := -1
		grounded := d.Ground != model.None && net(d.Supplies[next].Minus) == net(d.Ground)
		for j := range d.Supplies {
			if s := &d.Supplies[j]; !s.Broken && !on[j] && !grounded && net(s.Plus) == net(d.Supplies[next].Minus) {
				below = j
				break
			}
		}
		next = below
	}
	return volts, chain
}
