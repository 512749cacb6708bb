package wiring

import (
	"fmt"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func settingReachesNothing() rule.Rule {
	return rule.Rule{
		Name:       "setting-reaches-nothing",
		Severity:   diag.Warning,
		Summary:    "a setting of which no position changes anything anywhere",
		Why:        "whoever turns this knob waits for something that never comes",
		Doc:        page("setting-reaches-nothing"),
		Needs:      rule.States,
		Everywhere: true,
		Run:        findIdleSettings,
	}
}

func findIdleSettings(p *rule.Pass) {
	v := look(p)
	s := v.at(circuit.Nominal)
	for i := range v.d.Settings {
		k := &v.d.Settings[i]
		n := len(k.Positions)
		if k.Broken || k.Used == 0 || n < 2 {
			continue // one that nobody names is reported as unused
		}
		same, err := s.SamePositions(p.Ctx, model.SettingID(i))
		p.StopOn(err)
		if len(same) < n*(n-1)/2 {
			p.Clear(k.Path)
			continue
		}
		p.Report(diag.Finding{
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Message: fmt.Sprintf("%s changes nothing, whichever of its positions it is in", k.Path),
			Help:    "name it where it is to decide something, or leave it out",
		})
	}
}
