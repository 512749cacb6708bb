package circuits

import (
	"slices"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// changed is the design with some change to its elements or passages, as a state system. Claims,
// drives and symptoms, which only look on, are not in it. It is nil where that can't be made.
func (v *view) changed(change func(*model.Design)) *system.System {
	d := *v.d
	d.Elements, d.Passages = slices.Clone(d.Elements), slices.Clone(d.Passages)
	d.Symptoms, d.Requirements, d.Notices, d.Drives = nil, nil, nil, nil
	change(&d)
	s, err := system.Build(v.p.Ctx, &d, system.Options{MaxNodes: v.p.Limits.Nodes, MaxZones: v.p.Limits.Zones, Memo: v.p.Memo})
	if v.p.Ctx.Err() != nil {
		v.p.StopOn(v.p.Ctx.Err())
	}
	if err != nil {
		return nil
	}
	return s
}

// with reports whether a consumer acts in some state of the design with some change. What can't be
// decided counts as no.
func (v *view) with(c *consumer, change func(*model.Design)) bool {
	s := v.changed(change)
	if s == nil {
		return false
	}
	got, err := s.PossibleHere(v.p.Ctx, v.works(c))
	if v.p.Ctx.Err() != nil {
		v.p.StopOn(v.p.Ctx.Err())
	}
	return err == nil && got.Outcome == system.Holds
}
