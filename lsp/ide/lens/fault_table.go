package lens

import (
	"bytes"
	"context"

	"pintle/checker/rule"
	"pintle/checker/run/report"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lsp/ide"
)

// FaultTable is what the single faults of a design do, of a fit, a symptom or a requirement.
type FaultTable struct {
	Name string
	// JSON and Text are what `pintle faults` prints.
	JSON, Text []byte
}

// FaultTableOf tries single faults, as `pintle faults` does: of a fit that is declared at a byte
// offset what each fault in it does, of a symptom the faults that bring it about, of a
// requirement those with which it does not hold. Of a design with options it is the first
// combination that has the thing; of several fits of one line it is the first. It is nil where
// none of these is declared.
func FaultTableOf(ctx context.Context, v *ide.View, off int) (*FaultTable, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	def, _ := x.DefinitionAt(v.Src(), off)
	if def == nil || def.Sort != name.Thing || !def.NamePlace.Contains(off) {
		return nil, nil
	}
	read, err := v.Read(ctx)
	if err != nil {
		return nil, err
	}
	design, ask := faultQuestion(read.Designs, def)
	if design == nil {
		return nil, nil
	}
	out := &FaultTable{Name: def.Name}
	var failed error
	err = v.Ask(ctx, design, func(p *rule.Pass) {
		var t report.Faults
		if t, failed = report.FaultsOf(p.Ctx, p.Faults(), design, ask, nil); failed != nil {
			return
		}
		tables := []report.Faults{t}
		var form, text bytes.Buffer
		if failed = report.WriteFaults(&form, "json", tables, true); failed == nil {
			failed = report.WriteFaults(&text, "text", tables, true)
		}
		out.JSON, out.Text = form.Bytes(), text.Bytes()
	})
	if err == nil {
		err = failed
	}
	if err != nil {
		return nil, err
	}
	return out, nil
}

// faultQuestion is what the table of a definition asks, with the design that it asks it of.
func faultQuestion(designs []*model.Design, def *name.Def) (*model.Design, report.FaultQuestion) {
	for _, d := range designs {
		switch def.Kind {
		case schema.Symptom:
			for i := range d.Symptoms {
				if y := &d.Symptoms[i]; ide.SamePlace(y.NamePlace, def.NamePlace) {
					return d, report.FaultQuestion{Symptom: y.Name}
				}
			}
		case schema.Require:
			for i := range d.Requirements {
				if r := &d.Requirements[i]; ide.SamePlace(r.NamePlace, def.NamePlace) {
					return d, report.FaultQuestion{Claim: r.Name}
				}
			}
		}
	}
	if def.Kind == schema.Fit {
		if d, fits := ide.DesignOf(designs, def, ""); d != nil {
			return d, report.FaultQuestion{Of: fits[0].Info.Path}
		}
	}
	return nil, report.FaultQuestion{}
}
