package bands

import (
	"fmt"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// unwired says in a finding about a threshold that never sets at which pin of what it measures no
// wire ends, if there is one.
func unwired(p *rule.Pass, t *model.Threshold, f *diag.Finding) {
	if t.Measure == nil {
		return
	}
	a, b := t.Measure.A, t.Measure.B
	if e := t.Measure.Element; e != model.None {
		a, b = p.Design.Elements[e].A, p.Design.Elements[e].B
	}
	for _, n := range [...]model.NodeID{a, b} {
		if n == model.None || !consequence.BarePin(p, n) {
			continue
		}
		pin := &p.Design.Nodes[n]
		f.Message = fmt.Sprintf("%s never sets: no wire ends at %s, one of the two points that it measures between", t.Path, pin.Path)
		f.Help = fmt.Sprintf("wire %s to what is to be measured", pin.Path)
		if t.Measure.Kind == model.Amps {
			f.Message = fmt.Sprintf("%s never sets: no wire ends at %s, so that what it measures carries no current", t.Path, pin.Path)
			f.Help = fmt.Sprintf("wire %s to where the current is to come from or to go", pin.Path)
		}
		f.Related = append(f.Related, diag.Related{Place: evidence.Site(p.Design, &pin.Info), Note: "no wire ends here"})
		return
	}
}
