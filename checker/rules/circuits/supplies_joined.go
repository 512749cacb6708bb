package circuits

import (
	"fmt"

	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// How far two joined supplies may differ. A battery is charged with up to 16 V on a
// nominal 12 V (ISO 16750-2 supply code C); batteries of one system differ by their
// charge, by less than a tenth (common practice, no source).
const (
	chargeRatio = 1.35
	restRatio   = 1.10
	// joinAmps is the current into a battery from which two supplies fight. Common
	// practice, no source.
	joinAmps = 1.0
)

func suppliesJoined() rule.Rule {
	return rule.Rule{
		Name:     "supplies-joined",
		Severity: diag.Error,
		Summary:  "two supplies of different volts are joined by metal at both ends, and the higher one drives current into the lower one",
		Why:      "nothing but wire limits the current: the fuse goes, or the lower battery boils",
		Doc:      pages.Of("supplies-joined"),
		Needs:    rule.States,
		Run:      findSuppliesJoined,
	}
}

func findSuppliesJoined(p *rule.Pass) {
	v := look(p)
	for i := range v.d.Supplies {
		for j := range v.d.Supplies {
			high, low := &v.d.Supplies[i], &v.d.Supplies[j]
			if i == j || high.Broken || low.Broken || !v.fight(high, low) {
				continue
			}
			st, ok := v.find(&low.Info, system.All(
				v.joined(high.Plus, low.Plus), v.joined(high.Minus, low.Minus),
				system.On(high.While), system.On(low.While)))
			if ok != yes || st.Amps(low.Element) > -joinAmps {
				continue
			}
			way, _ := st.MetalPath(high.Plus, low.Plus)
			place, subject := evidence.Site(v.d, &low.Info), low.Path
			if len(way) > 0 {
				if e := v.closes(way); v.switched(e) {
					place, subject = evidence.Site(v.d, &v.d.Elements[e].Info), v.thing(&v.d.Elements[e])
				}
			}
			f := diag.Finding{
				Message: fmt.Sprintf("%s of %s drives %s into %s of %s", high.Path, high.Nominal, evidence.Amps(st.Amps(low.Element)), low.Path, low.Nominal),
				Place:   place,
				Subject: subject,
				Help:    "keep the two apart, or put a converter between them",
				Related: []diag.Related{{Place: high.Place, Note: "the higher one"}, {Place: low.Place, Note: "the lower one"}},
			}
			if len(way) > 0 {
				f.Evidence = append(f.Evidence, v.metalOf("from plus to plus", high.Plus, way))
			}
			f.Evidence = append(f.Evidence, evidence.Moves("how it comes about", st.trace)...)
			p.Report(f)
		}
	}
}

// fight tells whether two supplies must not be joined: the lower one can take current,
// and the other is higher by more than charging or different charge explains, whatever
// the volts of the run.
func (v *view) fight(high, low *model.Supply) bool {
	if v.d.Elements[low.Element].OneWay {
		return false
	}
	ratio := restRatio
	if v.d.Elements[high.Element].OneWay {
		ratio = chargeRatio
	}
	return high.Nominal.Float64() > ratio*low.Nominal.Float64() && high.Lo.Float64() > low.Hi.Float64()
}
