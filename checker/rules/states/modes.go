package states

import (
	"fmt"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func machines(p *rule.Pass, f func(model.MachineID, *model.Machine)) {
	for i := range p.Design.Machines {
		if m := &p.Design.Machines[i]; !m.Broken {
			f(model.MachineID(i), m)
		}
	}
}

// living calls f for the machines of which the controller has power at some time. That
// one never has is a finding about it, not about its modes.
func living(p *rule.Pass, f func(model.MachineID, *model.Machine)) {
	machines(p, func(id model.MachineID, m *model.Machine) {
		if !consequence.Unpowered(p, m.Controller) {
			f(id, m)
		}
	})
}

// trapped reports whether a mode is entered and never left although transitions lead out of
// it. known is false where that can't be told.
func trapped(p *rule.Pass, id model.MachineID, m *model.Machine, k int) (in system.Verdict, is, known bool) {
	if len(outOf(m, k)) == 0 {
		return in, false, true // meant to be the end
	}
	mode := &m.Modes[k]
	in, occurs, known := possible(p, mode.NamePlace, mode.Path, system.InMode(id, k), atRest(p))
	if !known || !occurs {
		return in, false, known
	}
	_, leaves, known := possible(p, mode.NamePlace, mode.Path, system.Leaves(id, k), atStep(p))
	return in, known && !leaves, known
}

// forFaults reports whether something never happens because nothing is wrong: with some
// single fault it does, as a limp-home mode that a broken wire leads to. Where that would
// be too much work to tell it is taken to be so.
func forFaults(p *rule.Pass, c system.Condition, with func(*rule.Pass, system.Condition, []model.FaultAction) (comes, sure bool)) bool {
	comes, sure := with(p, c, consequence.Faults(p, model.None, true, true))
	return comes || !sure
}

// comesWithFault reports whether a machine comes to a mode with some single fault, there from
// the start or coming at any later time; or that can't be told with the work that is allowed.
func comesWithFault(p *rule.Pass, id model.MachineID, k int) bool {
	if forFaults(p, system.InMode(id, k), consequence.WithFault) {
		return true
	}
	return withSomeFault(p, &model.Cond{
		Op: model.CondAtom, Place: p.Design.Machines[id].Modes[k].Place,
		Atom: model.Atom{Kind: model.AtomMachine, Index: int(id), In: []int{k}},
	})
}

// cutOff reports whether a mode that is never entered is so because all that leads to it
// comes out of a mode that is never left, or of others that are cut off.
func cutOff(p *rule.Pass, id model.MachineID, m *model.Machine, mode int) bool {
	seen, behind := map[int]bool{mode: true}, false
	for queue := []int{mode}; len(queue) > 0; queue = queue[1:] {
		for _, t := range m.Transitions {
			if t.To != queue[0] {
				continue
			}
			for _, from := range t.From {
				if from == t.To || seen[from] {
					continue
				}
				seen[from] = true
				v, is, known := trapped(p, id, m, from)
				switch {
				case !known:
					return false
				case is:
					behind = true
				case v.Outcome == system.Fails: // never entered either
					queue = append(queue, from)
				default:
					return false
				}
			}
		}
	}
	return behind
}

func modeUnreachable() rule.Rule {
	return rule.Rule{
		Name:       "mode-unreachable",
		Severity:   diag.Warning,
		Summary:    "a mode that is never entered",
		Why:        "what is written for that mode never happens on the vehicle",
		Doc:        pages.Of("mode-unreachable"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return // a bench need not try everything
			}
			living(p, func(id model.MachineID, m *model.Machine) {
				for k := range m.Modes {
					mode := &m.Modes[k]
					_, occurs, known := possible(p, mode.NamePlace, mode.Path, system.InMode(id, k), atRest(p))
					switch {
					case !known:
					case occurs:
						p.Clear(mode.Path)
					case cutOff(p, id, m, k): // mode-trap tells where it stays
					case len(into(m, k)) > 0 && consequence.ModeMeant(p, id, k) && comesWithFault(p, id, k):
					default:
						p.Report(diag.Finding{Place: mode.NamePlace, Subject: mode.Path,
							Message: fmt.Sprintf("%s never comes to %s", m.Path, mode.Name),
							Help:    "check the transitions that lead there" + leadingTo(m, k),
							Related: into(m, k)})
					}
				}
			})
		},
	}
}

func leadingTo(m *model.Machine, mode int) string {
	if len(into(m, mode)) == 0 {
		return ": none does"
	}
	return ""
}

// into lists the transitions that lead to a mode.
func into(m *model.Machine, mode int) []diag.Related {
	var out []diag.Related
	for _, t := range m.Transitions {
		if t.To == mode {
			out = append(out, diag.Related{Place: t.Place, Note: "leads there, but is never taken"})
		}
	}
	return out
}

func modeTrap() rule.Rule {
	return rule.Rule{
		Name:       "mode-trap",
		Severity:   diag.Warning,
		Summary:    "a mode that is entered and never left, although it has transitions out of it",
		Why:        "once there the controller stays there until its power goes",
		Doc:        pages.Of("mode-trap"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			living(p, func(id model.MachineID, m *model.Machine) {
				for k := range m.Modes {
					mode := &m.Modes[k]
					in, is, known := trapped(p, id, m, k)
					switch {
					case !known || in.Outcome == system.Fails:
					case !is:
						p.Clear(mode.Path)
					case forFaults(p, system.Leaves(id, k), consequence.AtStepWithFault):
					default:
						p.Report(diag.Finding{Place: mode.NamePlace, Subject: mode.Path,
							Message:  fmt.Sprintf("%s enters %s and never leaves it", m.Path, mode.Name),
							Help:     "none of its transitions can ever fire there; check their conditions",
							Related:  outOf(m, k),
							Evidence: evidence.Moves("", in.Trace)})
					}
				}
			})
		},
	}
}

// outOf lists the transitions that lead from a mode to another.
func outOf(m *model.Machine, mode int) []diag.Related {
	var out []diag.Related
	for _, t := range m.Transitions {
		if t.To != mode && slices.Contains(t.From, mode) {
			out = append(out, diag.Related{Place: t.Place, Note: "leads out, but is never taken from there"})
		}
	}
	return out
}

func modeSame() rule.Rule {
	return rule.Rule{
		Name:     "mode-same",
		Severity: diag.Warning,
		Summary:  "two modes with no difference between them",
		Why:      "either one of them is not needed, or the difference was forgotten",
		Doc:      pages.Of("mode-same"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			machines(p, func(id model.MachineID, m *model.Machine) {
				sets, known := mentions(p.Design, id)
				if !known || len(sets) == 0 {
					return
				}
				for i := range m.Modes {
					for k := i + 1; k < len(m.Modes); k++ {
						if alike(m, sets, i, k) {
							p.Report(diag.Finding{Place: m.Modes[k].NamePlace, Subject: m.Modes[k].Path,
								Message: fmt.Sprintf("nothing distinguishes %s from %s", m.Modes[k].Name, m.Modes[i].Name),
								Help:    "leave one out, or say what is different in it",
								Related: []diag.Related{{Place: m.Modes[i].NamePlace, Note: "the other mode"}}})
						}
					}
				}
			})
		},
	}
}

// mentions collects the sets of modes that conditions ask for. known is false where a
// condition of the design could not be read: it might ask for any.
func mentions(d *model.Design, id model.MachineID) (sets [][]int, known bool) {
	known = true
	d.EachCond(func(c *model.Cond) {
		known = known && c.Known()
		c.Atoms(func(c *model.Cond) {
			if c.Atom.Kind == model.AtomMachine && model.MachineID(c.Atom.Index) == id {
				sets = append(sets, c.Atom.In)
			}
		})
	})
	return sets, known
}

// alike reports whether two modes are asked for together always, and left together.
func alike(m *model.Machine, sets [][]int, i, k int) bool {
	for _, s := range sets {
		if slices.Contains(s, i) != slices.Contains(s, k) {
			return false
		}
	}
	for _, t := range m.Transitions {
		between := t.To == i || t.To == k
		if !between && slices.Contains(t.From, i) != slices.Contains(t.From, k) {
			return false
		}
	}
	return true
}

func transitionNever() rule.Rule {
	return rule.Rule{
		Name:       "transition-never",
		Severity:   diag.Warning,
		Summary:    "a transition that never fires",
		Why:        "whoever wrote it expects it to happen",
		Doc:        pages.Of("transition-never"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			if p.Design.Bench {
				return
			}
			living(p, func(id model.MachineID, m *model.Machine) {
				for k := range m.Transitions {
					neverFires(p, id, m, k)
				}
			})
		},
	}
}

func neverFires(p *rule.Pass, id model.MachineID, m *model.Machine, k int) {
	t := &m.Transitions[k]
	// The transitions of a machine have no names; the place tells them apart.
	subject := fmt.Sprintf("%s.%s", m.Path, m.Modes[t.To].Name)
	key := fmt.Sprintf("%s#%d", m.Path, k)
	if !t.When.Known() || !enters(p, id, m, t) {
		return
	}
	_, fires, known := possible(p, t.Place, subject, system.Fires(id, k), atStep(p))
	if !known {
		return
	}
	if fires {
		p.Clear(key)
		return
	}
	meant := consequence.ModeMeant(p, id, t.To) || slices.ContainsFunc(t.From, func(from int) bool { return consequence.ModeMeant(p, id, from) })
	if meant && forFaults(p, system.Fires(id, k), consequence.AtStepWithFault) {
		return
	}
	f := diag.Finding{Place: t.Place, Subject: key,
		Message: fmt.Sprintf("this transition to %s never fires", m.Modes[t.To].Name),
		Help:    "its condition is never true in a mode that it leads from"}
	if _, enabled, known := possible(p, t.Place, subject, system.Enabled(id, k), atStep(p)); known && enabled {
		f.Help = "whenever its condition is true, a transition written before it is taken instead"
	}
	p.Report(f)
}

// enters reports whether the machine ever comes to a mode from which a transition leads and
// which it leaves again, and to the one that the transition leads to; where it does not,
// that is the finding.
func enters(p *rule.Pass, id model.MachineID, m *model.Machine, t *model.Transition) bool {
	_, occurs, known := possible(p, m.NamePlace, m.Path, system.InMode(id, t.To), atRest(p))
	if !known || !occurs {
		return false
	}
	for _, from := range t.From {
		_, occurs, known := possible(p, m.NamePlace, m.Path, system.InMode(id, from), atRest(p))
		if !known || !occurs {
			continue
		}
		if _, is, known := trapped(p, id, m, from); known && !is {
			return true
		}
	}
	return false
}

func transitionAmbiguous() rule.Rule {
	return rule.Rule{
		Name:     "transition-ambiguous",
		Severity: diag.Warning,
		Summary:  "two transitions to different modes that can fire at once",
		Why:      "the order of the lines decides which one is taken, and that is easily changed by accident",
		Doc:      pages.Of("transition-ambiguous"),
		Source:   "disjointness of mode tables: ACM TOSEM 5(3), 1996; IEEE TSE 19(1), 1993",
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			machines(p, func(id model.MachineID, m *model.Machine) {
				for i := range m.Transitions {
					for k := i + 1; k < len(m.Transitions); k++ {
						ambiguous(p, id, m, i, k)
					}
				}
			})
		},
	}
}

func ambiguous(p *rule.Pass, id model.MachineID, m *model.Machine, i, k int) {
	a, b := &m.Transitions[i], &m.Transitions[k]
	common := slices.ContainsFunc(a.From, func(x int) bool { return slices.Contains(b.From, x) })
	if !common || a.To == b.To || goesFirst(m, a, b) || !a.When.Known() || !b.When.Known() {
		return
	}
	both := system.All(system.Enabled(id, i), system.Enabled(id, k))
	v, occurs, known := possible(p, b.Place, m.Path, both, atStep(p))
	if !known || !occurs {
		return
	}
	p.Report(diag.Finding{Place: b.Place, Subject: m.Path,
		Message: fmt.Sprintf("%s can go to %s and to %s at once; %s is taken because it is written first",
			m.Path, m.Modes[a.To].Name, m.Modes[b.To].Name, m.Modes[a.To].Name),
		Help:     "let one of the conditions exclude the other",
		Related:  []diag.Related{{Place: a.Place, Note: "the one that is taken"}},
		Evidence: evidence.Passing("", v.Trace)})
}

// goesFirst reports whether a transition is written before another one on purpose: `from any`
// and a list of modes of which the other names some only say that it goes before all others,
// and an exit to where the machine starts goes before what leads on.
func goesFirst(m *model.Machine, a, b *model.Transition) bool {
	within := !slices.ContainsFunc(b.From, func(k int) bool { return !slices.Contains(a.From, k) })
	return a.Any || within && len(b.From) < len(a.From) || a.To == m.Start
}
