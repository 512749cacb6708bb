package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func looseWirePermits() rule.Rule {
	return rule.Rule{
		Name:     "loose-wire-permits",
		Severity: diag.Note,
		Summary:  "an output that asks for what its input reads from a loose wire",
		Why:      "a broken wire or a plug that comes off then reads as permission: the input no longer forbids what it is there to forbid",
		Doc:      pages.Of("loose-wire-permits"),
		Needs:    rule.Circuit,
		Run:      findPermits,
	}
}

// permit is a condition of an output that a loose wire of an input fulfils.
type permit struct {
	reading *model.Reading
	driver  *model.Driver
	reads   string // what the input makes of a loose wire
}

func findPermits(p *rule.Pass) {
	if p.Design.Bench || len(p.Design.Incomplete) > 0 {
		return
	}
	v := look(p)
	var found []permit
	for i := range v.d.Drivers {
		k := &v.d.Drivers[i]
		if k.Broken || !k.When.Known() || v.d.Elsewhere(&k.Info) || !v.drives(k) {
			continue
		}
		w := &permits{v: v, seen: map[*model.Cond]bool{}, found: map[model.ReadingID]string{}}
		w.cond(k.When, true)
		for id := range v.d.Readings {
			if reads, is := w.found[model.ReadingID(id)]; is {
				found = append(found, permit{&v.d.Readings[id], k, reads})
			}
		}
	}
	if len(found) == 0 {
		return
	}
	first := found[0]
	f := diag.Finding{
		Place:   evidence.Site(v.d, &first.reading.Info),
		Subject: first.reading.Path,
		Message: fmt.Sprintf("%s reads %s from a loose wire, and that is what %s waits for", first.reading.Path, first.reads, first.driver.Path),
		Help:    "where that may hurt, switch and pull the input the other way, so that a loose wire forbids; or claim `… despite any one fault` of what must not happen",
	}
	var lines []diag.Line
	for _, x := range found {
		lines = append(lines, evidence.Line(&x.reading.Info, "%s: %s from a loose wire, as %s asks for", x.reading.Path, x.reads, x.driver.Path))
		if x.reading != first.reading {
			f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &x.reading.Info), Note: "likewise, for " + x.driver.Path})
		}
	}
	if n := len(found) - 1; n == 1 {
		f.Message += "; so it is with 1 other condition"
	} else if n > 1 {
		f.Message += fmt.Sprintf("; so it is with %d other conditions", n)
	}
	f.Evidence = []diag.Evidence{evidence.Values("what a loose wire permits", lines...)}
	p.Report(f)
}

// drives reports whether an output switches a winding or a load that does more than tell of
// something.
func (v *view) drives(k *model.Driver) bool {
	ends := map[model.NodeID]bool{v.d.Ground: true, k.From: true}
	for i := range v.d.Supplies {
		ends[v.d.Supplies[i].Plus], ends[v.d.Supplies[i].Minus] = true, true
	}
	seen := map[model.NodeID]bool{k.Pin: true}
	for queue := []model.NodeID{k.Pin}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if ends[n] {
			continue
		}
		for _, id := range bounds.Of(v.p).at[n] {
			e := &v.d.Elements[id]
			switch next := e.A + e.B - n; {
			case id == k.Element:
			case e.Type == model.ElemCoil:
				return true
			case e.Type == model.ElemLoad:
				if l := &v.d.Loads[e.Of]; e.Ohm.Nominal <= 0 || l.Rated*l.Rated/e.Ohm.Nominal > v.p.Limits.TellTale*1.001 {
					return true
				}
			case (e.Metal || e.Type == model.ElemDiode) && !seen[next]:
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}

// permits collects the inputs of which a loose wire fulfils a part of a condition.
type permits struct {
	v     *view
	seen  map[*model.Cond]bool
	found map[model.ReadingID]string
}

// cond looks at a condition that has to come true, or untrue.
func (w *permits) cond(c *model.Cond, want bool) {
	if c == nil || w.seen[c] || !c.Known() {
		return
	}
	w.seen[c] = true
	switch c.Op {
	case model.CondNot:
		w.cond(c.Kids[0], !want)
	case model.CondAtom:
		w.atom(&c.Atom, want)
	default:
		for _, k := range c.Kids {
			w.cond(k, want)
		}
	}
}

func (w *permits) atom(a *model.Atom, want bool) {
	d := w.v.d
	switch a.Kind {
	case model.AtomCondition:
		w.cond(d.Conditions[a.Index].Cond, want)
	case model.AtomResult:
		for row := range d.Results[a.Index].Rows {
			if slices.Contains(a.In, row) == want {
				w.cond(d.Results[a.Index].Rows[row].When, true)
			}
		}
	case model.AtomReading:
		if r := &d.Readings[a.Index]; w.nothing(r) && r.CountsAs.Dim() == a.Value.Dim() &&
			a.Cmp.Holds(float64(r.CountsAs.N.Cmp(a.Value.N))) == want {
			w.found[model.ReadingID(a.Index)] = r.CountsAs.String()
		}
	case model.AtomMemory:
		w.memory(a, want)
	}
}

func (w *permits) memory(a *model.Atom, want bool) {
	d := w.v.d
	m := &d.Memories[a.Index]
	switch m.MemKind {
	case model.MemLevel:
		r := &d.Readings[m.Of]
		if loose := w.v.looseLevel(model.ReadingID(m.Of)); loose >= 0 && w.wired(r) && !r.Sender && slices.Contains(a.In, loose) == want && slices.Contains(a.In, 1-loose) != want {
			w.found[model.ReadingID(m.Of)] = [...]string{"low", "high"}[loose]
		}
	case model.MemThreshold:
		t := &d.Thresholds[m.Of]
		if t.Reading == model.None {
			return
		}
		r := &d.Readings[t.Reading]
		at, cmp := t.Sets, t.SetsCmp
		if slices.Contains(a.In, 1) != want {
			at, cmp = t.Clears, t.ClearsCmp
		}
		if w.nothing(r) && r.CountsAs.Dim() == at.Dim() && cmp.Holds(float64(r.CountsAs.N.Cmp(at.N))) {
			w.found[t.Reading] = r.CountsAs.String()
		}
	case model.MemFollow:
		for _, r := range m.Rules {
			if slices.Contains(a.In, r.To) == want {
				w.cond(r.When, true)
			}
		}
	}
}

// nothing reports whether a sender's input takes a loose wire for a reading of nothing, as no speed
// or no pressure. Any other value is one that somebody chose, so that the output acts or rests.
func (w *permits) nothing(r *model.Reading) bool {
	return w.wired(r) && r.HasCountsAs && r.CountsAs.Float64() == 0 && r.CountsAs.Dim() != unit.Temperature
}

func (w *permits) wired(r *model.Reading) bool {
	return !r.Broken && !w.v.d.Nodes[r.Pin].Broken && w.v.wired(r.Pin)
}

// looseLevel is what an input that reads volts makes of a pin to which nothing but its own
// resistors is joined: 0 low, 1 high, -1 where that stands between the two.
func (v *view) looseLevel(id model.ReadingID) int {
	r := &v.d.Readings[id]
	volts, siemens := 0.0, 0.0
	for i := range v.d.Elements {
		if e := &v.d.Elements[i]; e.Type == model.ElemPull && e.B == r.Pin && e.Ohm.Nominal > 0 {
			volts += e.Volts.Nominal / e.Ohm.Nominal
			siemens += 1 / e.Ohm.Nominal
		}
	}
	if siemens > 0 {
		volts /= siemens // without a resistor it reads 0 V
	}
	switch {
	case volts < r.LowBelow.Float64():
		return 0
	case volts > r.HighAbove.Float64():
		return 1
	}
	return -1
}
