package oracle_test

import (
	"fmt"
	"slices"
	"strings"
)

// remembered declares what remembers, before any condition is drawn.
func (d *drawing) remembered() {
	for range of(d.tape, 0, 1, 1) {
		if len(d.quantities) > 0 {
			d.threshold()
		}
	}
	for range of(d.tape, 0, 0, 1, 2) {
		if !d.timeless {
			d.timer("", all)
		}
	}
	if d.yes(6) && !d.timeless {
		d.beat("", nil)
	}
	if d.yes(3) {
		d.machine("", all)
	}
}

// all that a condition may speak of, but for edges.
var all = scope{circuits: true, memory: true, beats: true}

// due is a memory of two states.
func due(set, clear func(x string) bool, self *int) func(x string) []int {
	return func(x string) []int {
		switch {
		case x[*self] == 0 && set(x):
			return []int{1}
		case x[*self] == 1 && clear(x):
			return []int{0}
		}
		return nil
	}
}

// edges draws where a threshold on a grid sets and clears: the words, and the places.
func (d *drawing) edges(q int) (text string, set, clear func(place int) bool) {
	lo := d.n(marks - 1)
	hi := lo + 1 + d.n(marks-1-lo)
	d.vars[q].marks[lo], d.vars[q].marks[hi] = true, true
	if d.yes(2) { // upwards
		how := of(d.tape, "at", "above")
		return fmt.Sprintf("sets %s %d rpm, clears below %d rpm", how, 10*hi, 10*lo),
			func(p int) bool { return p > 2*hi || how == "at" && p == 2*hi }, func(p int) bool { return p < 2*lo }
	}
	how := of(d.tape, "at", "above")
	return fmt.Sprintf("sets below %d rpm, clears %s %d rpm", 10*lo, how, 10*hi),
		func(p int) bool { return p < 2*lo }, func(p int) bool { return p > 2*hi || how == "at" && p == 2*hi }
}

func (d *drawing) threshold() {
	name, q := d.call("fast"), of(d.tape, d.quantities...)
	text, set, clear := d.edges(q)
	v := new(int)
	*v = d.add(variable{name: name, sort: hardware, size: 2, starts: []int{0},
		due: due(func(x string) bool { return set(int(x[q])) }, func(x string) bool { return clear(int(x[q])) }, v)})
	if d.yes(4) {
		text += ", starts set"
		d.vars[*v].starts = []int{1}
	}
	d.line("threshold %s: %s, %s", name, d.vars[q].name, text)
	d.thresholds = append(d.thresholds, *v)
}

// watching is a threshold of a solved value.
func (d *drawing) watching() {
	name, at := d.call("fast"), of(d.tape, d.places...)
	k := d.net.node(at)
	v := new(int)
	volts := func(x string) float64 { return d.net.at(x).between(k, 0) }
	*v = d.add(variable{name: name, sort: hardware, size: 2, starts: []int{0},
		due: due(func(x string) bool { return exceeds("above", volts(x), 6.37) }, func(x string) bool { return exceeds("below", volts(x), 2.71) }, v)})
	d.line("threshold %s: volts at %s, sets above 6.37 V, clears below 2.71 V", name, at)
	d.thresholds = append(d.thresholds, *v)
}

// pick is a condition of what a thing may speak of, once everything is declared.
func (d *drawing) pick(indent string, depth int, r scope) cond {
	r.lasting = !d.timeless
	return d.cond(depth, r)
}

func (d *drawing) timer(indent string, r scope) int {
	v := variable{name: d.call("wait"), sort: timer, starts: []int{idle}}
	i := d.add(v)
	t := d.vars[i]
	if r.box {
		t.unpowered = d.box.unpowered
	} else {
		d.timers = append(d.timers, i)
	}
	at := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		run := d.cond(1, r)
		t.run = &run
		text := "runs while " + run.text
		if t.whole = d.yes(2); t.whole {
			text = "starts when " + run.text
		}
		span := func() (string, int, int) {
			lo := 1 + d.n(3)
			hi := d.until(lo)
			if hi > lo {
				return ticks(lo) + " to " + ticks(hi), lo, hi
			}
			return ticks(lo), lo, hi
		}
		rows := ""
		if d.yes(4) {
			w, lo, hi := span()
			c := d.cond(0, r)
			t.cases = append(t.cases, lasting{&c, lo, hi})
			rows = fmt.Sprintf(" {\n%s    row one: lasts %s, when %s\n", indent, w, c.text)
			w, lo, hi = span()
			t.cases = append(t.cases, lasting{nil, lo, hi})
			rows += fmt.Sprintf("%s    row other: lasts %s, otherwise\n%s}", indent, w, indent)
		} else {
			w, lo, hi := span()
			t.cases = append(t.cases, lasting{nil, lo, hi})
			text += ", lasts " + w
		}
		if d.yes(4) {
			c := d.cond(0, r)
			t.stop = &c
			text += ", stops when " + c.text
		}
		d.lines[at] = fmt.Sprintf("%stimer %s: %s%s", indent, t.name, text, rows)
	})
	return i
}

func (d *drawing) beat(indent string, unpowered func(x string) bool) int {
	v := variable{name: d.call("pulse"), sort: beat, size: 2, starts: []int{0}, onFor: 1 + d.n(2), offFor: 1 + d.n(3), unpowered: unpowered}
	text := fmt.Sprintf("on %s, off %s", ticks(v.onFor), ticks(v.offFor))
	i := d.add(v)
	if unpowered == nil {
		d.beats = append(d.beats, i)
	}
	at := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		if d.yes(2) {
			c := d.cond(1, scope{memory: true, box: unpowered != nil})
			d.vars[i].while = &c
			text += ", while " + c.text
		}
		d.lines[at] = fmt.Sprintf("%sbeat %s: %s", indent, v.name, text)
	})
	return i
}

func (d *drawing) machine(indent string, r scope) int {
	v := variable{name: d.call("work"), sort: machine, size: 2 + d.n(2)}
	v.starts = []int{d.n(v.size)}
	i := d.add(v)
	m := d.vars[i]
	if r.box {
		m.unpowered = d.box.unpowered
	} else {
		d.machines = append(d.machines, i)
	}
	at := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		names := []string{"m", "n", "o"}[:m.size]
		var b strings.Builder
		fmt.Fprintf(&b, "%smodes %s: starts in %s {\n%s    mode %s\n", indent, m.name, names[m.starts[0]], indent, strings.Join(names, ", "))
		for range 1 + d.n(4) {
			r := r
			r.edges = true
			t := transition{to: d.n(m.size), when: new(cond)}
			from := "any"
			if !d.yes(4) {
				k := d.n(m.size)
				t.from, from = []int{k}, names[k]
				if d.yes(4) && (k+1)%m.size != k {
					t.from, from = append(t.from, (k+1)%m.size), from+", "+names[(k+1)%m.size]
				}
			}
			if slices.Contains(t.from, t.to) { // from a mode to itself says nothing
				from = "any"
			}
			if from == "any" {
				t.from = []int{0, 1, 2}
			}
			*t.when = d.cond(1, r)
			m.transitions = append(m.transitions, t)
			fmt.Fprintf(&b, "%s    from %s to %s: when %s\n", indent, from, names[t.to], t.when.text)
		}
		d.lines[at] = b.String() + indent + "}"
	})
	return i
}

// flow is a passage or a hose between two ports.
type flow struct {
	name   string // where it can fail
	hose   bool
	a, b   string
	oneWay bool
	is     func(x string) bool // nil: always open
}

func (d *drawing) fluids() {
	count := 2 + d.n(3)
	air := d.yes(2)
	d.line("fit pipes: {")
	for i := range count {
		d.ports = append(d.ports, fmt.Sprintf("pipes.p%d", i))
		if i == 0 && air {
			d.line("    port p0: vacuum, open to air")
			continue
		}
		d.line("    port p%d: vacuum", i)
	}
	if air {
		d.vent = d.ports[0]
	}
	for i := range d.n(4) {
		f := flow{a: of(d.tape, d.ports...), b: of(d.tape, d.ports...), oneWay: d.yes(3)}
		if f.a == f.b {
			continue
		}
		text := "always open"
		at := len(d.lines)
		d.line("")
		k := len(d.flows)
		d.flows = append(d.flows, f)
		d.later = append(d.later, func() {
			if d.yes(2) {
				c := d.cond(1, scope{memory: true, circuits: d.yes(3)})
				d.flows[k].is, d.flows[k].name = d.follow(c), fmt.Sprintf("pipes.v%d", i)
				text = "passes when " + c.text
			}
			if f.oneWay {
				text += ", one way"
			}
			d.lines[at] = fmt.Sprintf("    passage v%d: %s to %s, %s", i, strings.TrimPrefix(f.a, "pipes."), strings.TrimPrefix(f.b, "pipes."), text)
		})
	}
	d.line("}")
	at := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		text := "origin pump: vacuum"
		if d.yes(2) {
			c := d.cond(0, scope{memory: true, circuits: d.yes(3)})
			d.pump = d.follow(c)
			text += ", present when " + c.text
		}
		d.lines[at] = text
	})
	to := of(d.tape, d.ports...)
	d.line("hose H0: pump to %s", to)
	d.flows = append(d.flows, flow{name: "H0", hose: true, a: "pump", b: to})
	if d.yes(2) {
		a, b := d.ports[0], d.ports[len(d.ports)-1]
		d.line("hose H1: %s to %s", a, b)
		d.flows = append(d.flows, flow{name: "H1", hose: true, a: a, b: b})
	}
}

// joined reports whether a port is joined to the pump, or to air.
func (d *drawing) joined(x, port string, air bool) bool {
	seen := map[string]bool{port: true}
	for queue := []string{port}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if air && (at == d.vent || d.net.opened(x, at)) || !air && at == "pump" && (d.pump == nil || d.pump(x)) {
			return true
		}
		for _, f := range d.flows {
			if !d.net.passes(x, f) {
				continue
			}
			if f.b == at && !seen[f.a] {
				seen[f.a] = true
				queue = append(queue, f.a)
			}
			if f.a == at && !f.oneWay && !seen[f.b] {
				seen[f.b] = true
				queue = append(queue, f.b)
			}
		}
	}
	return false
}

func (d *drawing) fluid() cond {
	p := of(d.tape, d.ports...)
	switch d.n(3) {
	case 0:
		return plain(p+" is fed", func(x string) bool { return d.joined(x, p, false) && !d.joined(x, p, true) }, true)
	case 1:
		return plain(p+" is vented", func(x string) bool { return d.joined(x, p, true) }, true)
	}
	return plain(p+" is neither", func(x string) bool { return !d.joined(x, p, false) && !d.joined(x, p, true) }, true)
}

// conditions draws named ones and results.
func (d *drawing) conditions() {
	for range d.n(3) {
		c, name := d.pick("", 1, all), d.call("such")
		d.line("condition %s: %s", name, c.text)
		d.named = append(d.named, plain(name, c.is, c.turns))
	}
	if d.yes(4) {
		name := d.call("level")
		a, b := d.pick("", 1, all), d.pick("", 0, all)
		d.line("result %s {\n    row one: when %s\n    row two: when %s\n    row three: otherwise\n}", name, a.text, b.text)
		rows := []func(x string) bool{a.is, b.is, func(x string) bool { return !a.is(x) && !b.is(x) }}
		for i, is := range rows {
			d.named = append(d.named, plain(name+" is "+[]string{"one", "two", "three"}[i], is, true))
		}
	}
	if d.yes(3) && len(d.quantities) > 0 {
		d.bands()
	}
}

// bands of a quantity: two, and perhaps one between that keeps.
func (d *drawing) bands() {
	name, q := d.call("range"), of(d.tape, d.quantities...)
	lo := 1 + d.n(marks-2)
	hi := lo + d.n(marks-1-lo)
	for _, k := range []int{0, lo, hi, marks - 1} {
		d.vars[q].marks[k] = true
	}
	var while *cond
	text := ""
	if d.yes(2) {
		c := d.cond(0, scope{memory: true})
		while, text = &c, ", while "+c.text
	}
	speaks := func(x string) bool { return while == nil || while.is(x) }
	low := func(x string) bool { return int(x[q]) < 2*lo }
	high := func(x string) bool { return int(x[q]) >= 2*hi }
	body := fmt.Sprintf("    band low: 0 to %d rpm\n", 10*lo)
	isLow := func(x string) bool { return speaks(x) && low(x) }
	isHigh := func(x string) bool { return speaks(x) && high(x) }
	if hi > lo {
		enters := d.n(2)
		body += fmt.Sprintf("    band between: %d to %d rpm, keeps, enters as %s\n", 10*lo, 10*hi, []string{"low", "high"}[enters])
		const none = 2
		var v int
		v = d.add(variable{name: name, sort: hardware, size: 3, starts: []int{none}, due: func(x string) []int {
			switch {
			case !speaks(x):
				return []int{none}
			case low(x):
				return []int{0}
			case high(x):
				return []int{1}
			case x[v] == none:
				return []int{enters}
			}
			return nil
		}})
		isLow = func(x string) bool { return speaks(x) && x[v] == 0 }
		isHigh = func(x string) bool { return speaks(x) && x[v] == 1 }
	}
	d.line("bands %s: over %s%s {\n%s    band high: %d to %d rpm\n}", name, d.vars[q].name, text, body, 10*hi, 10*(marks-1))
	d.named = append(d.named, plain(name+" is low", isLow, false), plain(name+" is high", isHigh, false))
}

func (d *drawing) assumptions() {
	outside := scope{inputs: true}
	if len(d.quantities) > 0 && d.yes(4) {
		q := of(d.tape, d.quantities...)
		c := d.cond(1, all)
		way := of(d.tape, "falls", "rises")
		d.line("assume %s: %s %s only while %s", d.call("a"), d.vars[q].name, way, c.text)
		d.vars[q].guards = append(d.vars[q].guards, func(x string, to int) bool { return (to < int(x[q])) != (way == "falls") || c.is(x) })
	}
	if d.yes(4) {
		s := of(d.tape, d.settings...)
		at := d.n(d.vars[s].size)
		c := d.cond(1, all)
		d.line("assume %s: %s moves to %c only while %s", d.call("a"), d.vars[s].name, "abc"[at], c.text)
		d.vars[s].guards = append(d.vars[s].guards, func(x string, to int) bool { return to != at || c.is(x) })
	}
	if d.yes(5) {
		a, b := d.cond(1, outside), d.cond(1, outside)
		if d.yes(2) {
			d.line("assume %s: never (%s and %s)", d.call("a"), a.text, b.text)
			d.allowed = append(d.allowed, func(x string) bool { return !a.is(x) || !b.is(x) })
		} else {
			d.line("assume %s: always (%s or %s)", d.call("a"), a.text, b.text)
			d.allowed = append(d.allowed, func(x string) bool { return a.is(x) || b.is(x) })
		}
	}
}
