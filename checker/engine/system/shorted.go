package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// What a controller reads of a sender whose wire is joined by metal to ground or to the plus of
// a supply is not what the sender tells. Nothing says what it is instead: the end of a scale, or
// what the input counts as while disconnected. So it may be anything, the same throughout a
// run, as what a stuck sender tells.

// addShorted adds for each reading that can come to be shorted so a variable that never moves:
// the region that it reads then, or one more value for what it counts as.
func (s *System) addShorted() error {
	var metal []int // nodes, by metal that may conduct
	for i := range s.d.Readings {
		r := &s.d.Readings[i]
		if !r.Sender || r.Broken || r.Pin < 0 {
			continue
		}
		if metal == nil {
			metal = s.metal()
		}
		if !s.shortable(metal, r.Pin) {
			continue
		}
		n := 0
		if t := s.teller(r); t != model.None {
			n = s.axes[s.d.Senders[t].Quantity].Len()
		}
		if n == 0 || tooMany(n+1) {
			s.unheard[i] = true
			continue
		}
		if r.HasCountsAs {
			n++
		}
		if _, err := s.add(Role{Kind: RoleShorted, Index: i}, logic.Domain{Name: r.Path, Size: n},
			reach.Var{Kind: reach.Fixed, Initial: logic.Full(n)}); err != nil {
			return err
		}
	}
	return nil
}

// teller is a sender whose scale a reading has; None if there is none.
func (s *System) teller(r *model.Reading) model.SenderID {
	for _, id := range r.Senders {
		if q := s.d.Senders[id].Quantity; q != model.None && !s.d.Senders[id].Broken && s.axes[q] != nil {
			return id
		}
	}
	return model.None
}

// metal joins the nodes that metal may join, with all that can be switched closed: each node
// has the lowest of its class.
func (s *System) metal() []int {
	up := make([]int, len(s.d.Nodes))
	for i := range up {
		up[i] = i
	}
	find := func(x int) int {
		for up[x] != x {
			up[x] = up[up[x]]
			x = up[x]
		}
		return x
	}
	for i := range s.circuit.Elements() {
		id := model.ElementID(i)
		e := s.circuit.Element(id)
		if _, switched, conducts := s.circuit.SwitchOf(id); !switched && !conducts || e.A < 0 || e.B < 0 ||
			!e.Metal && e.Type != model.ElemDiode || e.Type == model.ElemSupply {
			continue
		}
		a, b := find(int(e.A)), find(int(e.B))
		up[max(a, b)] = min(a, b)
	}
	for i := range up {
		up[i] = find(i)
	}
	return up
}

// shortable reports whether metal may join a pin to ground or to the plus of a supply.
func (s *System) shortable(metal []int, pin model.NodeID) bool {
	same := func(n model.NodeID) bool { return n >= 0 && metal[n] == metal[pin] }
	return same(s.d.Ground) || slices.ContainsFunc(s.d.Supplies, func(p model.Supply) bool { return same(p.Plus) })
}

// shorted is where a reading is shorted, and what a comparison of it then comes to; ok is false
// where it can't be.
func (s *System) shorted(ctx context.Context, a *model.Atom) (where, is meaning, ok bool, err error) {
	r := &s.d.Readings[a.Index]
	v, known := s.byRole[Role{Kind: RoleShorted, Index: a.Index}]
	if !known && !s.unheard[a.Index] {
		return meaning{}, meaning{}, false, nil
	}
	var at []meaning
	for _, kind := range [...]model.AtomKind{model.AtomLive, model.AtomGrounded} {
		m, err := s.electric.answer(ctx, &model.Atom{Kind: kind, Index: int(r.Pin)})
		if err != nil {
			return meaning{}, meaning{}, false, err
		}
		at = append(at, m)
	}
	if !known {
		return s.any(at...), s.doubt("nothing says what " + r.Path + " reads while its wire is shorted"), true, nil
	}
	is = s.toldIs(s.teller(r), v, a.Cmp, a.Value)
	if r.HasCountsAs && r.CountsAs.Dim() == a.Value.Dim() && a.Cmp.Holds(float64(r.CountsAs.N.Cmp(a.Value.N))) {
		is = s.any(is, meaning{expr: s.space.Is(v, s.space.Size(v)-1)})
	}
	return s.any(at...), is, true, nil
}

// Surely is the answer that something is possible, undecided where it depends on what a reading
// is whose wire is shorted: of that one value shows nothing.
func (s *System) Surely(v Verdict) Verdict {
	if v.Outcome != Holds && v.Outcome != HoldsNominally || v.Trace == nil {
		return v
	}
	for _, x := range v.Trace.Vars {
		if r := v.Trace.System.role(x); r.Kind == RoleShorted {
			return Verdict{Outcome: Undecided, Work: v.Work,
				Why: "nothing says what " + s.d.Readings[r.Index].Path + " reads while its wire is shorted"}
		}
	}
	return v
}

// shortedText writes what a shorted reading may be.
func (s *System) shortedText(reading int, in []int) (string, bool) {
	r := &s.d.Readings[reading]
	a := s.axes[s.d.Senders[s.teller(r)].Quantity]
	counts := r.HasCountsAs && len(in) > 0 && in[len(in)-1] == a.Len()
	if counts {
		in = in[:len(in)-1]
	}
	if len(in) == 0 {
		return r.Path + " (shorted) taken as disconnected", true
	}
	text, single := a.Condition(r.Path+" (shorted)", in)
	if counts {
		text, single = text+" or disconnected", false
	}
	return text, single
}
