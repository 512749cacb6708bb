package complete

import (
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

func (c *completer) ownNames(e *syntax.Expected) {
	if e.Form == nil {
		c.headNames()
		return
	}
	switch e.Form.ID {
	case schema.SettingStarts, schema.SettingSpringsBack:
		c.members(ide.DefOf(c.scope, c.Stmt))
	case schema.ModesStart:
		c.members(ide.DefOf(c.scope, c.Stmt))
	case schema.BandEnters:
		c.members(ide.DefOf(c.scope, ide.Enclosing(c.Block, schema.Bands)))
	case schema.StepSetPosition, schema.AssumeMoves, schema.DriveWith:
		c.members(c.named(e.Before))
	}
}

func (c *completer) headNames() {
	switch c.Stmt.Kind.ID {
	case schema.Accept:
		c.rules()
	case schema.From:
		c.members(ide.DefOf(c.scope, ide.Enclosing(c.Block, schema.Modes)))
	case schema.ChartRow:
		chart := ide.Enclosing(c.Block, schema.Chart)
		if chart == nil {
			return
		}
		if cl := chart.Clause(schema.ChartFollows); cl != nil {
			c.members(name.Resolve(c.scope, cl.Ref("setting")))
		}
	case schema.Shows:
		if c.scope == nil {
			return
		}
		for i, d := range c.scope.Defs {
			switch d.Kind {
			case schema.Pin, schema.Port, schema.Takes, schema.Bench:
				continue
			}
			if here := c.File.Src.Text[c.Word.Start:c.Word.End]; !c.scope.Shown[d.Name] || d.Name == here {
				c.add(c.item(d, rank('a', i)))
			}
		}
	}
}

func (c *completer) members(d *name.Def) {
	if d == nil || d.Inner == nil || len(c.Before) > 0 {
		return
	}
	for i, m := range d.Inner.Defs {
		if m.Sort != name.Lost {
			c.add(c.item(m, rank('a', i)))
		}
	}
}
