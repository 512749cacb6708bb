package system

import (
	"context"

	"pintle/lang/model"
)

// bands is "the partition is in one of these bands", while it applies. A partition with a
// band that keeps has a memory of the band that it is in; otherwise the quantity tells.
func (s *System) bands(ctx context.Context, a *model.Atom) (meaning, error) {
	t := &s.d.Bands[a.Index]
	if t.Broken {
		return s.doubt(""), nil
	}
	applies, err := s.meaning(ctx, t.While)
	if err != nil {
		return meaning{}, err
	}
	if t.Memory != model.None {
		return s.all(applies, s.in(Role{Kind: RoleMemory, Index: int(t.Memory)}, a.In)), nil
	}
	var out []meaning
	for _, i := range a.In {
		if i >= len(t.Bands) || t.Bands[i].Broken {
			return s.doubt(""), nil
		}
		in, err := s.meaning(ctx, t.Bands[i].In)
		if err != nil {
			return meaning{}, err
		}
		out = append(out, s.all(applies, in))
	}
	return s.any(out...), nil
}
