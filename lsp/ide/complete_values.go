package ide

import (
	"slices"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

func (c *completer) dims(w *want) []unit.Dim {
	if w.arg != "" {
		if a := c.argument(w); a != nil {
			return dimsOf(a)
		}
		return nil
	}
	switch w.subject.kind {
	case syntax.CurrentThrough:
		return []unit.Dim{unit.Current}
	case syntax.VoltsAt, syntax.VoltsBetween:
		return []unit.Dim{unit.Voltage}
	}
	if w.subject.a != "" {
		return dimsOf(followText(c.scope, w.subject.a))
	}
	if w.slot != nil && len(w.slot.Dims) > 0 {
		return w.slot.Dims
	}
	if w.form == nil {
		return nil
	}
	own := defOf(c.scope, c.stmt)
	switch w.form.ID {
	case schema.QuantityChanges, schema.QuantityStarts, schema.InputCountsValue,
		schema.ThresholdSetsAt, schema.ThresholdSetsAbove, schema.ThresholdSetsBelow,
		schema.ThresholdClearsAt, schema.ThresholdClearsBelow, schema.ThresholdClearsAbove:
		return dimsOf(own)
	case schema.StepSetValue, schema.StepRamp:
		return dimsOf(followText(c.scope, w.ref))
	case schema.BandRange:
		return dimsOf(defOf(c.scope, enclosing(c.block, schema.Bands)))
	case schema.SenderAccuracy:
		if cl := c.stmt.Clause(schema.SenderTells); cl != nil {
			return dimsOf(name.Resolve(c.scope, cl.Ref("quantity")))
		}
	case schema.TakesDefault:
		return dimsOf(own)
	}
	return nil
}

func dimsOf(d *name.Def) []unit.Dim {
	if dim, ok := dimOf(d); ok {
		return []unit.Dim{dim}
	}
	return nil
}

func (c *completer) values(w *want, group byte) {
	if len(c.before) > 0 || w.slot != nil && w.slot.Written {
		return
	}
	dims := c.dims(w)
	for s := c.scope; s != nil; s = s.Outer {
		for _, d := range s.Defs {
			if takes(d) == "" {
				continue
			}
			dim, measured := dimOf(d)
			fits := measured && (len(dims) == 0 || slices.Contains(dims, dim))
			if w.what == wantCount {
				fits = takes(d) == "count"
			}
			if fits {
				c.add(c.item(d, rank(group, 0)))
			}
		}
		if s.Kind == name.OfPart {
			return
		}
	}
}
