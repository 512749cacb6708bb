package circuits

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

// joinAmps is the current into a battery from which two supplies fight. Common practice, no
// source.
const joinAmps = 1.0

func suppliesJoined() rule.Rule {
	return rule.Rule{
		Name:     "supplies-joined",
		Severity: diag.Error,
		Summary:  "two supplies of different volts are joined directly, and the higher one drives current into the lower one",
		Why:      "only the wire limits the current: the fuse blows, or the lower battery boils",
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
			if i == j || high.Broken || low.Broken || !ask.Fight(v.d, high, low) {
				continue
			}
			st, ok := v.find(&low.Info, system.All(
				ask.Joined(high.Plus, low.Plus), ask.Joined(high.Minus, low.Minus),
				system.On(high.While), system.On(low.While)))
			if ok != ask.Yes || st.Amps(low.Element) > -joinAmps {
				continue
			}
			way, _ := st.MetalPath(high.Plus, low.Plus)
			place, subject := evidence.Site(v.d, &low.Info), low.Path
			if len(way) > 0 {
				if e := v.closes(way); v.switched(e) {
					place, subject = evidence.Site(v.d, &v.d.Elements[e].Info), v.thing(&v.d.Elements[e])
				}
			}
			amps := st.Through(low.Element)
			f := diag.Finding{
				Numbers: evidence.Numbers(amps),
				Message: fmt.Sprintf("%s of %s drives %s into %s of %s", high.Path, high.Nominal, amps, low.Path, low.Nominal),
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
