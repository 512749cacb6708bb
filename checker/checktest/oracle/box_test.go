package oracle_test

import "fmt"

// box is a controller.
type box struct {
	unpowered func(x string) bool
	asks      []func() cond // what it may ask for itself
	beats     []func() cond // the same, of beats
	outside   []named       // what others may ask of it
	open      int           // the variable of what it reads of a sender whose wire is shorted; 0: it reads none
}

func (d *drawing) boxed(beats bool, more func(yes bool, n int, f func() cond)) {
	for _, f := range d.box.asks {
		more(true, 2, f)
	}
	for _, f := range d.box.beats {
		more(beats, 2, f)
	}
}

func (d *drawing) outsideBox() cond { return d.asked(of(d.tape, d.box.outside...)) }

// controller draws one, with what it reads and what it switches.
func (d *drawing) controller() {
	n := d.net
	b := &box{}
	d.box = b
	own := scope{box: true, beats: true}
	d.line("fit box: {\n    pin 15, 31, in, told, out")
	plus, minus := n.node("box.15"), n.node("box.31")
	power := d.add(variable{name: "power", sort: hardware, size: 2, starts: []int{0}, due: func(x string) []int {
		s := n.at(x)
		if exceeds("at least", s.between(plus, minus), 6.13) {
			return []int{1}
		}
		return []int{0}
	}})
	b.unpowered = func(x string) bool { return x[power] == 0 }
	on := func(x string) bool { return x[power] == 1 }
	b.outside = append(b.outside, named{"box", "powered", "", on, false})
	if d.yes(2) {
		d.line("    powered 15 to 31: works from 6.13 V, draws 50 mA")
		highest := 0.0 // nominal volts of any supply
		for _, e := range n.elements {
			if e.plus {
				highest = max(highest, e.volt)
			}
		}
		n.add(element{a: plus, b: minus, ohm: highest / 0.05})
	} else {
		d.line("    powered 15 to 31: works from 6.13 V")
	}
	// What reads volts.
	in := n.node("box.in")
	text := ""
	switch d.n(3) {
	case 0:
		text = "pulled down 10 kohm"
		n.add(element{a: in, b: minus, ohm: 1e4})
	case 1:
		text = "pulled up 2.2 kohm to 9 V"
		n.add(element{a: minus, b: in, ohm: 2200, volt: 9, is: on})
	case 2:
		text = "counts as low while disconnected"
		n.add(element{a: in, b: minus, ohm: 1e6})
	}
	d.line("    input asked: at in, reads volts, %s, low below 2.9 V, high above 5.7 V", text)
	v := new(int)
	volts := func(x string) float64 { s := n.at(x); return s.between(in, minus) }
	*v = d.add(variable{name: "box.asked", sort: hardware, size: 2, starts: []int{0},
		due: due(func(x string) bool { return exceeds("above", volts(x), 5.7) }, func(x string) bool { return exceeds("below", volts(x), 2.9) }, v)})
	high := named{"asked", "high", "low", func(x string) bool { return x[*v] == 1 }, false}
	b.asks = append(b.asks, func() cond { return d.asked(high) })
	// What reads a sender.
	if len(d.quantities) > 0 && d.yes(2) {
		d.sensed(b)
	}
	if !d.timeless && d.yes(2) {
		t := d.timer("    ", own)
		b.asks = append(b.asks, func() cond { return d.phase(t) })
	}
	if !d.timeless && d.yes(6) {
		t := d.beat("    ", b.unpowered)
		b.beats = append(b.beats, func() cond { return d.beating(t) })
	}
	if d.yes(3) {
		m := d.machine("    ", own)
		b.asks = append(b.asks, func() cond { return d.mode(m) })
	}
	out := n.node("box.out")
	e := n.add(element{name: "box.d", ohm: 0.05, metal: true, a: out, b: minus})
	d.fails("driver", "box.d", e)
	word := "earths out to 31"
	if d.yes(2) {
		word, e.a, e.b = "feeds out from 15", plus, out
	}
	at := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		r := own
		r.lasting = !d.timeless
		c := d.cond(1, r)
		is := d.follow(c)
		e.is = func(x string) bool { return on(x) && is(x) }
		d.lines[at] = fmt.Sprintf("    driver d: %s, when %s", word, c.text)
	})
	b.outside = append(b.outside, named{"box.d", "on", "off", n.stands(e, func(x string) bool { return e.is(x) }), false}, named{"box.asked", "high", "low", high.is, false})
	d.line("}")
	wire := func(pin, to string) {
		w := d.call("W")
		d.fails("wire", w, n.add(element{name: w, a: n.leaves(to), b: n.node("box." + pin), ohm: copper, metal: true}))
		d.line("wire %s: %s to box.%s", w, to, pin)
		d.places = append(d.places, "box."+pin)
	}
	places := append([]string{}, d.places...)
	wire("15", of(d.tape, "feed", places[len(places)-1]))
	wire("31", "body")
	wire("in", of(d.tape, places...))
	wire("out", of(d.tape, places...))
}

// sensed is an input that reads a sender through a contact.
func (d *drawing) sensed(b *box) {
	n, q := d.net, of(d.tape, d.quantities...)
	counts := d.n(marks)
	d.line("    input told_speed: at told, reads sender, counts as %d rpm while disconnected", 10*counts)
	pin, sender := n.node("box.told"), n.node("B1.out")
	// What it reads while its pin is joined to ground or to a plus: anything, the same throughout.
	b.open = d.add(variable{name: "shorted", sort: fixed, size: 2 * marks, starts: []int{0}})
	value := func(x string) int {
		if s := n.at(x); s.live(pin) || s.grounded(pin) {
			if n.driven {
				panic(unsaid{})
			}
			if at := int(x[b.open]); at < 2*marks-1 {
				return at
			}
			return 2 * counts
		}
		if n.at(x).reaches(pin, sender) && !n.has(x, "silent") {
			return int(x[q])
		}
		return 2 * counts
	}
	b.asks = append(b.asks, func() cond {
		k, how := d.n(marks), of(d.tape, "above", "below", "at least", "at most")
		d.vars[q].marks[k] = true
		return plain(fmt.Sprintf("told_speed %s %d rpm", how, 10*k), func(x string) bool { return compares(how, value(x), 2*k) }, true)
	})
	if d.yes(2) {
		text, set, clear := d.edges(q)
		v := new(int)
		*v = d.add(variable{name: "box.quick", sort: hardware, size: 2, starts: []int{0}, due: due(
			func(x string) bool { return !b.unpowered(x) && set(value(x)) },
			func(x string) bool { return b.unpowered(x) || clear(value(x)) }, v)})
		if d.yes(4) {
			text += ", starts set"
			d.vars[*v].starts = []int{1}
		}
		d.line("    threshold quick: told_speed, %s", text)
		b.asks = append(b.asks, func() cond { return plain("quick", func(x string) bool { return x[*v] == 1 }, false) })
	}
	d.last = append(d.last, func() {
		d.line("fit B1: {\n    pin out\n    sender bead: at out, tells %s\n}", d.vars[q].name)
		d.fails("sender", "B1.bead", nil)
		e := n.add(element{name: "plug", a: sender, b: n.node("signal"), ohm: 0.005, metal: true})
		d.fails("contact", "plug", e)
		d.line("node signal\ncontact plug: B1.out to signal, make%s", d.closing(e, ", made when "))
		w := n.add(element{name: "Wsignal", a: n.node("signal"), b: pin, ohm: copper, metal: true})
		d.fails("wire", "Wsignal", w)
		d.line("wire Wsignal: signal to box.told")
	})
}
