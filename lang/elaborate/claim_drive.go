package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

func (b *builder) drive(y *body, st *syntax.Stmt, d *name.Def) {
	v := model.Drive{Info: b.info(y, d), Text: headText(st), After: model.None}
	meant := true
	v.Broken = v.Broken || lostRow(st.Body)
	for _, c := range st.All(schema.DriveWith) {
		t, ok := b.find(y, c, "option")
		if !ok {
			v.Broken = true
			continue
		}
		o := &b.d.Options[t.id]
		if p, ok := b.position(y, t.def, o.Positions, c.Word("position"), t.def.Inner); ok {
			v.Choices = append(v.Choices, model.Choice{Option: o.Name, Position: o.Positions[p]})
			meant = meant && p == o.Chosen
		} else {
			v.Broken = true
		}
	}
	// What a drive that is meant for other options speaks of may not be there with these.
	if meant {
		b.eachRow(y, st.Body, schema.Step, func(step *syntax.Stmt) {
			v.Steps = append(v.Steps, b.step(y, step, &v.Info, len(v.Steps)+1))
		})
	}
	if c := st.Clause(schema.DriveFrom); c != nil {
		b.afters = append(b.afters, after{y, c.Ref("drive"), len(b.d.Drives)})
	}
	b.d.Drives = append(b.d.Drives, v)
}

// lostRow reports whether a step was lost: nobody knows what it would have done.
func lostRow(rows []*syntax.Stmt) bool {
	return slices.ContainsFunc(rows, func(st *syntax.Stmt) bool {
		return st.Kind == nil || st.Kind.ID == schema.Only && lostRow(st.Body)
	})
}

// after is a drive that goes on where another ended, which may stand further down.
type after struct {
	y     *body
	ref   *syntax.Ref
	drive int
}

// chainDrives finds the drives that others go on from, and reports rings of them.
func (b *builder) chainDrives() {
	for _, a := range b.afters {
		v := &b.d.Drives[a.drive]
		at := diag.Place{File: a.y.scope.File.Src, Span: a.ref.Span}
		d := (*name.Def)(nil)
		for z := a.y; z != nil && d == nil; z = z.outer {
			d = z.scope.Claim(a.ref.String(), schema.Drive)
		}
		found := model.None
		for i := range b.d.Drives {
			if d != nil && b.d.Drives[i].NamePlace == d.NamePlace {
				found = i
			}
		}
		if found == model.None {
			names := make([]string, 0, len(b.d.Drives))
			for i := range b.d.Drives {
				if i != a.drive {
					names = append(names, b.d.Drives[i].Name)
				}
			}
			f := diag.Finding{Rule: "undefined-name", Place: at, Subject: v.Path,
				Message: "`" + a.ref.String() + "` is no drive", Why: "it is not clear where this drive begins", Help: "the other drives are " + listOf(names)}
			didYouMean(&f, nearest(a.ref.String(), names))
			b.report(a.y, nil, f)
			v.Broken = true
			continue
		}
		b.note(a.y, a.ref.Span, d)
		b.d.Drives[found].Used++
		v.After = found
	}
	for _, a := range b.afters {
		b.driveRing(a)
	}
}

// driveRing reports a drive that begins where it itself has to have ended.
func (b *builder) driveRing(a after) {
	names := []string{b.d.Drives[a.drive].Name}
	for i := b.d.Drives[a.drive].After; i != model.None && len(names) <= len(b.d.Drives); i = b.d.Drives[i].After {
		names = append(names, b.d.Drives[i].Name)
		if i != a.drive {
			continue
		}
		b.report(a.y, nil, diag.Finding{
			Rule: "condition-cycle", Place: diag.Place{File: a.y.scope.File.Src, Span: a.ref.Span}, Subject: b.d.Drives[a.drive].Path,
			Message: "the drives continue each other in a circle: " + joinWords(names, " from "),
			Why:     "none of them has a beginning",
			Help:    "let one of them begin without `from the state of`",
		})
		b.d.Drives[a.drive].After, b.d.Drives[a.drive].Broken = model.None, true
		return
	}
}

func (b *builder) step(y *body, st *syntax.Stmt, drive *model.Info, number int) model.Step {
	w := st.Name()
	s := model.Step{Info: b.rowInfo(y, drive, st, w)}
	if w.Text == "" {
		s.Path, s.Name = drive.Path+"."+itoa(number), itoa(number)
		s.NamePlace = st.Place(st.KindWord().Span)
	}
	for _, c := range st.Clauses() {
		if c.Broken {
			s.Broken = true
			continue
		}
		if !b.stepClause(y, st, c, &s) {
			s.Broken = true
		}
	}
	return s
}

// stepClause adds what one clause does or sees; it returns false where that is unknown.
func (b *builder) stepClause(y *body, st *syntax.Stmt, c clause, s *model.Step) bool {
	in := scene{y: y, owner: &s.Info}
	see := func(when model.SeeWhen, once *model.Cond) {
		k := b.condition(in, c, "cond")
		b.noMomentsAsked(y, k, once)
		s.Sees = append(s.Sees, model.See{Cond: k, When: when, Once: once, Place: st.Place(c.Span), Text: b.written(y, c, k)})
	}
	switch c.Form.ID {
	case schema.StepSetPosition:
		return b.setPosition(y, st, c, s)
	case schema.StepSetValue:
		return b.setValue(y, st, c, s)
	case schema.StepRamp:
		return b.ramp(y, st, c, s)
	case schema.StepWait:
		q, ok := b.quantity(y, c, "time")
		s.Wait = q.Value.Float64()
		return ok
	case schema.StepSeeOnce:
		see(model.Once, b.condition(in, c, "once"))
	case schema.StepSeeThroughout:
		see(model.Throughout, nil)
	case schema.StepSeeEnd, schema.StepSee:
		see(model.AtEnd, nil)
	case schema.StepFail:
		a, ok := b.failure(y, st, c)
		if !ok {
			return false
		}
		s.Faults = append(s.Faults, a)
	case schema.StepSwap:
		a, ok := b.swap(y, st, c)
		if !ok {
			return false
		}
		s.Faults = append(s.Faults, a)
	case schema.StepMend:
		r := c.Ref("thing")
		t, ok := b.resolveAnything(y, r)
		if !ok {
			return false
		}
		th, ok := b.failing(y, r, t)
		if !ok {
			return false
		}
		s.Faults = append(s.Faults, model.FaultAction{Thing: th, Mend: true, Place: st.Place(c.Span)})
	}
	return true
}

// written is the condition of a `see` as it stands in the text.
func (b *builder) written(y *body, c clause, _ *model.Cond) string {
	k := c.Cond("cond")
	if k == nil {
		return ""
	}
	text := y.scope.File.Src.Text
	if k.Start < 0 || k.End > len(text) || k.Start > k.End {
		return ""
	}
	return text[k.Start:k.End]
}

func (b *builder) setPosition(y *body, st *syntax.Stmt, c clause, s *model.Step) bool {
	r := c.Ref("setting")
	t, ok := b.resolve(y, r)
	if !ok {
		return false
	}
	if t.kind != schema.Setting {
		help := "a setting that is put in a position"
		w := c.Word("position")
		if t.kind == schema.Quantity && w.Text != "" && strings.Trim(w.Text, "0123456789") == "" {
			_, symbol, _ := strings.Cut(b.d.Quantities[t.id].Lo.String(), " ")
			f := wrongKind(st.Place(w.Span), t, "`"+w.Text+"` needs a unit here", "write `set "+r.String()+" "+w.Text+" "+symbol+"`")
			f.Fixes = []diag.Fix{{Title: "write the unit", Edits: []diag.Edit{{Place: st.Place(w.Span), New: w.Text + " " + symbol}}}}
			b.report(y, st, f)
			return false
		}
		if t.kind == schema.Quantity {
			help = "a setting; a quantity is set to a value, such as set " + r.String() + " " + b.d.Quantities[t.id].Lo.String()
		}
		b.wrongThing(y, r, t, help)
		return false
	}
	p, ok := b.position(y, t.def, b.d.Settings[t.id].Positions, c.Word("position"), b.statesOf(t))
	if ok {
		s.Sets = append(s.Sets, model.SetAction{Setting: model.SettingID(t.id), Position: p, Quantity: model.None, Supply: model.None, Place: st.Place(c.Span)})
	}
	return ok
}

func (b *builder) setValue(y *body, st *syntax.Stmt, c clause, s *model.Step) bool {
	t, ok := b.find(y, c, "quantity")
	if !ok {
		return false
	}
	a := model.SetAction{Setting: model.None, Quantity: model.None, Supply: model.None, Place: st.Place(c.Span)}
	switch t.kind {
	case schema.Quantity:
		q := &b.d.Quantities[t.id]
		if a.Value, ok = b.valueOf(y, c, "value", q.Lo.Dim()); !ok {
			return false
		}
		if !b.reaches(y, c, q, a.Value) {
			return false
		}
		a.Quantity = model.QuantityID(t.id)
	case schema.Supply:
		v := &b.d.Supplies[t.id]
		if a.Value, ok = b.valueOf(y, c, "value", v.Nominal.Dim()); !ok {
			return false
		}
		if why := limited(a.Value, supplySlot, false); why != "" {
			return b.impossible(y, c.Quantity("value"), nil, a.Value, why, supplySlot)
		}
		a.Supply = model.SupplyID(t.id)
	}
	s.Sets = append(s.Sets, a)
	return true
}

func (b *builder) ramp(y *body, st *syntax.Stmt, c clause, s *model.Step) bool {
	t, ok := b.find(y, c, "quantity")
	if !ok {
		return false
	}
	v, ok := b.valueOf(y, c, "value", b.d.Quantities[t.id].Lo.Dim())
	q, ok2 := b.quantity(y, c, "time")
	if !ok || !ok2 || !b.reaches(y, c, &b.d.Quantities[t.id], v) {
		return false
	}
	s.Ramps = append(s.Ramps, model.Ramp{Quantity: model.QuantityID(t.id), To: v, Seconds: q.Value.Float64(), Place: st.Place(c.Span)})
	return true
}

// supplySlot is what a supply may be set to: it may be flat.
var supplySlot = &schema.Slot{Role: "volts", Type: schema.SlotQuantity, Dims: []unit.Dim{unit.Voltage}, Limit: schema.FromZero}

// reaches reports a value that a quantity never has.
func (b *builder) reaches(y *body, c clause, q *model.Quantity, v unit.Value) bool {
	low, err1 := v.Cmp(q.Lo)
	high, err2 := v.Cmp(q.Hi)
	if err1 != nil || err2 != nil || low >= 0 && high <= 0 {
		return true
	}
	b.report(y, nil, diag.Finding{
		Rule: "band-outside-range", Place: diag.Place{File: y.scope.File.Src, Span: c.Quantity("value").Span}, Subject: q.Path,
		Message: "`" + q.Path + "` is never " + v.String() + ": it runs from " + q.Lo.String() + " to " + q.Hi.String(),
		Why:     "the outcome says nothing about the vehicle",
		Help:    "stay inside the range, or widen it where the quantity is declared",
		Related: []diag.Related{{Place: q.Place, Note: "its range"}},
	})
	return false
}
