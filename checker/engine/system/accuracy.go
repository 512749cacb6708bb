package system

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// The accuracy of a sender is an open value like a tolerance: what it tells less what there
// is may lie anywhere within it, and stays the same throughout one run.
//
// A state system with Options.Inexact set has a variable that never moves for each such
// sender: which of some offsets it has. The offsets are chosen so that each order in which
// the values that anything is compared with can come, told and true, comes with one of them;
// between those nothing can tell a difference but the time that a quantity takes. So one
// search answers for all of them.

// inexactSenders lists the senders whose accuracy is stated and can matter.
func inexactSenders(d *model.Design) []model.SenderID {
	var out []model.SenderID
	for i := range d.Senders {
		k := &d.Senders[i]
		if k.HasAccuracy && !k.Broken && k.Quantity != model.None && !d.Quantities[k.Quantity].Broken && k.Accuracy.N.Sign() > 0 {
			out = append(out, model.SenderID(i))
		}
	}
	return out
}

// offset is by how much a value that is compared with what a sender tells has to be moved,
// with each of the offsets that it may have.
type offset struct {
	sender model.SenderID
	values []unit.Num // the first is none
}

// chooseOffsets finds the offsets of each sender that make a difference; none for those that
// don't. direct are the values that the quantity of a sender is compared with otherwise,
// told those that what it tells is compared with. Too many are none, and why says so.
func (s *System) chooseOffsets(direct map[model.QuantityID][]unit.Num, told map[model.SenderID][]unit.Num) (out []offset, why string) {
	bySubject := map[model.QuantityID][]int{}
	for _, id := range inexactSenders(s.d) {
		if len(told[id]) == 0 {
			continue
		}
		k := &s.d.Senders[id]
		q := &s.d.Quantities[k.Quantity]
		fixed := append([]unit.Num{q.Lo.N, q.Hi.N, q.Start.N}, direct[k.Quantity]...)
		var marks []unit.Num
		for _, r := range told[id] {
			for _, d := range fixed {
				marks = append(marks, r.Sub(d))
			}
			// Others that tell the same quantity, the truth or as they are off.
			for _, other := range inexactSenders(s.d) {
				if other == id || s.d.Senders[other].Quantity != k.Quantity {
					continue
				}
				for _, x := range told[other] {
					marks = append(marks, r.Sub(x))
					by := s.d.Senders[other].Accuracy.N
					marks = append(marks, r.Sub(x).Add(by), r.Sub(x).Sub(by))
				}
			}
			for i := range s.d.Senders { // and those that are exact
				if x := &s.d.Senders[i]; model.SenderID(i) != id && x.Quantity == k.Quantity && !slices.Contains(inexactSenders(s.d), model.SenderID(i)) {
					for _, y := range told[model.SenderID(i)] {
						marks = append(marks, r.Sub(y))
					}
				}
			}
		}
		for _, at := range bySubject[k.Quantity] { // relative to those chosen before
			for _, r := range told[id] {
				for _, x := range told[out[at].sender] {
					for _, off := range out[at].values {
						marks = append(marks, r.Sub(x).Add(off))
					}
				}
			}
		}
		values := between(marks, k.Accuracy.N, q.Rate > 0)
		if len(values) == 1 {
			continue
		}
		bySubject[k.Quantity] = append(bySubject[k.Quantity], len(out))
		if len(values) > logic.MaxSize || len(bySubject[k.Quantity]) > 2 {
			return nil, fmt.Sprintf("%s is compared with too many values within the accuracy of what tells it", q.Path)
		}
		out = append(out, offset{id, values})
	}
	return out, ""
}

// between are the marks that lie within an accuracy, its ends, and the middles of the
// stretches between them; just 0 where no mark but 0 lies there, unless width is set: then
// the ends count by themselves. The first is 0.
func between(marks []unit.Num, by unit.Num, width bool) []unit.Num {
	inside := []unit.Num{by.Neg(), by}
	met := false
	for _, m := range marks {
		if !by.Less(m.Abs()) {
			inside, met = append(inside, m), true
		}
	}
	if !met && !width {
		return []unit.Num{unit.Int(0)}
	}
	inside = append(inside, unit.Int(0))
	slices.SortFunc(inside, unit.Num.Cmp)
	inside = slices.CompactFunc(inside, unit.Num.Equal)
	out := []unit.Num{unit.Int(0)}
	for i, x := range inside {
		if i > 0 {
			middle := inside[i-1].Add(x).Mul(unit.Ratio(1, 2))
			if middle.Sign() != 0 {
				out = append(out, middle)
			}
		}
		if x.Sign() != 0 {
			out = append(out, x)
		}
	}
	return out
}

// offsetsOf lists the offsets that a sender may have in this system.
func (s *System) offsetsOf(id model.SenderID) []unit.Num {
	if i := slices.IndexFunc(s.offsets, func(o offset) bool { return o.sender == id }); i >= 0 {
		return s.offsets[i].values
	}
	return []unit.Num{s.opts.Offsets.Of(id)}
}

// toldIs is the comparison of what a sender tells with a value, where its quantity stands in
// a region that v tells.
func (s *System) toldIs(id model.SenderID, v logic.Var, c model.Cmp, with unit.Value) meaning {
	q := s.d.Senders[id].Quantity
	i := slices.IndexFunc(s.offsets, func(o offset) bool { return o.sender == id })
	if i < 0 {
		return s.compare(q, v, c, less(with, s.opts.Offsets.Of(id)))
	}
	is := s.must(Role{Kind: RoleOffset, Index: int(id)})
	var parts []meaning
	for k, by := range s.offsets[i].values {
		parts = append(parts, s.all(meaning{expr: s.space.Is(is, k)}, s.compare(q, v, c, less(with, by))))
	}
	return s.any(parts...)
}

// less is a value with some number of its base unit taken away.
func less(v unit.Value, by unit.Num) unit.Value {
	if by.Sign() == 0 {
		return v
	}
	return unit.FromBase(v.N.Sub(by), v.Unit)
}

// addOffsets adds a variable for each sender that may be off in more ways than one.
func (s *System) addOffsets() error {
	for _, o := range s.offsets {
		n := len(o.values)
		_, err := s.add(Role{Kind: RoleOffset, Index: int(o.sender)}, logic.Domain{Name: s.d.Senders[o.sender].Path + " (off)", Size: n},
			reach.Var{Kind: reach.Fixed, Initial: logic.Full(n)})
		if err != nil {
			return err
		}
	}
	return nil
}

// offsetsIn reads the offsets of the senders from a state.
func (s *System) offsetsIn(t *Trace) model.Offsets {
	out := s.opts.Offsets
	p := t.Last()
	for _, o := range s.offsets {
		v := s.must(Role{Kind: RoleOffset, Index: int(o.sender)})
		if _, told := slices.BinarySearch(t.Vars, v); told {
			out = out.With(o.sender, o.values[p[v]])
		}
	}
	return out
}

// inexact is the system in a corner with every offset of the senders; nil where no offset
// makes a difference to anything.
func (s *System) inexact(ctx context.Context, k circuit.Corner) (*System, error) {
	if len(inexactSenders(s.d)) == 0 || s.opts.Inexact {
		return nil, nil
	}
	opts := s.opts
	opts.Corner, opts.Inexact = k, true
	t, err := s.with(ctx, opts)
	if err != nil || t.offsets == nil && t.manyOffsets == "" {
		return nil, err
	}
	return t, nil
}

// blur is whether a question depends on what a sender tells that may be off; why says what
// stands in the way of following that.
type blur struct {
	yes bool
	why string
}

func (s *System) blurred(ctx context.Context, conds []Condition, over circuit.Freedom) (out blur, err error) {
	if over&circuit.OverTolerance == 0 {
		return out, nil
	}
	t, err := s.inexact(ctx, s.opts.Corner)
	if err != nil || t == nil {
		return out, err
	}
	ms, err := t.translated(ctx, conds)
	if err != nil {
		return out, err
	}
	t.foreign = nil
	for _, v := range t.cone(ms) {
		switch r := t.roles[v]; {
		case r.Kind == RoleOffset:
			out.yes = true
		case r.Kind == RoleQuantity && t.manyOffsets != "" && t.toldInexactly(model.QuantityID(r.Index)):
			return blur{why: t.manyOffsets}, nil
		}
	}
	return out, nil
}

func (s *System) toldInexactly(q model.QuantityID) bool {
	return slices.ContainsFunc(inexactSenders(s.d), func(id model.SenderID) bool { return s.d.Senders[id].Quantity == q })
}

func (s *System) translated(ctx context.Context, conds []Condition) ([]meaning, error) {
	ms := make([]meaning, len(conds))
	for i, c := range conds {
		var err error
		if ms[i], err = c.of(ctx, s); err != nil {
			return nil, err
		}
		if err = s.need(ctx, ms[i].expr.Vars()); err != nil {
			return nil, err
		}
	}
	return ms, nil
}

// plainest makes the offsets with which a question fails as plain as can be: as few senders
// off as will do, and these as far as they may be. It gives the verdict there.
func (s *System) plainest(ctx context.Context, k circuit.Corner, off model.Offsets, conds []Condition, ask engineAsk) (model.Offsets, Verdict, error) {
	at := func(o model.Offsets) (Verdict, error) {
		t, err := s.atOffsets(ctx, k, o)
		if err != nil {
			return Verdict{}, err
		}
		v, _, err := t.decideHere(ctx, conds, ask)
		return v, err
	}
	got, err := at(off)
	if err != nil || got.Outcome != Fails {
		return off, got, err
	}
	for _, id := range inexactSenders(s.d) {
		by := off.Of(id)
		if by.Sign() == 0 {
			continue
		}
		far := s.d.Senders[id].Accuracy.N
		if by.Sign() < 0 {
			far = far.Neg()
		}
		for _, x := range []unit.Num{unit.Int(0), far} {
			there, err := at(off.With(id, x))
			if err != nil {
				return off, got, err
			}
			if there.Outcome == Fails {
				off, got = off.With(id, x), there
				break
			}
		}
	}
	return off, got, nil
}

// describeOffsets says in words which senders are off, and by how much: "B1.pickup telling
// 200 rpm less than there is". It is empty where all tell the truth.
func (s *System) describeOffsets(o model.Offsets) (out []string) {
	for i := range s.d.Senders {
		k, by := &s.d.Senders[i], o.Of(model.SenderID(i))
		if by.Sign() == 0 {
			continue
		}
		word := "more"
		if by.Sign() < 0 {
			word = "less"
		}
		out = append(out, fmt.Sprintf("%s telling %s %s than there is", k.Path, unit.DifferenceFromBase(by.Abs(), k.Accuracy.Unit), word))
	}
	return out
}

// readings says of each sender that is off what it tells in the last state of a trace:
// "B1.pickup tells 8000 rpm where speed is 8200 rpm".
func (s *System) readings(t *Trace, o model.Offsets) (out []string) {
	for i := range s.d.Senders {
		k, by := &s.d.Senders[i], o.Of(model.SenderID(i))
		if by.Sign() == 0 {
			continue
		}
		text := "the accuracy of " + k.Path
		if t != nil && t.System.axes[k.Quantity] != nil {
			v := t.System.QuantityVar(k.Quantity)
			if _, told := slices.BinarySearch(t.Vars, v); told {
				is := t.System.axes[k.Quantity].Value(int(t.Last()[v]))
				text += fmt.Sprintf(": where %s is %s it tells %s", s.d.Quantities[k.Quantity].Path, is, less(is, by.Neg()))
			}
		}
		out = append(out, text)
	}
	return out
}
