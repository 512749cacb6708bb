package ide

import (
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// Takes is the type of an argument as it is written; "" for anything else.
func Takes(d *name.Def) string {
	if d.Sort != name.Thing || d.Kind != schema.Takes || d.Stmt == nil {
		return ""
	}
	c := d.Stmt.Clause(schema.TakesType)
	if c == nil {
		return ""
	}
	return c.Word("type").Text
}

// DimOf is what is measured by a definition that has a value.
func DimOf(d *name.Def) (unit.Dim, bool) {
	if d == nil || d.Sort != name.Thing || d.Stmt == nil {
		return 0, false
	}
	switch d.Kind {
	case schema.Quantity:
		return valueDim(d.Stmt.Clause(schema.QuantityRange), "range")
	case schema.Supply:
		return unit.Voltage, true
	case schema.Input:
		return valueDim(d.Stmt.Clause(schema.InputCountsValue), "value")
	case schema.Takes:
		if u, ok := unit.Lookup(Takes(d)); ok && Takes(d) != "" {
			return u.Dim, true
		}
	case schema.Bands:
		if c := d.Stmt.Clause(schema.BandsOver); c != nil {
			return DimOf(name.Resolve(d.In, c.Ref("quantity")))
		}
	case schema.Threshold:
		if c := d.Stmt.Clause(schema.ThresholdSubject); c != nil {
			switch s := c.Subject("subject"); s.Kind {
			case syntax.CurrentThrough:
				return unit.Current, true
			case syntax.VoltsAt, syntax.VoltsBetween:
				return unit.Voltage, true
			case syntax.SubjectRef:
				return DimOf(name.Resolve(d.In, s.A))
			}
		}
	}
	return 0, false
}

func valueDim(c *syntax.Clause, role string) (unit.Dim, bool) {
	if c == nil {
		return 0, false
	}
	q := c.Quantity(role)
	if q == nil || q.Param != nil && q.HiParam != nil {
		return 0, false
	}
	if q.Param != nil && q.Ranged {
		return q.Hi.Dim(), true
	}
	if q.Param != nil {
		return 0, false
	}
	return q.Value.Dim(), true
}

// UnlessSaid is what an argument is where a fit does not say it, as a fit would.
func UnlessSaid(takes *name.Def) string {
	for _, id := range [...]schema.FormID{schema.TakesDefault, schema.TakesDefaultWhen} {
		if c := takes.Stmt.Clause(id); c != nil && len(c.Args) > 0 {
			s := c.Args[0].Node.Extent()
			text := takes.NamePlace.File.Text[s.Start:s.End]
			if id == schema.TakesDefaultWhen {
				return "when " + text
			}
			return text
		}
	}
	return ""
}
