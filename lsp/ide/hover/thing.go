package hover

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/claim"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lsp/ide"
)

// shownInstances is of how many fits of a part a hover tells apart.
const shownInstances = 3

// thingText tells everything about a definition, as it is named by a path: how it is
// declared, and what the engines know of what it came to in the design.
//
// subjectPath is the path of what the definition is a level of, where it is one.
func thingText(ctx context.Context, v *ide.View, d *name.Def, path, subjectPath string) (ide.Text, error) {
	t := DeclarationText(v, d)
	level := ""
	switch {
	case d.Sort == name.Short:
		return append(t, fileText(v, d)...), nil
	case d.Sort == name.Level:
		d, path, level = d.In.Owner, subjectPath, d.Name
	case d.Sort != name.Thing:
		return t, nil
	case d.Kind == schema.Part:
		return append(t, partText(d)...), nil
	}
	read, err := v.Read(ctx)
	if err != nil {
		return nil, err
	}
	design, list := ide.DesignOf(read.Designs, d, path)
	if design == nil {
		return t, nil
	}
	more := list[min(len(list), shownInstances):]
	list = list[:min(len(list), shownInstances)]
	var answers ide.Text
	err = v.Ask(ctx, design, func(p *rule.Pass) {
		a := &asker{ctx: ctx, p: p, d: design, several: len(list)+len(more) > 1, to: &answers}
		for _, one := range list {
			switch {
			case one.Info.Broken:
			case level != "":
				a.level(one, level)
			default:
				a.tell(one)
			}
		}
	})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if len(answers) > 0 {
		t.Add(ide.Words, setting(v, design))
	}
	t = append(t, answers...)
	if err != nil {
		t.Add(ide.Words, "Pintle could not work out more: "+err.Error()+".")
	}
	if len(more) > 0 && len(answers) > 0 {
		t.Add(ide.Words, fmt.Sprintf("And %d more.", len(more)))
	}
	return t, nil
}

// setting says of which design answers are, where that goes without saying not.
func setting(v *ide.View, d *model.Design) string {
	var out []string
	if d.File != nil && d.File.Name != v.Src().Name {
		out = append(out, "In `"+ide.Shown(d.File.Name, v.Workspace.Folders())+"`")
	}
	switch {
	case d.Bench:
		out = append(out, "on "+d.Name)
	case d.Name != "":
		out = append(out, "with "+d.Name)
	}
	if len(out) == 0 {
		return ""
	}
	text := strings.Join(out, ", ")
	return strings.ToUpper(text[:1]) + text[1:] + ":"
}

// fileText tells of a used file.
func fileText(v *ide.View, d *name.Def) ide.Text {
	var t ide.Text
	if d.File() == nil {
		return t
	}
	t.Add(ide.Words, "`"+ide.Shown(d.File().File.Src.Name, v.Workspace.Folders())+"`")
	return t
}

// partText reports what can be seen of a part from outside.
func partText(d *name.Def) ide.Text {
	var t ide.Text
	var seen []string
	for _, m := range name.Members(d) {
		seen = append(seen, m.Name)
	}
	for _, a := range ide.ArgumentsOf(d) {
		line := "takes `" + a.Name + "`: " + ide.Takes(a)
		for _, form := range [...]schema.FormID{schema.TakesDefault, schema.TakesDefaultWhen} {
			if cl := a.Stmt.Clause(form); cl != nil {
				line += ", " + ide.TextOf(a.Stmt, cl)
			}
		}
		if doc := a.Doc(); doc != "" {
			line += ": " + strings.ReplaceAll(doc, "\n", " ")
		}
		t.Add(ide.Item, line)
	}
	if len(seen) > 0 {
		t.Add(ide.Words, "Visible from outside: "+strings.Join(wrapped(seen), ", ")+".")
	}
	return t
}

func wrapped(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = "`" + w + "`"
	}
	return out
}

// asker puts the questions of a hover to the engines of a design. It runs as a rule does:
// an engine that can't answer ends it, and what was told until then stands.
type asker struct {
	ctx     context.Context
	p       *rule.Pass
	d       *model.Design
	several bool // of which the path has to be told
	to      *ide.Text
}

func (a *asker) tell(t ide.Thing) {
	d := a.d
	switch t.Table {
	case ide.TableQuantity:
		a.quantity(model.QuantityID(t.ID))
	case ide.TableReading:
		if r := &d.Readings[t.ID]; r.Sender && r.Quantity != model.None {
			a.quantity(r.Quantity)
		} else if !r.Sender && r.Level != model.None {
			a.when(t, "reads high", ask.Remembers(r.Level))
		}
	case ide.TableThreshold:
		a.threshold(&d.Thresholds[t.ID])
	case ide.TableLoad:
		a.load(t, "")
		a.current(t)
	case ide.TableCoil:
		if m := d.Coils[t.ID].Memory; m != model.None {
			a.when(t, "is energised", ask.Remembers(m))
		}
		a.current(t)
	case ide.TableArmature:
		a.when(t, "is energised", ask.Remembers(d.Armatures[t.ID].Memory))
	case ide.TableContact:
		if !d.Contacts[t.ID].Sometimes {
			a.when(t, "is made", system.On(d.Contacts[t.ID].Made))
		}
		a.current(t)
	case ide.TableDriver:
		a.when(t, "is on", system.On(d.Drivers[t.ID].On))
		a.current(t)
	case ide.TablePassage:
		if d.Passages[t.ID].Open != nil {
			a.when(t, "is open", system.On(d.Passages[t.ID].Open))
		}
	case ide.TableSupply:
		if d.Supplies[t.ID].While != nil {
			a.when(t, "is present", system.On(d.Supplies[t.ID].While))
		}
		a.current(t)
	case ide.TableWire:
		a.wire(t)
	case ide.TableFuse, ide.TableResistor, ide.TableDiode:
		a.current(t)
	case ide.TableFit:
		a.fit(t)
	case ide.TableMode:
		a.mode(t)
	case ide.TableRow:
		a.when(t, "is the outcome", system.Row(model.ResultID(t.ID), t.Sub))
	case ide.TableBand:
		a.band(t)
	case ide.TableCondition:
		a.when(t, "is true", system.On(d.Conditions[t.ID].Cond))
	case ide.TableTimer:
		a.when(t, "is running", ask.Atom(model.Atom{Kind: model.AtomTimer, Index: t.ID, In: []int{model.TimerRunning}}))
	case ide.TableNode:
		a.node(t)
	case ide.TableRequirement:
		a.requirement(t)
	}
}

// it names a thing where there are several.
func (a *asker) it(t ide.Thing, says string) string {
	if a.several {
		return "`" + t.Info.Path + "` " + says
	}
	return strings.ToUpper(says[:1]) + says[1:]
}

// when tells the simplest condition under which something holds. It says nothing where
// the system has none that is worth reading.
func (a *asker) when(t ide.Thing, says string, c system.Condition) {
	got := ask.Simplify(a.p, a.p.System(), c, system.On(nil))
	where, corner := "in no reachable state", ", but can be false with "
	switch got.Text {
	case "":
		return
	case "never":
	case "always":
		where, corner = "in every reachable state", ", but not with "
	default:
		a.to.Add(ide.Words, a.it(t, says)+" when")
		a.to.Add(ide.Code, got.Text)
		return
	}
	switch {
	case got.Corner != "":
		a.to.Add(ide.Words, a.it(t, says)+" "+where+" at nominal values"+corner+got.Corner+".")
	case !got.Proved:
		a.to.Add(ide.Words, a.it(t, says)+" "+where+" at nominal values.")
	default:
		a.to.Add(ide.Words, a.it(t, says)+" "+where+".")
	}
}

// load tells when each level of a load is reached, or when only one of them.
func (a *asker) load(t ide.Thing, only string) {
	l := &a.d.Loads[t.ID]
	levels := l.Levels
	if only != "" {
		levels = slices.DeleteFunc(slices.Clone(levels), func(v model.Level) bool { return v.Name != only })
	}
	says := func(v model.Level) string {
		return fmt.Sprintf("is %s (from %g %% of its %g V)", v.Name, v.Percent, l.Rated)
	}
	if len(l.Levels) == 0 {
		levels = []model.Level{{Percent: ask.RunsFrom}}
		says = func(model.Level) string {
			return fmt.Sprintf("runs (at %d %% of its %g V or more)", ask.RunsFrom, l.Rated)
		}
	}
	for _, v := range levels {
		a.when(t, says(v), ask.Reaches(a.d, model.LoadID(t.ID), v))
	}
}

func (a *asker) level(t ide.Thing, name string) {
	if t.Table == ide.TableLoad {
		a.load(t, name)
	}
}

func (a *asker) fit(t ide.Thing) {
	f := &a.d.Fits[t.ID]
	for _, arg := range f.Args {
		line := "`" + arg.Name + "` is " + arg.Value
		if arg.Default {
			line += " (the default of the part)"
		}
		a.to.Add(ide.Item, line)
	}
	if f.Controller != model.None {
		if k := &a.d.Controllers[f.Controller]; !k.Broken && k.Powered != model.None {
			a.when(t, "is powered", ask.Remembers(k.Powered))
		}
	}
}

// mode reports how a mode is come to.
func (a *asker) mode(t ide.Thing) {
	m := &a.d.Machines[t.ID]
	if m.Broken {
		return
	}
	v, err := a.p.System().Possible(a.ctx, system.InMode(model.MachineID(t.ID), t.Sub))
	a.p.StopOn(err)
	switch {
	case v.Trace != nil:
		a.way(a.it(t, "is reached by"), v.Trace)
	case v.Outcome == system.Fails:
		a.to.Add(ide.Words, a.it(t, "can't be reached")+": no run of the design leads there.")
	}
}

// longestWay is how many lines of a way are shown.
const longestWay = 16

// way tells the moves that lead to a state.
func (a *asker) way(title string, t *system.Trace) {
	for _, e := range evidence.Moves(title, t) {
		var lines []string
		for _, l := range e.Lines {
			lines = append(lines, l.Text)
		}
		if len(lines) > longestWay {
			lines = append(lines[:longestWay], fmt.Sprintf("… and %d more", len(lines)-longestWay))
		}
		a.to.Add(ide.Words, title)
		a.to.Add(ide.Ladder, strings.Join(lines, "\n"))
	}
}

func (a *asker) band(t ide.Thing) {
	b := &a.d.Bands[t.ID]
	a.to.Add(ide.Words, a.it(t, "reaches from "+b.Bands[t.Sub].Lo.String()+" up to "+b.Bands[t.Sub].Hi.String())+
		map[bool]string{true: ", both included.", false: ", that not included."}[t.Sub == len(b.Bands)-1])
	if c := b.Bands[t.Sub].Claim; c != nil {
		a.to.Add(ide.Words, "Claimed to hold there:")
		a.to.Add(ide.Code, a.d.Words(c))
		a.claimed(claim.Band(a.p, t.ID, t.Sub), false)
	}
}

// node tells when a point has volts.
func (a *asker) node(t ide.Thing) {
	if a.p.Circuit().NoReference(model.NodeID(t.ID)) {
		return
	}
	a.when(t, "is live", ask.Live(model.NodeID(t.ID)))
	if a.d.Ground != model.None && model.NodeID(t.ID) != a.d.Ground {
		a.when(t, "is grounded", ask.Grounded(model.NodeID(t.ID)))
	}
}

// requirement reports how a requirement stands.
func (a *asker) requirement(t ide.Thing) {
	r := &a.d.Requirements[t.ID]
	c := claim.Requirement(a.p, t.ID)
	if r.Despite && c.Standing == claim.Proved {
		if got, tried := a.p.DespiteKnown(t.ID); tried {
			c = claim.Despite(c, got, true)
			if c.Standing == claim.Failed {
				a.to.Add(ide.Words, "Does not hold with "+got.Failures[0].Faults[0].Words+".")
				return
			}
		} else {
			a.to.Add(ide.Words, "As long as nothing fails:")
		}
	}
	if r.Despite && c.Standing == claim.Vacuous {
		a.to.Add(ide.Words, "Holds as long as nothing fails: without a fault its condition is never true.")
		return
	}
	a.claimed(c, r.Form == model.Possible)
	if _, tried := a.p.DespiteKnown(t.ID); r.Despite && tried && c.Standing == claim.Proved {
		a.to.Add(ide.Words, "It also holds despite "+r.With.String()+".")
	}
}

// claimed reports how a claim stands.
func (a *asker) claimed(c claim.Answer, possible bool) {
	v := c.Verdict
	switch c.Standing {
	case claim.Proved:
		if possible {
			a.to.Add(ide.Words, "Holds: at least one reachable state has it.")
			if v.Trace != nil {
				a.way("The moves that lead there:", v.Trace)
			}
			return
		}
		a.to.Add(ide.Words, "Holds in every reachable state.")
	case claim.Vacuous:
		a.to.Add(ide.Words, "Says nothing: its condition is never true.")
	case claim.Nominal:
		a.to.Add(ide.Words, "Holds for nominal values, but not with "+v.Corner+".")
	case claim.Failed:
		a.to.Add(ide.Words, "Does not hold.")
		if v.Trace != nil {
			a.way("The moves that lead there:", v.Trace)
		}
	case claim.Undecided:
		a.to.Add(ide.Words, "Not decided: "+c.Why+".")
	}
}
