package complete

import (
	"slices"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// dims says what a value at the cursor can measure; none: it is not known.
func (c *completer) dims(e *syntax.Expected) []unit.Dim {
	if e.Argument != "" {
		if a := c.argument(e); a != nil {
			return dimsOf(a)
		}
		return nil
	}
	if s := e.Subject; s != nil {
		switch s.Kind {
		case syntax.CurrentThrough:
			return []unit.Dim{unit.Current}
		case syntax.VoltsAt, syntax.VoltsBetween:
			return []unit.Dim{unit.Voltage}
		}
		return dimsOf(ide.FollowText(c.scope, s.A.String()))
	}
	if e.Slot != nil && len(e.Slot.Dims) > 0 {
		return e.Slot.Dims
	}
	if e.Form == nil {
		return nil
	}
	own := ide.DefOf(c.scope, c.Stmt)
	switch e.Form.ID {
	case schema.QuantityChanges, schema.QuantityStarts, schema.InputCountsValue,
		schema.ThresholdSetsAt, schema.ThresholdSetsAbove, schema.ThresholdSetsBelow,
		schema.ThresholdClearsAt, schema.ThresholdClearsBelow, schema.ThresholdClearsAbove:
		return dimsOf(own)
	case schema.StepSetValue, schema.StepRamp:
		return dimsOf(c.named(e.Before))
	case schema.BandRange:
		return dimsOf(ide.DefOf(c.scope, ide.Enclosing(c.Block, schema.Bands)))
	case schema.SenderAccuracy:
		if cl := c.Stmt.Clause(schema.SenderTells); cl != nil {
			return dimsOf(name.Resolve(c.scope, cl.Ref("quantity")))
		}
	case schema.TakesDefault:
		return dimsOf(own)
	}
	return nil
}

func dimsOf(d *name.Def) []unit.Dim {
	if dim, ok := ide.DimOf(d); ok {
		return []unit.Dim{dim}
	}
	return nil
}

// values offers arguments of the part that hold a value of the right kind.
func (c *completer) values(e *syntax.Expected, group byte) {
	if e.Argument == "" && e.Slot != nil && e.Slot.Written {
		return
	}
	dims := c.dims(e)
	c.holders(group, func(d *name.Def) bool {
		dim, measured := ide.DimOf(d)
		return measured && (len(dims) == 0 || slices.Contains(dims, dim))
	})
}

// counts offers arguments of the part that hold a whole number.
func (c *completer) counts(group byte) {
	c.holders(group, func(d *name.Def) bool { return ide.Takes(d) == "count" })
}

// holders offers those arguments of the part that fit.
func (c *completer) holders(group byte, fits func(*name.Def) bool) {
	if len(c.Before) > 0 {
		return
	}
	for s := c.scope; s != nil; s = s.Outer {
		for _, d := range s.Defs {
			if ide.Takes(d) != "" && fits(d) {
				c.add(c.item(d, rank(group, 0)))
			}
		}
		if s.Kind == name.OfPart {
			return
		}
	}
}
