package circuits

import (
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func inputNeverChanges() rule.Rule {
	return rule.Rule{
		Name:       "input-never-changes",
		Severity:   diag.Warning,
		Summary:    "an input that always reads high or always low, although its wiring changes",
		Why:        "the controller never sees the change that it should react to",
		Doc:        pages.Of("input-never-changes"),
		Needs:      rule.States,
		Everywhere: true,
		Run:        findStillInputs,
	}
}

// toldApart is how far apart two readings have to be, in V, for another limit between them to tell
// them apart. Common practice, no source.
const toldApart = 0.5

// pulled reports whether a resistor of its box pulls an input up.
func (v *view) pulled(pin model.NodeID) bool {
	return slices.ContainsFunc(v.d.Elements, func(e model.Element) bool {
		return e.Type == model.ElemPull && e.B == pin && e.Volts != (model.Param{})
	})
}

func findStillInputs(p *rule.Pass) {
	var v *view
	for i := range p.Design.Readings {
		r := &p.Design.Readings[i]
		if r.Sender || r.Broken {
			continue
		}
		still, is := consequence.StaysAt(p, model.ReadingID(i))
		if !is {
			p.Clear(r.Path)
			continue
		}
		if v == nil {
			v = look(p)
		}
		v.reportStill(r, still)
	}
}

func (v *view) reportStill(r *model.Reading, still *consequence.OneLevel) {
	word, level, help := "high", fmt.Sprintf("high is above %s", r.HighAbove), "lower what counts as high"
	if still.Never == 0 {
		word, level, help = "low", fmt.Sprintf("low is below %s", r.LowBelow), "raise what counts as low"
	}
	box := &v.d.Controllers[r.Controller]
	f := diag.Finding{
		Place:   evidence.Site(v.d, &r.Info),
		Subject: r.Path,
		Message: fmt.Sprintf("%s never reads %s while %s has power, and %s", r.Path, word, box.Path, level),
		Help:    "wire it to what gives it both",
	}
	if still.There.Trace != nil {
		f.Message = fmt.Sprintf("%s never reads %s at nominal volts; it does with %s", r.Path, word, still.There.Corner)
		f.Help = help + ": the two levels must differ at nominal volts"
	}
	low, high := math.Inf(1), math.Inf(-1)
	on := ask.Remembers(box.Powered)
	by := evidence.Way(v.d, still.By)
	gets := diag.Evidence{Kind: diag.Values, Title: "what it gets while " + box.Path + " has power"}
	for _, side := range [...]struct {
		words string
		c     system.Condition
	}{{"conducts", v.closed(still.By)}, {"is open", system.Not(v.closed(still.By))}} {
		st, ok := v.find(&r.Info, system.All(on, side.c))
		if ok != ask.Yes {
			continue
		}
		if u, ok := st.Between(r.Pin, box.Minus); ok {
			low, high = min(low, u), max(high, u)
			gets.Lines = append(gets.Lines, evidence.Line(&r.Info, "where %s %s: %s", by, side.words, st.Over(r.Pin, box.Minus)))
		}
		f.Evidence = append(f.Evidence, evidence.Moves(fmt.Sprintf("to where %s %s", by, side.words), st.trace)...)
	}
	f.Evidence = append([]diag.Evidence{gets}, f.Evidence...)
	switch {
	case still.There.Trace != nil:
	case high-low >= toldApart:
		f.Help += ", or " + help
	case still.Never == 1 && !v.pulled(r.Pin):
		f.Help += ", or let the box pull it up: `pulled up 4.7 kohm to 5 V`"
	}
	if e := &v.d.Elements[still.By]; !e.Place.IsZero() {
		f.Related = []diag.Related{{Place: e.Place, Note: "switches what it is wired to"}}
	}
	v.p.Report(f)
}
