package states

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func assumptionUnused() rule.Rule {
	return rule.Rule{
		Name:       "assumption-unused",
		Severity:   diag.Warning,
		Summary:    "an assumption that takes nothing away from what can happen",
		Why:        "a reader believes that verdicts stand on it, and looks for it on the car in vain",
		Doc:        pages.Of("assumption-unused"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			for i := range p.Design.Assumptions {
				a := &p.Design.Assumptions[i]
				if a.Broken || !a.Cond.Known() {
					continue
				}
				matters, err := p.System().Matters(p.Ctx, a.Path)
				p.StopOn(err)
				if matters {
					p.Clear(a.Path)
					continue
				}
				p.Report(diag.Finding{Place: a.NamePlace, Subject: a.Path,
					Message: fmt.Sprintf("%s changes nothing: what it forbids could not happen anyway", a.Name),
					Help:    "leave it out, or check what it says"})
			}
		},
	}
}

func assumptionBlocks() rule.Rule {
	return rule.Rule{
		Name:     "assumption-blocks",
		Severity: diag.Error,
		Summary:  "assumptions that leave nothing that can move",
		Why:      "everything can be proved of a car in which nothing moves",
		Doc:      pages.Of("assumption-blocks"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			names, err := p.System().Blocks(p.Ctx)
			p.StopOn(err)
			var at []*model.Assumption
			for i := range p.Design.Assumptions {
				if a := &p.Design.Assumptions[i]; slices.Contains(names, a.Path) {
					at = append(at, a)
				}
			}
			if len(at) == 0 {
				return
			}
			f := diag.Finding{Place: at[0].NamePlace, Subject: at[0].Path,
				Message: at[0].Name + " leaves nothing that can move",
				Help:    "an assumption says what the surroundings never do; let it forbid less"}
			if len(at) > 1 {
				f.Message = strings.Join(names, ", ") + " together leave nothing that can move"
				for _, a := range at[1:] {
					f.Related = append(f.Related, diag.Related{Place: a.NamePlace, Note: "one of them"})
				}
			}
			p.Report(f)
		},
	}
}

func runsOn() rule.Rule {
	return rule.Rule{
		Name:     "runs-on",
		Severity: diag.Error,
		Summary:  "a relay or valve that stays pulled in after the key is off, with no time running that would end it",
		Why:      "what it feeds runs on with nobody in the car, and the battery is flat in the morning",
		Doc:      pages.Of("runs-on"),
		Yields:   []string{"held-in-through-load"},
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			for i := range p.Design.Settings {
				s := &p.Design.Settings[i]
				off := slices.Index(s.Positions, "off")
				if off >= 0 && !s.Broken && isKey(s.Name) {
					runOn(p, model.SettingID(i), off)
				}
			}
		},
	}
}

// isKey tells whether a setting is what the trade calls the key.
func isKey(name string) bool {
	return slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == '_' || r == '-' }),
		func(w string) bool { return w == "key" || w == "ignition" })
}

// runOn looks for iron that is pulled in at rest with the key off and no time running,
// although they can't come to be so in a car whose key was off all along.
func runOn(p *rule.Pass, key model.SettingID, off int) {
	set := &p.Design.Settings[key]
	isOff := &model.Cond{Op: model.CondAtom, Place: set.Place,
		Atom: model.Atom{Kind: model.AtomSetting, Index: int(key), In: []int{off}}}
	quiet := []*model.Cond{isOff}
	for i := range p.Design.Timers {
		quiet = append(quiet, model.Not(&model.Cond{Op: model.CondAtom, Place: set.Place,
			Atom: model.Atom{Kind: model.AtomTimer, Index: i, In: []int{model.TimerRunning}}}))
	}
	var never *system.System // the same car with the key off all along
	for i := range p.Design.Memories {
		c := &p.Design.Memories[i]
		iron := c.MemKind == model.MemCoil || c.MemKind == model.MemArmature && !p.Design.Armatures[c.Of].Latching
		if c.Broken || !iron {
			continue
		}
		pulled := system.InState(model.MemoryID(i), 1)
		v, occurs, known := possible(p, c.NamePlace, c.Path, system.All(pulled, system.On(model.And(quiet...))), atRest(p))
		if !known || !occurs {
			continue
		}
		if never == nil {
			d := *p.Design
			d.Settings = slices.Clone(d.Settings)
			d.Settings[key].Start = off
			d.Assumptions = append(slices.Clone(d.Assumptions), model.Assumption{
				Info: model.Info{Path: "the key is off", Place: set.Place}, Form: model.AssumeAlways,
				Quantity: model.None, Setting: model.None, Cond: isOff})
			// Nothing electrical is different in it, so that what was solved serves it too.
			s, err := system.Build(p.Ctx, &d, system.Options{Circuit: p.Circuit(), MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones})
			p.StopOn(err)
			never = s
		}
		_, alone, known := possible(p, c.NamePlace, c.Path, pulled,
			func(c system.Condition) (system.Verdict, error) { return never.PossibleHere(p.Ctx, c) })
		if !known || alone {
			continue
		}
		p.Report(diag.Finding{Place: evidence.Site(p.Design, &c.Info), Subject: c.Path,
			Message: fmt.Sprintf("%s stays pulled in after %s is off, and no timer ends it", c.Path, set.Path),
			Help:    "find what holds it: a way back through a lamp or a motor, or its own contact; cut it with the key or a diode",
			Evidence: append(evidence.Moves("", v.Trace), evidence.Because(p.Ctx, v.Trace, &model.Cond{Op: model.CondAtom, Place: c.NamePlace,
				Atom: model.Atom{Kind: model.AtomMemory, Index: i, In: []int{1}}}, false)...)})
	}
}
