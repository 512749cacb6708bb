package elaborate

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// origin is where a thing of a table comes from in the text, and how far it is lowered.
type origin struct {
	y    *body
	it   *name.Item
	done progress
}

// progress of what conditions may name before its turn.
type progress uint8

const (
	waiting progress = iota
	inProgress
	finished
)

type lazyKey struct {
	kind schema.ID
	id   int
}

type ringLink struct {
	key  lazyKey
	path string
}

// prepare notes where the deciding things come from and names their states, so that
// conditions can name them whatever the order of the text.
func (b *builder) prepare(y *body) {
	for _, it := range y.live {
		for _, d := range it.Defs {
			if d.In != y.scope || isClaim(d.Kind) || d.Kind == schema.Bench || d.Index >= len(y.ents) {
				continue
			}
			x := y.ents[d.Index]
			switch x.kind {
			case schema.Contact, schema.Driver, schema.Condition, schema.Result, schema.Bands, schema.Modes, schema.Coil:
				list := &b.sources[x.kind]
				for len(*list) <= int(x.id) {
					*list = append(*list, origin{})
				}
				(*list)[x.id] = origin{y: y, it: it}
			}
			switch x.kind {
			case schema.Modes:
				m := &b.d.Machines[x.id]
				b.eachRow(y, it.Stmt.Body, schema.Mode, func(st *syntax.Stmt) {
					for _, w := range st.Head().Names {
						m.Modes = append(m.Modes, model.Mode{Info: b.rowInfo(y, &m.Info, st, w)})
					}
				})
				b.rowNames(y, len(m.Modes), func(i int) *model.Info { return &m.Modes[i].Info }, d)
			case schema.Result:
				r := &b.d.Results[x.id]
				b.eachRow(y, it.Stmt.Body, schema.ResultRow, func(st *syntax.Stmt) {
					r.Rows = append(r.Rows, model.ResultRow{Info: b.rowInfo(y, &r.Info, st, st.Name()), When: model.Unknown})
				})
				b.rowNames(y, len(r.Rows), func(i int) *model.Info { return &r.Rows[i].Info }, d)
			case schema.Bands:
				t := &b.d.Bands[x.id]
				keeps := false
				b.eachRow(y, it.Stmt.Body, schema.Band, func(st *syntax.Stmt) {
					t.Bands = append(t.Bands, model.Band{Info: b.rowInfo(y, &t.Info, st, st.Name()), EntersAs: model.None})
					keeps = keeps || st.Has(schema.BandKeeps)
				})
				b.rowNames(y, len(t.Bands), func(i int) *model.Info { return &t.Bands[i].Info }, d)
				if keeps {
					states := append(b.bandNames(int(x.id)), "none")
					t.Memory = b.newMemory(t.Info, model.MemBand, int(x.id), states...)
					b.d.Memories[t.Memory].Start = len(t.Bands)
				}
			}
		}
	}
}

// rowInfo is for a mode, row or band inside of a thing.
func (b *builder) rowInfo(y *body, owner *model.Info, st *syntax.Stmt, w syntax.Word) model.Info {
	return model.Info{
		Path: owner.Path + "." + w.Text, Name: w.Text, Kind: st.Kind.Name, Place: st.Place(st.Line), NamePlace: st.Place(w.Span),
		Fit: y.fit, Doc: name.DocOf(st), Broken: st.Broken,
	}
}

// rowNames reports names that occur twice among the rows of a thing.
func (b *builder) rowNames(y *body, n int, info func(int) *model.Info, d *name.Def) {
	for i := range n {
		for j := range i {
			if info(i).Name != info(j).Name || info(i).Name == "" {
				continue
			}
			b.report(y, d.Stmt, diag.Finding{
				Rule: "duplicate-name", Place: info(i).NamePlace, Subject: info(i).Path,
				Message: "`" + info(i).Name + "` is already in `" + d.Name + "`",
				Why:     "a condition that names it could mean either of the two",
				Help:    "give one of them another name",
				Related: []diag.Related{{Place: info(j).NamePlace, Note: "first here"}},
			})
			break
		}
	}
}

func (b *builder) machineModes(id int) []string {
	m := &b.d.Machines[id]
	out := make([]string, len(m.Modes))
	for i := range m.Modes {
		out[i] = m.Modes[i].Name
	}
	return out
}

func (b *builder) resultRows(id int) []string {
	r := &b.d.Results[id]
	out := make([]string, len(r.Rows))
	for i := range r.Rows {
		out[i] = r.Rows[i].Name
	}
	return out
}

func (b *builder) bandNames(id int) []string {
	t := &b.d.Bands[id]
	out := make([]string, len(t.Bands))
	for i := range t.Bands {
		out[i] = t.Bands[i].Name
	}
	return out
}

// once runs f for a thing unless that was done before. It returns false, after
// reporting the ring, where f of the same thing is under way: the thing would have to
// be known to become known.
func (b *builder) once(key lazyKey, path string, place diag.Place, f func(id int)) bool {
	done := b.progressOf(key)
	switch *done {
	case finished:
		return true
	case inProgress:
		b.ring(key, place)
		return false
	}
	*done = inProgress
	b.stack = append(b.stack, ringLink{key, path})
	f(key.id)
	b.stack = b.stack[:len(b.stack)-1]
	*done = finished
	return true
}

func (b *builder) progressOf(key lazyKey) *progress {
	if key.kind == schema.Takes {
		return &b.args[key.id].done
	}
	return &b.sources[key.kind][key.id].done
}

// ring reports conditions that depend on themselves, naming each on the way.
func (b *builder) ring(key lazyKey, place diag.Place) {
	var names []string
	for i := range b.stack {
		if b.stack[i].key == key {
			for _, l := range b.stack[i:] {
				names = append(names, l.path)
			}
			names = append(names, b.stack[i].path)
			break
		}
	}
	b.elaboration.report(diag.Finding{
		Rule: "condition-cycle", Place: place, Subject: names[0],
		Message: "the condition depends on itself: " + strings.Join(names, " needs "),
		Why:     "to know whether it is true, one would have to know it already",
		Help:    "put a memory in between: a coil, a threshold, a timer or modes",
	})
}

func (b *builder) lowerCondition(id int, place diag.Place) bool {
	return b.once(lazyKey{schema.Condition, id}, b.d.Conditions[id].Path, place, b.stateCondition)
}

func (b *builder) stateCondition(id int) {
	o := b.sources[schema.Condition][id]
	c := b.condition(b.in(o, &b.d.Conditions[id].Info), o.it.Stmt.Clause(schema.ConditionIs), "cond")
	if c == nil {
		c = model.Unknown
	}
	b.d.Conditions[id].Cond = c
}

// in is the scene of the deciding things of a body.
func (b *builder) in(o origin, owner *model.Info) scene {
	return scene{y: o.y, owner: owner, acts: o.y.controller != model.None}
}

// lowerArg lowers the condition that a part took, in the body that gave it.
func (b *builder) lowerArg(id int, s scene, place diag.Place) *model.Cond {
	a := &b.args[id]
	if a.cond == nil {
		return unknownAt(place)
	}
	ok := b.once(lazyKey{schema.Takes, id}, a.def.Path(), place, func(int) {
		c := b.lower(scene{y: a.from, owner: s.owner}, a.cond)
		b.args[id].lowered = c
	})
	if !ok {
		return unknownAt(place)
	}
	return b.args[id].lowered
}

func (b *builder) lowerResult(id int, place diag.Place) bool {
	r := &b.d.Results[id]
	return b.once(lazyKey{schema.Result, id}, r.Path, place, func(int) {
		o := b.sources[schema.Result][id]
		i := 0
		var rest []*model.Cond
		otherwise := -1
		b.eachRow(o.y, o.it.Stmt.Body, schema.ResultRow, func(st *syntax.Stmt) {
			row := i
			i++
			if st.Has(schema.ResultRowOtherwise) {
				if otherwise >= 0 {
					b.secondOtherwise(o.y, st, r.Rows[otherwise].NamePlace)
				}
				otherwise = row
				return
			}
			when := model.Unknown
			if c := st.Clause(schema.ResultRowWhen); c != nil {
				when = b.condition(b.in(o, &r.Rows[row].Info), c, "cond")
			}
			b.d.Results[id].Rows[row].When = when
			rest = append(rest, when)
		})
		if otherwise >= 0 {
			row := &b.d.Results[id].Rows[otherwise]
			row.Otherwise = true
			row.When = at(model.Not(model.Or(rest...)), row.Place)
		}
	})
}

func (b *builder) secondOtherwise(y *body, st *syntax.Stmt, first diag.Place) {
	b.report(y, st, diag.Finding{
		Rule: "wrong-kind", Place: st.Place(st.Line),
		Message: "there are two rows for `otherwise`",
		Why:     "it is unclear which of them covers every other case",
		Help:    "give one of them a `when`",
		Related: []diag.Related{{Place: first, Note: "the first"}},
	})
}

// contactMade is the condition under which a contact is made: closed, or for a
// changeover on its working throw.
func (b *builder) contactMade(id int, place diag.Place) *model.Cond {
	k := &b.d.Contacts[id]
	ok := b.once(lazyKey{schema.Contact, id}, k.Path, place, b.moveContact)
	if !ok || b.d.Contacts[id].Made == nil {
		return unknownAt(place)
	}
	return at(b.d.Contacts[id].Made, place)
}

// driverOn is the condition under which a controller's output is on.
func (b *builder) driverOn(id int, place diag.Place) *model.Cond {
	v := &b.d.Drivers[id]
	ok := b.once(lazyKey{schema.Driver, id}, v.Path, place, b.switchDriver)
	if !ok || b.d.Drivers[id].On == nil {
		return unknownAt(place)
	}
	return at(b.d.Drivers[id].On, place)
}
