package ide

import (
	"pintle/lang/kinds"
	"pintle/lang/name"
)

func (c *completer) ownNames(w *want) {
	if w.form == nil {
		c.headNames()
		return
	}
	switch w.form.ID {
	case kinds.SettingStarts, kinds.SettingSpringsBack:
		c.members(defOf(c.scope, c.stmt))
	case kinds.ModesStart:
		c.members(defOf(c.scope, c.stmt))
	case kinds.BandEnters:
		c.members(defOf(c.scope, enclosing(c.block, kinds.Bands)))
	case kinds.StepSetPosition, kinds.AssumeMoves, kinds.DriveWith:
		c.members(followText(c.scope, w.ref))
	}
}

func (c *completer) headNames() {
	switch c.stmt.Kind.ID {
	case kinds.Accept:
		c.rules()
	case kinds.From:
		c.members(defOf(c.scope, enclosing(c.block, kinds.Modes)))
	case kinds.ChartRow:
		chart := enclosing(c.block, kinds.Chart)
		if chart == nil {
			return
		}
		if cl := chart.Clause(kinds.ChartFollows); cl != nil {
			c.members(name.Resolve(c.scope, cl.Ref("setting")))
		}
	case kinds.Shows:
		if c.scope == nil {
			return
		}
		for i, d := range c.scope.Defs {
			switch d.Kind {
			case kinds.Pin, kinds.Port, kinds.Takes, kinds.Bench:
				continue
			}
			if !c.scope.Shown[d.Name] {
				c.add(c.item(d, rank('a', i)))
			}
		}
	}
}

func (c *completer) members(d *name.Def) {
	if d == nil || d.Inner == nil || len(c.before) > 0 {
		return
	}
	for i, m := range d.Inner.Defs {
		if m.Sort != name.Lost {
			c.add(c.item(m, rank('a', i)))
		}
	}
}
