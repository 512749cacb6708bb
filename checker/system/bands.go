package system

import (
	"context"

	"pintle/lang/model"
)

// bands is "the partition is in one of these bands".
//
// A partition with a band that keeps has a memory of the band that it came from; in the
// stretch of the band that keeps, it is in both.
func (s *System) bands(ctx context.Context, a *model.Atom) (meaning, error) {
	t := &s.d.Bands[a.Index]
	if t.Broken {
		return s.doubt(""), nil
	}
	applies, err := s.meaning(ctx, t.While)
	if err != nil {
		return meaning{}, err
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
		if t.Memory != model.None && !t.Bands[i].Keeps {
			in = s.in(Role{Kind: RoleMemory, Index: int(t.Memory)}, []int{i})
		}
		out = append(out, s.all(applies, in))
	}
	return s.any(out...), nil
}
