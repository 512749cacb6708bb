package elaborate

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
)

// size finds what is known once everything is declared: the wires of `each`, where
// deciding things come from, and the class of the supply.
func (b *builder) size() {
	for _, y := range b.bodies {
		b.repeatWires(y)
		b.prepare(y)
		for _, it := range y.live {
			if it.Stmt.Kind.ID == schema.Supply {
				if v, ok := b.value(y, it.Stmt, schema.SupplyVolts, "volts"); ok {
					b.highest = max(b.highest, v.Float64())
				}
			}
		}
	}
	for i := range b.args {
		b.linkArg(&b.args[i])
	}
	b.growElements()
}

// finish does what is known only of the whole design.
func (b *builder) finish() {
	b.chainDrives()
	b.nameFaults()
	for i := 0; i < len(b.later); i++ { // lowering one may put off another
		if b.stop() {
			return
		}
		b.later[i]()
	}
	b.title()
	b.countOptions()
	b.findSenders()
}

// countOptions adds the uses of options under `only when`, which are met before options
// have their place in the design.
func (b *builder) countOptions() {
	for i := range b.d.Options {
		for j, o := range b.options {
			if o.def.NamePlace == b.d.Options[i].NamePlace {
				b.d.Options[i].Used += b.optionUses[j]
			}
		}
	}
}

// title is that of the root file.
func (b *builder) title() {
	for _, i := range b.titles {
		it := &b.scopes[0].Items[i]
		if b.holds(it.Guard, b.files[0]) != isTrue {
			continue
		}
		if b.d.Title != "" {
			b.elaboration.report(diag.Finding{
				Rule: "duplicate-name", Place: it.Stmt.Place(it.Stmt.Line), Message: "the design has a title already",
				Why: "it is not clear which of the two to print", Help: "leave one out",
			})
			continue
		}
		b.d.Title = headText(it.Stmt)
	}
}

// findSenders finds for each input that reads a sender the senders that can ever be
// joined to it by metal, and the quantity if they all tell the same one.
func (b *builder) findSenders() {
	if len(b.d.Senders) == 0 || len(b.d.Readings) == 0 {
		return
	}
	u := newUnion(len(b.d.Nodes))
	for i := range b.d.Elements {
		if e := &b.d.Elements[i]; e.Metal {
			u.join(int(e.A), int(e.B))
		}
	}
	at := map[int][]model.SenderID{}
	for i := range b.d.Senders {
		if s := &b.d.Senders[i]; s.Pin != model.None {
			r := u.find(int(s.Pin))
			at[r] = append(at[r], model.SenderID(i))
		}
	}
	for i := range b.d.Readings {
		r := &b.d.Readings[i]
		if !r.Sender || r.Pin == model.None {
			continue
		}
		r.Senders = at[u.find(int(r.Pin))]
		for j, s := range r.Senders {
			q := b.d.Senders[s].Quantity
			if j == 0 {
				r.Quantity = q
			} else if r.Quantity != q {
				r.Quantity = model.None
				break
			}
		}
		b.sameKindOfQuantity(r)
	}
}

// sameKindOfQuantity reports an input that counts in another unit than its senders tell.
// What it says is then unknown: held against the wrong quantity, each comparison with it
// would seem wrong too.
func (b *builder) sameKindOfQuantity(r *model.Reading) {
	if !r.HasCountsAs {
		return
	}
	for _, s := range r.Senders {
		sender := &b.d.Senders[s]
		if sender.Quantity == model.None {
			continue
		}
		q := &b.d.Quantities[sender.Quantity]
		if q.Lo.Dim() == r.CountsAs.Dim() {
			continue
		}
		b.elaboration.report(diag.Finding{
			Rule: "unit-mismatch", Place: r.Place, Subject: r.Path,
			Message: "`" + r.Path + "` counts in " + r.CountsAs.Unit.String() + ", but `" + sender.Path + "` tells " + q.Lo.Dim().Phrase(),
			Why:     "the controller would compare one thing with another",
			Help:    "write `counts as` in a unit of `" + q.Path + "`, or wire another sender",
			Related: []diag.Related{{Place: sender.Place, Note: "tells " + q.Path}},
		})
		r.Broken, r.Quantity = true, model.None
	}
}

// union keeps which nodes are joined.
type union []int32

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = int32(i)
	}
	return u
}

func (u union) find(i int) int {
	for int(u[i]) != i {
		u[i] = u[u[i]]
		i = int(u[i])
	}
	return i
}

// join keeps the smaller number as the root, so that the result does not depend on the
// order of joining.
func (u union) join(i, j int) {
	i, j = u.find(i), u.find(j)
	u[max(i, j)] = int32(min(i, j))
}

func (e *elaboration) tooManyCombinations(d *name.Def) {
	total := 1
	names := make([]string, 0, len(e.options))
	for _, o := range e.options {
		total = min(total*len(o.positions), 1<<20)
		names = append(names, o.def.Name)
	}
	e.report(diag.Finding{
		Rule: "option-too-many", Place: d.Place,
		Message: "the options make " + itoa(total) + " combinations; the first " + itoa(MaxCombinations) + " are checked",
		Why:     "the others are not checked",
		Help:    "split the design into files with fewer options each: it has " + listOf(slices.Clip(names)),
	})
}
