package wiring

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func chartRowMissing() rule.Rule {
	return rule.Rule{
		Name:       "chart-row-missing",
		Severity:   diag.Note,
		Summary:    "a chart that has no row for a position of its setting",
		Why:        "a reader does not know whether the row was forgotten or nothing is meant to be joined there",
		Doc:        pages.Of("chart-row-missing"),
		Fixable:    true,
		Needs:      rule.Design,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Charts {
				if k := &p.Design.Charts[i]; !k.Broken && k.Setting != model.None && !p.Design.Settings[k.Setting].Broken && len(k.Rows) > 0 {
					findMissingRows(p, k)
				}
			}
		},
	}
}

func findMissingRows(p *rule.Pass, k *model.Chart) {
	s := &p.Design.Settings[k.Setting]
	var missing []string
	for i, name := range s.Positions {
		if !slices.ContainsFunc(k.Rows, func(r model.ChartRow) bool { return slices.Contains(r.Positions, i) }) {
			missing = append(missing, name)
		}
	}
	if missing == nil {
		p.Clear(k.Path)
		return
	}
	row := fmt.Sprintf("row %s: open", strings.Join(missing, ", "))
	f := diag.Finding{
		Place: evidence.Site(p.Design, &k.Info), Subject: k.Path,
		Message: fmt.Sprintf("%s has no row for %s of %s: there it joins nothing", k.Path, strings.Join(missing, ", "), s.Path),
		Help:    fmt.Sprintf("write `%s`, or what is joined there", row),
		Related: []diag.Related{{Place: s.NamePlace, Note: "its positions"}},
	}
	// A part may follow a setting of other positions in its next fit.
	if !evidence.OfPart(p.Design, &k.Info) {
		at := k.Rows[len(k.Rows)-1].Place
		start := at.File.LineStart(at.File.LineOf(at.Span.Start))
		indent := at.File.Text[start:at.Span.Start]
		if strings.TrimSpace(indent) != "" {
			indent = ""
		}
		at.Span.End = at.Span.Start
		f.Fixes = []diag.Fix{{Title: "write `" + row + "`", Edits: []diag.Edit{{Place: at, New: row + "\n" + indent}}}}
	}
	p.Report(f)
}
