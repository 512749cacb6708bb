package elaborate

import (
	"maps"
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/spelling"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// argKind is what a part takes under a name.
type argKind uint8

const (
	argUnknown argKind = iota // missing or not understood; a finding has said so
	argValue
	argCount
	argCond
	argQuantity
	argSetting
)

// argument is what a part took, or a placeholder for it.
type argument struct {
	kind  argKind
	def   *name.Def
	dim   unit.Dim
	q     *syntax.Quantity // of a value, without names in it
	place diag.Place       // where it was written
	n     int
	// A condition, a quantity or a setting is looked up in the body that gave it, when
	// it is first asked for.
	cond    *syntax.Cond
	ref     *syntax.Ref
	from    *body
	lowered *model.Cond
	ent     entity
	states  *name.Scope // of what ent is
	linked  bool
	done    progress // of lowering the condition
	used    int
}

// takesType is what a `takes` line asks for.
func takesType(d *name.Def) (argKind, unit.Dim) {
	c := d.Stmt.Clause(schema.TakesType)
	if c == nil {
		return argUnknown, unit.None
	}
	switch w := c.Word("type").Text; w {
	case "condition":
		return argCond, unit.None
	case "quantity":
		return argQuantity, unit.None
	case "setting":
		return argSetting, unit.None
	case "count":
		return argCount, unit.None
	default:
		if u, ok := unit.Lookup(w); ok {
			return argValue, u.Dim
		}
	}
	return argUnknown, unit.None
}

// takeArgs gives a part that is put in place what it takes.
func (b *builder) takeArgs(y *body, part *name.Def, given []syntax.NamedArg, at diag.Place, from *body) {
	y.caller = from
	var took map[string]*syntax.NamedArg
	for i := range given {
		g := &given[i]
		d := part.Inner.Own(g.Name.Text)
		if d == nil || d.Kind != schema.Takes {
			b.noSuchArgument(from, part, g)
			continue
		}
		from.sink.Add(g.Name.Span, d)
		if took == nil {
			took = make(map[string]*syntax.NamedArg, len(given))
		}
		if took[d.Name] != nil {
			b.report(from, nil, diag.Finding{
				Rule: "duplicate-name", Place: diag.Place{File: from.scope.File.Src, Span: g.Name.Span},
				Message: "`" + d.Name + "` is given twice", Why: "it is not clear which of the two is meant", Help: "leave one out",
			})
			continue
		}
		took[d.Name] = g
	}
	for i := range part.Inner.Items {
		it := &part.Inner.Items[i]
		if it.Stmt.Kind.ID != schema.Takes || b.holds(it.Guard, y) != isTrue {
			continue
		}
		for _, d := range it.Defs {
			y.ents[d.Index] = b.takeOne(y, part, d, took[d.Name], at, from)
		}
	}
}

func (b *builder) takeOne(y *body, part, d *name.Def, g *syntax.NamedArg, at diag.Place, from *body) entity {
	kind, dim := takesType(d)
	a := argument{kind: kind, def: d, dim: dim, from: from}
	isDefault := g == nil
	if isDefault {
		g, a.from = defaultArg(d), y
		if g == nil && !d.Broken && kind != argUnknown {
			b.missingArgument(y, part, d, at, from)
		}
	}
	if g == nil {
		a.kind = argUnknown
	} else {
		b.fillArg(&a, g)
	}
	b.args = append(b.args, a)
	if y.fit != model.None {
		b.d.Fits[y.fit].Args = append(b.d.Fits[y.fit].Args, model.Arg{Name: d.Name, Value: b.argText(&a, g), Default: isDefault})
	}
	return entity{kind: schema.Takes, id: int32(len(b.args) - 1)}
}

// defaultArg is the `unless said` of a `takes` line as if it had been given.
func defaultArg(d *name.Def) *syntax.NamedArg {
	if c := d.Stmt.Clause(schema.TakesDefaultWhen); c != nil {
		return &syntax.NamedArg{Name: syntax.Word{Text: d.Name}, Cond: c.Cond("cond"), Span: c.Span}
	}
	c := d.Stmt.Clause(schema.TakesDefault)
	if c == nil {
		return nil
	}
	g := &syntax.NamedArg{Name: syntax.Word{Text: d.Name}, Span: c.Span}
	switch n := c.Arg("value").(type) {
	case *syntax.Quantity:
		g.Quantity = n
	case *syntax.Count:
		g.Count = n
	case *syntax.Ref:
		g.Ref = n
	default:
		return nil
	}
	return g
}

// fillArg puts what was given into the argument, if it is of the kind that is asked for.
func (b *builder) fillArg(a *argument, g *syntax.NamedArg) {
	place := diag.Place{File: a.from.scope.File.Src, Span: g.Span}
	switch a.kind {
	case argValue:
		b.fillValue(a, g, place)
	case argCount:
		switch {
		case g.Count != nil && g.Count.Param == nil:
			a.n = g.Count.N
		case g.Count != nil:
			a.n = b.countArg(a.from, g.Count.Param, a)
		case g.Ref != nil:
			a.n = b.countArg(a.from, g.Ref, a)
		default:
			b.wrongArgument(a, place, "a whole number, such as `"+a.def.Name+" 4`")
		}
	case argCond:
		switch {
		case g.Cond != nil:
			a.cond = g.Cond
		case g.Ref != nil:
			a.cond = &syntax.Cond{Op: syntax.CondTest, Subject: syntax.Subject{A: g.Ref, Span: g.Ref.Span}, Span: g.Ref.Span}
		default:
			b.wrongArgument(a, place, "a condition, such as `"+a.def.Name+" when key is run`")
		}
	case argQuantity, argSetting:
		if g.Ref == nil {
			word := "quantity"
			if a.kind == argSetting {
				word = "setting"
			}
			b.wrongArgument(a, place, "the name of a "+word)
			return
		}
		a.ref = g.Ref
	}
}

func (b *builder) fillValue(a *argument, g *syntax.NamedArg, place diag.Place) {
	var ref *syntax.Ref
	a.place = place
	if g.Quantity != nil {
		a.place.Span = g.Quantity.Span
	}
	switch {
	case g.Quantity != nil && g.Quantity.Param == nil && g.Quantity.HiParam == nil:
		a.q = g.Quantity
	case g.Quantity != nil && !g.Quantity.Ranged:
		ref = g.Quantity.Param
	case g.Ref != nil:
		ref = g.Ref
	case g.Count != nil && g.Count.Param == nil && a.dim == unit.None:
		a.q = &syntax.Quantity{Value: unit.New(unit.Int(int64(g.Count.N)), unit.Unit{}), Span: g.Span}
	default:
		b.wrongArgument(a, place, a.dim.Phrase()+", such as `"+a.def.Name+" "+a.dim.Example()+"`")
		return
	}
	if ref != nil {
		other := b.argNamed(a.from, ref)
		if other == nil || other.kind == argUnknown {
			a.kind = argUnknown
			return
		}
		if other.kind != argValue {
			b.wrongArgument(a, place, "the name of an argument that is "+a.dim.Phrase())
			return
		}
		a.q, a.place = other.q, other.place
	}
	if got := a.q.Value.Dim(); got != a.dim && !(got.IsPressure() && a.dim.IsPressure()) {
		b.mismatch(a.from, place, "`"+a.def.Name+"` takes "+a.dim.Phrase()+", not "+got.Phrase(),
			diag.Related{Place: a.def.Place, Note: "what the part takes"}, a.dim)
		a.kind = argUnknown
	}
}

func (b *builder) wrongArgument(a *argument, place diag.Place, want string) {
	b.report(a.from, nil, diag.Finding{
		Rule: "wrong-kind", Place: place,
		Message: "`" + a.def.Name + "` takes " + want,
		Why:     "the part can't be put in place with something else",
		Help:    "write " + want,
		Related: []diag.Related{{Place: a.def.Place, Note: "what the part takes"}},
	})
	a.kind = argUnknown
}

// argNamed finds an argument of the body's own part.
func (b *builder) argNamed(y *body, ref *syntax.Ref) *argument {
	t, ok := b.resolve(y, ref)
	if !ok {
		return nil
	}
	if t.kind != schema.Takes {
		if t.kind == schema.Quantity {
			b.wrong(y, ref.Span, t, "a value is expected here, and `"+ref.String()+"` is a quantity",
				"write a value, such as "+b.d.Quantities[t.id].Hi.String()+"; two quantities can't be compared with each other")
			return nil
		}
		b.wrongThing(y, ref, t, "a value, or something that a part takes")
		return nil
	}
	return &b.args[t.id]
}

func (b *builder) countArg(y *body, ref *syntax.Ref, into *argument) int {
	a := b.argNamed(y, ref)
	if a == nil || a.kind != argCount {
		into.kind = argUnknown
		if a != nil && a.kind != argUnknown {
			b.wrongArgument(into, diag.Place{File: y.scope.File.Src, Span: ref.Span}, "a whole number")
		}
		return 0
	}
	return a.n
}

func (b *builder) noSuchArgument(from *body, part *name.Def, g *syntax.NamedArg) {
	names := map[string]bool{}
	for _, d := range part.Inner.Defs {
		if d.Kind == schema.Takes {
			names[d.Name] = true
		}
	}
	sorted := slices.Sorted(maps.Keys(names))
	f := diag.Finding{
		Rule: "undefined-name", Place: diag.Place{File: from.scope.File.Src, Span: g.Name.Span},
		Message: "`" + part.Name + "` takes no `" + g.Name.Text + "`",
		Why:     "this argument has no effect on the part",
		Related: []diag.Related{{Place: part.Place, Note: "the part"}},
	}
	if len(sorted) == 0 {
		f.Help = "it takes no arguments: leave it out"
	} else {
		f.Help = "it takes " + listOf(sorted)
	}
	didYouMean(&f, spelling.Best(g.Name.Text, slices.Values(sorted)))
	b.report(from, nil, f)
}

func (b *builder) missingArgument(y *body, part, d *name.Def, at diag.Place, from *body) {
	if b.alone {
		return
	}
	kind, dim := takesType(d)
	example := d.Name + " " + dim.Example()
	switch kind {
	case argCond:
		example = d.Name + " when key is run"
	case argCount:
		example = d.Name + " 4"
	case argQuantity, argSetting:
		example = d.Name + " its_name"
	}
	b.report(from, nil, diag.Finding{
		Rule: "missing-argument", Place: at,
		Message: "`" + part.Name + "` needs `" + d.Name + "`",
		Why:     "without it the part can't be put in place, and nothing about it is checked",
		Help:    "write " + part.Name + "(" + example + ")",
		Related: []diag.Related{{Place: d.Place, Note: "what the part takes"}},
	})
}

// takePlaceholders lets a part that nothing puts in place take something unknown.
func (b *builder) takePlaceholders(y *body) {
	for _, d := range y.scope.Defs {
		if d.Kind != schema.Takes {
			continue
		}
		kind, _ := takesType(d)
		a := argument{kind: argUnknown, def: d, from: y}
		if kind == argCount {
			a.kind, a.n = argCount, 1
		} else if g := defaultArg(d); g != nil {
			a.kind, a.dim = takesType(d)
			b.fillArg(&a, g)
		}
		b.args = append(b.args, a)
		y.ents[d.Index] = entity{kind: schema.Takes, id: int32(len(b.args) - 1)}
	}
}

// argText writes an argument as it came to stand.
func (b *builder) argText(a *argument, g *syntax.NamedArg) string {
	switch {
	case a.kind == argUnknown || g == nil:
		return "unknown"
	case a.kind == argCount:
		return itoa(a.n)
	case a.q != nil:
		return quantityText(a.q)
	case a.ref != nil:
		return a.ref.String()
	}
	text := a.from.scope.File.Src.Text
	if s := a.cond.Span; s.Start >= 0 && s.End <= len(text) && s.Start <= s.End {
		return text[s.Start:s.End]
	}
	return ""
}

func quantityText(q *syntax.Quantity) string {
	s := q.Value.String()
	if q.Ranged {
		s += " to " + q.Hi.String()
	}
	if q.HasTol {
		s += " " + q.Tol.String()
	}
	return s
}

// linkArg finds the quantity or setting that a part took, and reports what is something
// else.
func (b *builder) linkArg(a *argument) {
	if a.linked {
		return
	}
	a.linked = true
	a.ent = entity{kind: unknown}
	if a.ref == nil || a.kind != argQuantity && a.kind != argSetting {
		return
	}
	t, ok := b.resolve(a.from, a.ref)
	if !ok {
		return
	}
	want, word := schema.Quantity, "a quantity"
	if a.kind == argSetting {
		want, word = schema.Setting, "a setting"
	}
	if t.kind != want {
		b.wrongThing(a.from, a.ref, t, word)
		return
	}
	a.ent, a.states = t.entity, b.statesOf(t)
}

// statesOf is the scope of the positions of what a path leads to, looking through the
// arguments that stand for it; nil where it has none.
func (b *builder) statesOf(t thing) *name.Scope {
	if t.def.Kind != schema.Takes || t.home == nil {
		return t.def.Inner
	}
	if x := t.home.ents[t.def.Index]; x.kind == schema.Takes {
		return b.args[x.id].states
	}
	return nil
}
