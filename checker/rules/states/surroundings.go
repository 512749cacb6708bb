package states

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func assumptionUnused() rule.Rule {
	return rule.Rule{
		Name:       "assumption-unused",
		Severity:   diag.Warning,
		Summary:    "an assumption that forbids nothing that could happen",
		Why:        "a reader believes that verdicts depend on it, and looks for it on the vehicle in vain",
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
		Summary:  "assumptions under which nothing can move",
		Why:      "everything can be proved of a vehicle in which nothing moves",
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
		Name:         "runs-on",
		Severity:     diag.Error,
		Summary:      "a relay or valve that stays pulled in after the key or its master switch is off, with no timer running that would end it",
		Why:          "what it feeds runs on with nobody in the vehicle, and the battery is flat in the morning",
		Doc:          pages.Of("runs-on"),
		SuppressedBy: []string{"held-in-through-load"},
		Needs:        rule.States,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			for i := range p.Design.Memories {
				if m := &p.Design.Memories[i]; !m.Broken && isIron(p.Design, m) {
					runOn(p, model.MemoryID(i))
				}
			}
		},
	}
}

// isIron reports whether a memory is that of iron that falls back without current.
func isIron(d *model.Design, m *model.Memory) bool {
	return m.MemKind == model.MemCoil || m.MemKind == model.MemArmature && !d.Armatures[m.Of].Latching
}

// isKey reports whether a setting is what the trade calls the key.
func isKey(name string) bool {
	return slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == '_' || r == '-' }),
		func(w string) bool { return w == "key" || w == "ignition" })
}

// masters are the settings that take the feed off some iron, each with its position. Where only
// the program of a controller reads the key, the circuit shows no master: then its name does.
func masters(p *rule.Pass, iron model.MemoryID) [][2]int {
	var out [][2]int
	for i := range p.Design.Settings {
		s := &p.Design.Settings[i]
		off := slices.Index(s.Positions, "off")
		if at, ok := consequence.Master(p, model.SettingID(i), iron); ok {
			out = append(out, [2]int{i, at})
		} else if off >= 0 && !s.Broken && isKey(s.Name) {
			out = append(out, [2]int{i, off})
		}
	}
	return out
}

// without is the same vehicle with a setting in one position all along.
var without = rule.Share(func(*rule.Pass) map[[2]int]*system.System { return map[[2]int]*system.System{} })

func alwaysAt(p *rule.Pass, setting, position int) *system.System {
	known, key := without.Of(p), [2]int{setting, position}
	if s := known[key]; s != nil {
		return s
	}
	d := *p.Design
	d.Settings = slices.Clone(d.Settings)
	d.Settings[setting].Start = position
	set := &d.Settings[setting]
	d.Assumptions = append(slices.Clone(d.Assumptions), model.Assumption{
		Info: model.Info{Path: fmt.Sprintf("%s is %s", set.Path, set.Positions[position]), Place: set.Place}, Form: model.AssumeAlways,
		Quantity: model.None, Setting: model.None, Cond: isAt(set, setting, position)})
	// Nothing electrical is different in it, so that what was solved serves it too.
	s, err := system.Build(p.Ctx, &d, system.Options{Circuit: p.Circuit(), MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones})
	p.StopOn(err)
	known[key] = s
	return s
}

func isAt(set *model.Setting, setting, position int) *model.Cond {
	return &model.Cond{Op: model.CondAtom, Place: set.Place,
		Atom: model.Atom{Kind: model.AtomSetting, Index: setting, In: []int{position}}}
}

// runOn looks for a state at rest in which some iron is pulled in with its master off and no
// time running, although it can't come to be so in a vehicle whose master was off all along.
func runOn(p *rule.Pass, iron model.MemoryID) {
	c := &p.Design.Memories[iron]
	pulled := system.InState(iron, 1)
	for _, master := range masters(p, iron) {
		set := &p.Design.Settings[master[0]]
		quiet := []*model.Cond{isAt(set, master[0], master[1])}
		for i := range p.Design.Timers {
			quiet = append(quiet, model.Not(&model.Cond{Op: model.CondAtom, Place: set.Place,
				Atom: model.Atom{Kind: model.AtomTimer, Index: i, In: []int{model.TimerRunning}}}))
		}
		on := system.All(pulled, system.On(model.And(quiet...)))
		v, occurs, known := possible(p, c.NamePlace, c.Path, on, atRest(p))
		if !known {
			continue
		}
		never, with := alwaysAt(p, master[0], master[1]), ""
		if !occurs {
			// At nominal values it lets go; what the tolerances leave undecided is no finding.
			var err error
			if v, err = p.System().Never(p.Ctx, on); err == nil && v.Outcome == system.HoldsNominally && v.Offsets.Exact() {
				never, err = never.At(p.Ctx, v.Where)
				with = "with " + v.Corner
			}
			p.StopOn(err)
			if with == "" {
				continue
			}
		}
		_, alone, known := possible(p, c.NamePlace, c.Path, pulled,
			func(c system.Condition) (system.Verdict, error) { return never.PossibleHere(p.Ctx, c) })
		if !known || alone {
			continue
		}
		f := diag.Finding{Place: evidence.Site(p.Design, &c.Info), Subject: c.Path,
			Message: fmt.Sprintf("%s stays pulled in after %s is %s, and no timer ends it", c.Path, set.Path, set.Positions[master[1]]),
			Help:    fmt.Sprintf("find what holds it: a path back through a lamp, a motor or a resistor, or its own contact; cut it with %s or a diode", set.Name),
			Evidence: append(evidence.Moves(with, v.Trace), evidence.Because(p.Ctx, v.Trace, &model.Cond{Op: model.CondAtom, Place: c.NamePlace,
				Atom: model.Atom{Kind: model.AtomMemory, Index: int(iron), In: []int{1}}}, false)...)}
		if with != "" {
			f.Message = with + ", " + f.Message
		}
		p.Report(f)
		return
	}
	neverLetsGo(p, iron)
}

// neverLetsGo reports iron that is at rest at first, pulls in, and can't be made to let go again by
// anything that could be done: a winding that a resistor or a lamp holds in from a rail that nothing
// switches. One that its own contact holds is left alone.
func neverLetsGo(p *rule.Pass, iron model.MemoryID) {
	c := &p.Design.Memories[iron]
	in := system.InState(iron, 1)
	if len(p.Design.Incomplete) > 0 || consequence.Restless(p, in) {
		return
	}
	for _, r := range c.Rules {
		x, err := p.System().Expr(p.Ctx, r.When)
		p.StopOn(err)
		if slices.Contains(x.Vars(), p.System().MemoryVar(iron)) {
			return // its own contact holds it: that is meant, whether or not the design reports what ends it
		}
	}
	v, err := p.System().PossibleHere(p.Ctx, in)
	p.StopOn(err)
	out, err := p.System().PossibleHere(p.Ctx, system.Not(in))
	p.StopOn(err)
	if v.Outcome != system.Holds || out.Outcome != system.Holds || v.Trace == nil || len(v.Trace.Steps) == 0 {
		return
	}
	leaves, err := p.System().CanLeave(p.Ctx, in)
	p.StopOn(err)
	if leaves.Outcome != system.Fails || len(leaves.Assumptions) > 0 || leaves.Trace == nil {
		return
	}
	p.Report(diag.Finding{Place: evidence.Site(p.Design, &c.Info), Subject: c.Path,
		Message: fmt.Sprintf("%s stays pulled in for good: nothing that happens afterwards can release it", c.Path),
		Help:    "find what holds it, and give it a switch that ends that",
		Evidence: append(evidence.Moves("", leaves.Trace), evidence.Because(p.Ctx, leaves.Trace, &model.Cond{Op: model.CondAtom, Place: c.NamePlace,
			Atom: model.Atom{Kind: model.AtomMemory, Index: int(iron), In: []int{1}}}, false)...)})
}
