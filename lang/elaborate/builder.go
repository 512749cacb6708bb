package elaborate

import (
	"slices"
	"strconv"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// builder makes one design.
type builder struct {
	*elaboration
	d      *model.Design
	choice []int // the position of each option

	bodies []*body
	groups [][]*body // `fit NAME: 4 of …`
	wires  [][]int   // `each`: the wires of a group
	args   []argument
	guards map[*name.Guard]truth
	// optionUses counts the `only when` lines that depend on each option.
	optionUses []int
	// files holds the body of each file, in the order of elaboration.files; empty for
	// files that take no part in this design.
	files []*body
	// alone: the design of a part by itself, made for its findings only.
	alone bool

	wayNodes []wayNodes     // of each connector
	terminal []model.NodeID // the first of each supply

	highest float64 // nominal volts of the highest supply
	steps   int     // statements seen, to look at the context now and then

	// lowering of things that conditions may name before their turn
	sources [schema.Count][]origin
	stack   []ringLink
	afters  []after
	naming  []naming

	taint     map[taintKey]bool
	unsure    map[*name.Def]bool // settings whose own line speaks of a position that they do not have
	followers map[*model.Cond]model.MemoryID
	timers    map[timerKey]model.TimerID
	failed    []entity // what could not be placed
	later     []func() // conditions behind memory, lowered when nothing is in progress
}

// A kind says which table an entity is in. Pins, splices and grounds are nodes; a thing
// that is not there under the chosen options has schema.None. These stand for no statement:
const (
	unknown   = schema.ID(schema.Count) + iota // its statement could not be read, or a placeholder
	wireGroup                                  // the wires of an `each`
	fitGroup                                   // the fits of `N of`
	aWay                                       // id: connector; way in entity.way
)

// entity is a named thing of one design: its table and its place there.
type entity struct {
	kind schema.ID
	id   int32
	way  int32 // of a connector
}

func (x entity) node() model.NodeID { return model.NodeID(x.id) }

// body is one scope put in place: a file, a fit, a bench.
type body struct {
	scope  *name.Scope
	outer  *body // where names that it does not know are looked for
	fit    model.FitID
	number int
	prefix string
	ents   []entity // by name.Def.Index
	sink   name.Sink
	// notes reports whether uses in it are new to the index.
	notes bool
	// controller of the body, None if it has no `powered` line.
	controller model.ControllerID
	elsewhere  bool
	// caller and call are of a part that was put in place.
	caller *body
	// live are the items that are there under the chosen options.
	live []*name.Item
}

func (e *elaboration) newBuilder(choice []int) *builder {
	b := &builder{
		elaboration: e, choice: choice,
		d:      &model.Design{File: e.files[0].Src, Ground: model.None},
		guards: map[*name.Guard]truth{}, optionUses: make([]int, len(e.options)),
		taint:     map[taintKey]bool{},
		unsure:    map[*name.Def]bool{},
		followers: map[*model.Cond]model.MemoryID{},
		timers:    map[timerKey]model.TimerID{},
	}
	for i, c := range choice {
		b.d.Choices = append(b.d.Choices, model.Choice{Option: e.options[i].def.Name, Position: e.options[i].positions[c]})
	}
	return b
}

// build makes the design of one combination of options.
func (e *elaboration) build(choice []int, called string) *model.Design {
	b := e.newBuilder(choice)
	b.d.Name = called
	b.files = make([]*body, len(e.scopes))
	for i, s := range e.scopes {
		b.files[i] = b.newBody(s, nil, model.None, e.prefix[i])
	}
	b.run()
	return b.d
}

// buildBench makes the design of a part on one of its benches: the part's own things
// keep the names that they have inside it, and so do those of the bench. uses reports which
// options had a say.
func (e *elaboration) buildBench(part, bench *name.Def, choice []int, called string) (d *model.Design, uses []bool) {
	b := e.newBuilder(choice)
	b.d.Name, b.d.Bench = called, true
	b.partFiles()
	p := b.partAlone(part)
	around := b.newBody(bench.Inner, p, model.None, "")
	p.caller = around
	if c := bench.Stmt.Clause(schema.BenchWith); c != nil {
		b.takeArgs(p, part, c.NamedArgs("args"), bench.NamePlace, around)
	} else {
		b.takeArgs(p, part, nil, bench.NamePlace, around)
	}
	b.run()
	uses = make([]bool, len(e.options))
	for i, o := range e.options {
		uses[i] = b.optionUses[i] > 0 || slices.ContainsFunc(b.d.Options, func(x model.Option) bool {
			return x.NamePlace == o.def.NamePlace && x.Used > 0
		})
	}
	return b.d, uses
}

// buildAlone elaborates a part by itself for its findings.
func (e *elaboration) buildAlone(part *name.Def) {
	b := e.newBuilder(make([]int, len(e.options)))
	b.alone = true
	// Nobody sees the design, so that its largest tables serve the next part too.
	b.d.Nodes, b.d.Elements = e.nodes[:0], e.elements[:0]
	b.partFiles()
	p := b.partAlone(part)
	b.takePlaceholders(p)
	b.run()
	e.nodes, e.elements = b.d.Nodes, b.d.Elements
}

// partFiles makes bodies of the files in which nothing is there but parts and options.
// Without options they are the same for every part.
func (b *builder) partFiles() {
	if o := b.outside; o != nil {
		b.files = o.files
		b.d.Incomplete = append(b.d.Incomplete, o.incomplete...)
		return
	}
	b.files = make([]*body, len(b.scopes))
	for i, s := range b.scopes {
		f := b.newBody(s, nil, model.None, b.prefix[i])
		f.live = nil
		b.declareGlobals(f)
	}
	b.bodies = b.bodies[:0]
	if len(b.options) == 0 {
		b.outside = &outside{files: b.files, incomplete: slices.Clip(b.d.Incomplete)}
	}
}

// outside is what parts have around them, and what of it could not be understood.
type outside struct {
	files      []*body
	incomplete []model.Info
}

// partAlone puts a part in place so that its things have their own names.
func (b *builder) partAlone(part *name.Def) *body {
	b.checked[part.Inner] = true
	b.d.Fits = append(b.d.Fits, model.Fit{
		Info:   model.Info{Path: part.Name, Name: part.Name, Kind: "part", Place: part.Place, NamePlace: part.NamePlace, Fit: model.None, Doc: part.Doc()},
		Parent: model.None, Part: part.Name, PartPlace: part.NamePlace, Controller: model.None,
	})
	return b.newBody(part.Inner, b.fileBody(part.In), 0, "")
}

// newBody makes room for the names of a scope.
func (b *builder) newBody(s *name.Scope, outer *body, fit model.FitID, prefix string) *body {
	y := &body{
		scope: s, outer: outer, fit: fit, prefix: prefix, number: len(b.bodies),
		ents: make([]entity, len(s.Defs)), sink: b.index.Sink(s.File), controller: model.None,
	}
	for _, d := range s.Lost {
		y.ents[d.Index] = entity{kind: unknown}
	}
	if s.Owner != nil {
		b.lost(y, s.Owner.Stmt.Body)
	} else {
		b.lost(y, s.File.Stmts)
	}
	y.notes = b.newToIndex(s)
	b.bodies = append(b.bodies, y)
	if s.Kind == name.OfFile {
		for i, t := range b.scopes {
			if t == s {
				b.files[i] = y
			}
		}
	}
	return y
}

// lost notes the statements of which the kind is not known: they may be anything.
func (b *builder) lost(y *body, list []*syntax.Stmt) {
	for _, st := range list {
		switch {
		case st.Kind == nil:
			i := model.Info{Fit: y.fit, Broken: true, Place: st.Place(st.Line), NamePlace: st.Place(st.Line)}
			if names := st.Head().Names; len(names) > 0 {
				i.Path, i.Name, i.NamePlace = y.prefix+names[0].Text, names[0].Text, st.Place(names[0].Span)
			}
			b.d.Incomplete = append(b.d.Incomplete, i)
		case st.Kind.ID == schema.Only:
			b.lost(y, st.Body)
		}
	}
}

// torn reports whether one of the rows of a thing could not be read: then what they say
// together is not known.
func torn(st *syntax.Stmt) bool {
	switch st.Kind.ID {
	case schema.Chart, schema.Timer, schema.Result, schema.Modes, schema.Bands:
		return tornRows(st.Body)
	}
	return false
}

func tornRows(rows []*syntax.Stmt) bool {
	return slices.ContainsFunc(rows, func(st *syntax.Stmt) bool {
		return st.Kind == nil || st.Broken || st.Kind.ID == schema.Only && tornRows(st.Body)
	})
}

// newToIndex reports whether the uses in a scope are yet to be told to the index: a part
// is noted where it is put in place first. Under options other names may be meant in
// each combination.
func (b *builder) newToIndex(s *name.Scope) bool {
	by, ok := b.noted[s]
	if ok && (by == b.d || len(b.options) == 0) {
		return false
	}
	b.noted[s] = b.d
	return true
}

// fileBody is the body of the file that a scope belongs to.
func (b *builder) fileBody(s *name.Scope) *body {
	for s.Outer != nil {
		s = s.Outer
	}
	for i, t := range b.scopes {
		if t == s {
			return b.files[i]
		}
	}
	return nil
}

// run goes through the passes.
func (b *builder) run() {
	declared := len(b.bodies)
	for _, y := range b.bodies {
		b.grow(y.scope)
		b.declare(y)
	}
	// Bodies come into being while parts are put in place.
	for i := 0; i < len(b.bodies) && !b.stop(); i++ {
		if i >= declared {
			b.declare(b.bodies[i])
		}
		b.declareFits(b.bodies[i])
	}
	b.size()
	b.pass(b.numbers)
	b.pass(b.link)
	b.pass(b.wire)
	b.leaveOut()
	b.pass(b.join)
	b.pass(b.observe)
	b.pass(b.decide)
	b.pass(b.claim)
	b.finish()
}

// pass goes over all bodies. When the context ends it leaves the rest; a design that
// was not finished is not given out.
func (b *builder) pass(f func(*body)) {
	for _, y := range b.bodies {
		if b.stop() {
			return
		}
		f(y)
	}
}

// stop looks at the context now and then.
func (b *builder) stop() bool {
	b.steps++
	return b.steps&255 == 0 && b.stopped()
}

// info starts the common part of a thing.
func (b *builder) info(y *body, d *name.Def) model.Info {
	return model.Info{
		Path: y.prefix + d.Name, Name: d.Name, Kind: d.Stmt.Kind.Name, Place: d.Place, NamePlace: d.NamePlace,
		Fit: y.fit, Doc: d.Doc(), Broken: d.Broken || torn(d.Stmt),
	}
}

// incomplete notes a thing that is left out because it could not be understood.
func (b *builder) incomplete(y *body, it *name.Item) {
	i := model.Info{Kind: it.Stmt.Kind.Name, Fit: y.fit, Broken: true, Place: it.Stmt.Place(it.Stmt.Line)}
	if len(it.Defs) > 0 {
		i = b.info(y, it.Defs[0])
		i.Broken = true
	}
	b.d.Incomplete = append(b.d.Incomplete, i)
}

func (b *builder) report(y *body, st *syntax.Stmt, f diag.Finding) {
	if f.Subject == "" && y.fit != model.None {
		f.Subject = b.d.Fits[y.fit].Path
	}
	b.elaboration.report(f)
}

func itoa(n int) string { return strconv.Itoa(n) }
