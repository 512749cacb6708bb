package names

import (
	"fmt"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func optionUntested() rule.Rule {
	return rule.Rule{
		Name:     "option-untested",
		Severity: diag.Note,
		Summary:  "a position of an option that no drive tries, in a design that has drives",
		Why:      "every variant is checked, but no drive says what to expect of this one",
		Doc:      pages.Of("option-untested"),
		Needs:    rule.Names,
		Run:      findUntested,
	}
}

func findUntested(p *rule.Pass) {
	type position struct {
		option string
		number int
	}
	var first *model.Design
	tried, drives := map[position]bool{}, false
	for _, d := range p.Read.Designs {
		if d.Bench {
			continue
		}
		if first == nil {
			first = d
		}
		for i := range d.Drives {
			if d.Drives[i].Broken {
				return // it may be the one that tries what no other does
			}
			drives = true
			if !rule.MeantFor(&d.Drives[i], d) {
				continue
			}
			for k := range d.Options {
				tried[position{d.Options[k].Path, d.Options[k].Chosen}] = true
			}
		}
	}
	if first == nil || !drives || !understood(p) {
		return
	}
	for i := range first.Options {
		o := &first.Options[i]
		if o.Broken || o.Place.File != p.Root.Src {
			continue
		}
		for k, pos := range o.Positions {
			if tried[position{o.Path, k}] {
				continue
			}
			p.Report(diag.Finding{
				Place: o.NamePlace, Subject: o.Path + "." + pos,
				Message: fmt.Sprintf("no drive tries %s %s", o.Path, pos),
				Help:    fmt.Sprintf("write a drive `with %s is %s`", o.Path, pos),
			})
		}
	}
}
