package names

import (
	"slices"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
)

func unused() rule.Rule {
	return rule.Rule{
		Name:     "unused",
		Severity: diag.Warning,
		Summary:  "something that has an effect only if named, and nothing names it",
		Why:      "either it is left over, or the line that should name it is missing",
		Doc:      pages.Of("unused"),
		Fixable:  true,
		Needs:    rule.Names,
		Run:      findUnused,
	}
}

// idle are the kinds that do nothing unless something names them. Loads, drivers,
// contacts and claims are effects in themselves, inputs tell what a box has; wires,
// splices, connectors and pins have rules of their own.
var idle = map[schema.ID]bool{
	schema.Quantity: true, schema.Setting: true, schema.Option: true, schema.Node: true, schema.Origin: true,
	schema.Threshold: true, schema.Timer: true, schema.Beat: true, schema.Condition: true,
	schema.Part: true, schema.Takes: true, schema.Fit: true,
}

func findUnused(p *rule.Pass) {
	if !understood(p) {
		return
	}
	s := searchIn(p)
	for _, d := range p.Read.Index.Definitions(p.Root.Src) {
		if p.Ctx.Err() != nil {
			return
		}
		if d.Sort != name.Thing || !idle[d.Kind] || d.Broken || !s.wholeScope(d.In) || s.isUsed(d) || s.acts(d) {
			continue
		}
		f := diag.Finding{
			Place: d.NamePlace, Subject: s.subject(d), Tags: []diag.Tag{diag.Unnecessary},
			Message: message(d),
			Help:    help(d.Kind),
		}
		if d.Twin == nil && d.Kind != schema.Takes && !s.accepted[d] {
			f.Fixes = []diag.Fix{{Title: "take " + d.Name + " out", Edits: []diag.Edit{removal(d)}}}
		}
		p.Report(f)
	}
	s.idleFiles()
}

func message(d *name.Def) string {
	if d.Kind == schema.Takes {
		return "the part " + d.In.Owner.Name + " takes " + d.Name + " and never names it"
	}
	return "nothing names the " + d.Word() + " " + d.Name
}

// understood reports whether all files could be read to the end. If not, what could not be
// understood may be what names a thing.
func understood(p *rule.Pass) bool {
	for _, f := range p.Read.Files {
		if len(f.Findings) > 0 {
			return false
		}
	}
	return len(p.Read.Findings) == 0
}

// help says what to do about something of a kind that nothing names.
func help(k schema.ID) string {
	switch k {
	case schema.Node, schema.Origin, schema.Fit:
		return "join something to it, or take it out"
	case schema.Part:
		return "fit it somewhere, give it a bench, or take it out"
	case schema.Takes:
		return "name it where it is to count, or take it out here and where the part is fitted"
	case schema.Option:
		return "say what differs under `only when`, or take it out: it multiplies the work of every check"
	}
	return "name it where it is to decide something, or take it out"
}

// acts reports whether a thing of an idle kind does something without being named.
func (s *search) acts(d *name.Def) bool {
	switch d.Kind {
	case schema.Part: // a bench tries it
		return slices.ContainsFunc(d.Inner.Claims, func(c *name.Def) bool { return c.Kind == schema.Bench })
	case schema.Fit:
		return s.standsAlone(d)
	}
	return false
}

// standsAlone reports whether a fit does something though nothing of it is named: it has no
// pin or port to join anything to, or its body joins itself to what surrounds it.
func (s *search) standsAlone(fit *name.Def) bool {
	inside := fit.Inner
	if part := name.PartOf(fit); part != nil {
		inside = part.Inner
	}
	if inside == nil {
		return true
	}
	ends := slices.ContainsFunc(inside.Defs, func(d *name.Def) bool { return d.Kind == schema.Pin || d.Kind == schema.Port })
	return !ends || inside == fit.Inner && s.reachesOut(fit)
}
