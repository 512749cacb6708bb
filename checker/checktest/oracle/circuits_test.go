package oracle_test

import (
	"fmt"
	"math"
)

// copper is the resistance of a wire of 1 mm2 and 1 m.
const copper = 1.0 / 58

// circuits draws what conducts. Conditions of contacts come later, when all that they may
// speak of is there.
func (d *drawing) circuits() {
	n := newNetwork("body")
	d.net = n
	supply := n.add(element{name: "battery", a: 0, b: n.node("battery.stud"), ohm: 0.01, volt: 12, plus: true})
	text := "supply battery: 12 V, from body to stud"
	if d.yes(3) {
		supply.ohm = 0.5
		text += ", inside 500 mohm"
	}
	if d.tolerant && d.yes(2) {
		lo, hi := of(d.tape, 6.0, 9, 11), of(d.tape, 12.5, 15)
		supply.spread = n.spread(lo, hi)
		text += fmt.Sprintf(", anywhere between %g V and %g V", lo, hi)
	}
	d.line("%s", text)
	nodes := []string{"feed"}
	d.line("node feed")
	f0 := n.add(element{name: "F0", a: n.node("battery.stud"), b: n.node("feed"), ohm: 0.01, metal: true})
	d.fails("fuse", "F0", f0)
	d.protect("F0", f0, 10)
	d.line("fuse F0: battery.stud to feed, 10 A")
	d.burns()
	for range 1 + d.n(3) {
		name := d.call("n")
		d.line("node %s", name)
		nodes = append(nodes, name)
	}
	d.places = append(d.places, nodes...)
	if d.yes(3) { // a second fuse behind it, or beside
		rating := of(d.tape, 2.0, 7.5, 8)
		from := of(d.tape, "feed", "battery.stud")
		f := n.add(element{name: "F1", a: n.node(from), b: n.node(nodes[1]), ohm: 0.1 / rating, metal: true})
		d.fails("fuse", "F1", f)
		d.protect("F1", f, rating)
		d.line("fuse F1: %s to %s, %g A", from, nodes[1], rating)
	}
	ends := func() (string, string) {
		all := append([]string{"body"}, nodes...)
		a := d.n(len(all))
		b := d.n(len(all) - 1)
		if b >= a {
			b++
		}
		return all[a], all[b]
	}
	if d.yes(5) { // a second supply
		a, b := "body", of(d.tape, nodes...)
		e := n.add(element{name: "second", a: 0, b: n.node(b), ohm: 0.04, volt: 13.5, plus: true})
		text := fmt.Sprintf("supply second: 13.5 V, from %s to %s, inside 40 mohm", a, b)
		if d.yes(2) {
			e.valve = true
			text += ", one way"
		}
		if d.yes(2) {
			text += d.closing(e, ", while ")
		}
		d.line("%s", text)
	}
	for range 1 + d.n(3) {
		d.contact(ends)
	}
	for range 1 + d.n(2) {
		a, b := ends()
		d.lamp(a, b)
	}
	for range d.n(3) {
		a, b := ends()
		switch d.n(4) {
		case 0:
			name := d.call("W")
			d.fails("wire", name, n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: copper, metal: true}))
			d.line("wire %s: %s to %s", name, a, b)
		case 1:
			name := d.call("V")
			d.fails("diode", name, n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: 0.01, volt: -0.7, valve: true, metal: true}))
			d.line("diode %s: %s to %s", name, a, b)
		case 2:
			name, ohm := d.call("R"), of(d.tape, 2.0, 47, 1000)
			e := n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: ohm})
			d.fails("resistor", name, e)
			text := fmt.Sprintf("resistor %s: %s to %s, %g ohm", name, a, b, ohm)
			if d.tolerant && d.yes(2) && n.open < mostOpen {
				e.spread = n.spread(ohm*0.75, ohm*1.25)
				text += " +-25 %"
			}
			d.line("%s", text)
		case 3:
			name := d.call("W")
			d.fails("wire", name, n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: 4 * copper / 0.5, metal: true}))
			d.line("wire %s: %s to %s, 0.5 mm2, 4 m", name, a, b)
		}
	}
	for range of(d.tape, 0, 1, 1, 2) {
		switch d.n(5) {
		case 0, 1:
			d.relay(ends)
		case 2:
			d.fitted(ends)
		case 3:
			d.opposing(ends)
		case 4:
			d.latching(ends)
		}
	}
	if d.yes(4) {
		d.chart(nodes)
	}
	if d.yes(4) {
		d.plug(ends)
	}
	if d.yes(5) {
		d.elsewhere(ends)
	}
	if d.yes(5) {
		d.repeated(ends)
	}
}

// plug is a connector of two ways: what is written to it arrives at one half, what is
// written from it leaves at the other.
func (d *drawing) plug(ends func() (string, string)) {
	n, name := d.net, d.call("P")
	d.line("connector %s: 2 way", name)
	var ways []*element
	for k := range 2 {
		way := fmt.Sprintf("%s.%d", name, k+1)
		here, there := n.node(way), n.node(way+beyond)
		ways = append(ways, n.add(element{a: here, b: there, ohm: 0.005, metal: true}))
		a, b := ends()
		w := d.call("W")
		d.fails("wire", w, n.add(element{name: w, a: n.node(a), b: here, ohm: copper, metal: true}))
		d.line("wire %s: %s to %s", w, a, way)
		w = d.call("W")
		d.fails("wire", w, n.add(element{name: w, a: there, b: n.node(b), ohm: copper, metal: true}))
		d.line("wire %s: %s to %s", w, way, b)
		d.places = append(d.places, way)
	}
	d.fails("connector", name, ways...)
}

// elsewhere is known within bounds: a load, and a contact of which nobody knows.
func (d *drawing) elsewhere(ends func() (string, string)) {
	n, name := d.net, d.call("E")
	d.line("fit %s: elsewhere {\n    pin 1, 2, 3\n    load draw: 1 to 2, 2 A to 2 A at 12 V, awake from 50 %%\n    contact relay: 1 to 3, make, made sometimes\n}", name)
	e := n.add(element{name: name + ".draw", a: n.node(name + ".1"), b: n.node(name + ".2"), ohm: 6})
	d.loads = append(d.loads, load{name + ".draw", e, []level{{"awake", 6}}})
	v := d.add(variable{name: name, sort: free, size: 2, starts: []int{0, 1}})
	is := func(x string) bool { return x[v] == 1 }
	n.add(element{name: name + ".relay", a: n.node(name + ".1"), b: n.node(name + ".3"), ohm: 0.005, metal: true, is: is})
	d.contacts = append(d.contacts, named{name + ".relay", "made", "open", is, false})
	a, b := ends()
	d.strap(name+".1", a)
	d.strap(name+".2", "body")
	d.strap(name+".3", b)
}

// strap is a wire to a pin.
func (d *drawing) strap(pin, to string) {
	w := d.call("W")
	d.fails("wire", w, d.net.add(element{name: w, a: d.net.node(to), b: d.net.node(pin), ohm: copper, metal: true}))
	d.line("wire %s: %s to %s", w, to, pin)
	d.places = append(d.places, pin)
}

// repeated is a part that is there twice, fed by `each`.
func (d *drawing) repeated(ends func() (string, string)) {
	n, name, part := d.net, d.call("T"), d.call("Bulb")
	d.line("part %s {\n    pin 1, 2\n    load glow: 1 to 2, 21 W at 12 V, lit from 60 %%\n    shows glow\n}\nfit %s: 2 of %s", part, name, part)
	a, b := ends()
	w, v := d.call("W"), d.call("W")
	d.line("wire %s: %s to each %s.1\nwire %s: each %s.2 to %s, 1.5 mm2, 3 m", w, a, name, v, name, b)
	var glow []*element
	for k := 1; k <= 2; k++ {
		one, two := fmt.Sprintf("%s.%d.1", name, k), fmt.Sprintf("%s.%d.2", name, k)
		bulb := fmt.Sprintf("%s.%d.glow", name, k)
		e := n.add(element{name: bulb, a: n.node(one), b: n.node(two), ohm: 144.0 / 21})
		d.fails("load", bulb, e)
		glow = append(glow, e)
		d.loads = append(d.loads, load{bulb, e, []level{{"lit", 7.2}}})
		d.fails("wire", fmt.Sprintf("%s.%d", w, k), n.add(element{name: fmt.Sprintf("%s.%d", w, k), a: n.node(a), b: n.node(one), ohm: copper, metal: true}))
		d.fails("wire", fmt.Sprintf("%s.%d", v, k), n.add(element{name: fmt.Sprintf("%s.%d", v, k), a: n.node(two), b: n.node(b), ohm: 2 * copper, metal: true}))
	}
	lit := func(x string, e *element) bool { return exceeds("at least", math.Abs(n.across(x, e)), 7.2) }
	d.named = append(d.named,
		plain("every "+name+".glow is lit", func(x string) bool { return lit(x, glow[0]) && lit(x, glow[1]) }, true),
		plain("any "+name+".glow is lit", func(x string) bool { return lit(x, glow[0]) || lit(x, glow[1]) }, true))
}

func (d *drawing) lamp(a, b string) {
	n, name := d.net, d.call("L")
	ohm, text := 14.4, "10 W at 12 V"
	switch d.n(3) {
	case 1:
		ohm, text = 12/0.2, "0.2 A at 12 V"
	case 2:
		ohm, text = 3, "3 ohm at 12 V"
	}
	e := n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: ohm})
	d.fails("load", name, e)
	if d.tolerant && n.open < mostOpen {
		switch d.n(3) {
		case 1:
			text = "1 A to 3 A at 12 V"
			e.spread = n.spread(4, 12)
			e.ohm = 6
		case 2:
			text += ", cold 10 %"
			e.spread = n.spread(ohm/10, ohm)
		}
	}
	d.line("load %s: %s to %s, %s, glows from 15 %%, lit from 60 %%", name, a, b, text)
	d.loads = append(d.loads, load{name, e, []level{{"glowing", 1.8}, {"lit", 7.2}}})
}

// contact is one moved from outside.
func (d *drawing) contact(ends func() (string, string)) {
	n, name := d.net, d.call("S")
	a, b := ends()
	e := n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: 0.005, metal: true})
	d.fails("contact", name, e)
	i := len(d.lines)
	d.line("")
	d.later = append(d.later, func() {
		text := d.closing(e, ", made when ")
		d.lines[i] = fmt.Sprintf("contact %s: %s to %s, make%s", name, a, b, text)
	})
}

// closing draws when an element conducts, and writes it down.
func (d *drawing) closing(e *element, words string) string {
	c := d.cond(1, scope{memory: true, beats: true, circuits: d.yes(3)})
	e.is = d.follow(c)
	return words + c.text
}

// follow is what a contact makes of a condition: the part of it that depends on circuits
// follows them one step of settling behind, the rest acts at once.
func (d *drawing) follow(c cond) func(x string) bool {
	switch {
	case !c.turns:
		return c.is
	case c.op == '!':
		is := d.follow(c.kids[0])
		return func(x string) bool { return !is(x) }
	case c.op != 0 && !(c.kids[0].turns && c.kids[1].turns):
		a, b := d.follow(c.kids[0]), d.follow(c.kids[1])
		if c.op == '&' {
			return func(x string) bool { return a(x) && b(x) }
		}
		return func(x string) bool { return a(x) || b(x) }
	}
	v := d.add(variable{name: c.text, sort: hardware, size: 2, starts: []int{0}, due: func(x string) []int {
		if c.is(x) {
			return []int{1}
		}
		return []int{0}
	}})
	return func(x string) bool { return x[v] == 1 }
}

// coil adds a winding and says how its volts are measured.
func (d *drawing) coil(name, a, b string, ohm float64) (e *element, volts func(x string) float64) {
	n := d.net
	e = n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: ohm})
	d.fails("coil", name, e)
	return e, func(x string) float64 { return n.across(x, e) }
}

// armature adds what moves by a magnitude.
func (d *drawing) armature(name string, size func(x string) float64, pull, drop float64) int {
	var v int
	v = d.add(variable{name: name, sort: hardware, size: 2, starts: []int{0}, due: func(x string) []int {
		if x[v] == 0 && exceeds("at least", size(x), pull) {
			return []int{1}
		}
		if x[v] == 1 && exceeds("below", size(x), drop) {
			return []int{0}
		}
		return nil
	}})
	d.coils = append(d.coils, named{name, "energised", "released", func(x string) bool { return x[v] == 1 }, false})
	return v
}

// moved is a contact that an armature moves; from gives the words behind its ends.
func (d *drawing) moved(v int, by string, ends func() (string, string)) {
	n, name := d.net, d.call("C")
	a, b := ends()
	on := func(x string) bool { return x[v] == 1 }
	off := func(x string) bool { return x[v] == 0 }
	var work *element
	switch d.n(5) {
	case 0, 1:
		work = n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: 0.005, metal: true, is: on})
		d.fails("contact", name, work)
		d.line("contact %s: %s to %s, make%s", name, a, b, by)
	case 2, 3:
		rest := n.add(element{name: name, a: n.node(a), b: n.node(b), ohm: 0.005, metal: true, is: off})
		d.fails("contact", name, rest)
		d.line("contact %s: %s to %s, break%s", name, a, b, by)
		d.contacts = append(d.contacts, named{name, "made", "open", n.stands(rest, off), false})
		return
	case 4:
		_, c := ends()
		if c == a {
			c = "body"
		}
		if c == a {
			c = "feed"
		}
		rest := n.add(element{a: n.node(a), b: n.node(b), ohm: 0.005, metal: true, is: off})
		work = n.add(element{a: n.node(a), b: n.node(c), ohm: 0.005, metal: true, is: on})
		d.fails("contact", name, rest, work)
		d.line("contact %s: %s rests on %s, goes to %s%s", name, a, b, c, by)
	}
	d.contacts = append(d.contacts, named{name, "made", "open", n.stands(work, on), false})
}

func (d *drawing) volts() (pull, drop float64) {
	drop = of(d.tape, 1.5, 3.3)
	return drop + of(d.tape, 0.7, 4.6), drop
}

func (d *drawing) relay(ends func() (string, string)) {
	name := d.call("K")
	a, b := ends()
	_, volts := d.coil(name, a, b, 80)
	pull, drop := d.volts()
	d.line("coil %s: %s to %s, 80 ohm, pulls in at %.4g V, drops out at %.4g V", name, a, b, pull, drop)
	v := d.armature(name, func(x string) float64 { return math.Abs(volts(x)) }, pull, drop)
	for range 1 + d.n(2) {
		d.moved(v, ", by "+name, ends)
	}
}

// fitted is a relay in a part, wired to its pins.
func (d *drawing) fitted(ends func() (string, string)) {
	n, name, part := d.net, d.call("K"), d.call("Relay")
	pull, drop := d.volts()
	ohm := of(d.tape, 70.0, 90)
	d.line("part %s {\n    takes ohms: ohm, 70 ohm unless said\n    pin 30, 87, 85, 86\n    coil winding: 86 to 85, ohms, pulls in at %.4g V, drops out at %.4g V", part, pull, drop)
	word := of(d.tape, "make", "break")
	d.line("    contact main: 30 to 87, %s\n    shows winding, main\n}", word)
	if ohm == 70 {
		d.line("fit %s: %s", name, part)
	} else {
		d.line("fit %s: %s(ohms 90 ohm)", name, part)
	}
	wire := func(pin, to string) {
		w := d.call("W")
		d.fails("wire", w, n.add(element{name: w, a: n.node(to), b: n.node(name + "." + pin), ohm: copper, metal: true}))
		d.line("wire %s: %s to %s.%s", w, to, name, pin)
		d.places = append(d.places, name+"."+pin)
	}
	_, volts := d.coil(name+".winding", name+".86", name+".85", ohm)
	v := d.armature(name+".winding", func(x string) float64 { return math.Abs(volts(x)) }, pull, drop)
	is := func(x string) bool { return (x[v] == 1) == (word == "make") }
	e := n.add(element{name: name + ".main", a: n.node(name + ".30"), b: n.node(name + ".87"), ohm: 0.005, metal: true, is: is})
	d.fails("contact", name+".main", e)
	d.contacts = append(d.contacts, named{name + ".main", "made", "open", n.stands(e, is), false})
	a, b := ends()
	wire("86", a)
	wire("85", b)
	a, b = ends()
	wire("30", a)
	wire("87", b)
}

// opposing is an armature of two windings.
func (d *drawing) opposing(ends func() (string, string)) {
	name := d.call("A")
	n := d.net
	a, b := ends()
	e, _ := d.coil(name+"_one", a, b, 90)
	d.line("coil %s_one: %s to %s, 90 ohm, turns 1000", name, a, b)
	a, b = ends()
	f, _ := d.coil(name+"_two", a, b, 90)
	d.line("coil %s_two: %s to %s, 90 ohm, turns 800", name, a, b)
	against, text := 1.0, ""
	if d.yes(2) {
		against, text = -1, " against"
	}
	d.line("armature %s: moved by %s_one, moved by %s_two%s, pulls in at 73 At, drops out at 17 At", name, name, name, text)
	index := func(e *element) int {
		for i := range n.elements {
			if n.elements[i] == e {
				return i
			}
		}
		return -1
	}
	i, j := index(e), index(f)
	v := d.armature(name, func(x string) float64 {
		s := n.at(x)
		return math.Abs(1000*s.amps[i] + against*800*s.amps[j])
	}, 73, 17)
	d.moved(v, ", by "+name, ends)
}

// latching is an armature that stays without current.
func (d *drawing) latching(ends func() (string, string)) {
	name := d.call("A")
	a, b := ends()
	_, set := d.coil(name+"_set", a, b, 60)
	d.line("coil %s_set: %s to %s, 60 ohm, pulls in at 7 V", name, a, b)
	a, b = ends()
	_, reset := d.coil(name+"_reset", a, b, 60)
	d.line("coil %s_reset: %s to %s, 60 ohm, pulls in at 6 V", name, a, b)
	d.line("armature %s: set by %s_set, released by %s_reset", name, name, name)
	v := d.add(variable{name: name, sort: hardware, size: 2, starts: []int{0}, due: func(x string) []int {
		sets, releases := exceeds("at least", math.Abs(set(x)), 7), exceeds("at least", math.Abs(reset(x)), 6)
		switch {
		case sets == releases:
			return nil
		case sets:
			return []int{1}
		}
		return []int{0}
	}})
	d.coils = append(d.coils, named{name, "energised", "released", func(x string) bool { return x[v] == 1 }, false})
	d.moved(v, ", by "+name, ends)
}

// chart is a switch with rows.
func (d *drawing) chart(nodes []string) {
	s := of(d.tape, d.settings...)
	name := d.call("M")
	d.line("chart %s: follows %s {", name, d.vars[s].name)
	n := d.net
	for at := range d.vars[s].size {
		text := "open"
		if d.yes(2) {
			a := of(d.tape, nodes...)
			b := of(d.tape, append([]string{"body"}, nodes...)...)
			if a != b {
				text = a + " to " + b
				n.add(element{a: n.node(a), b: n.node(b), ohm: 0.005, metal: true, is: func(x string) bool { return int(x[s]) == at }})
			}
		}
		d.line("    row %c: %s", "abc"[at], text)
	}
	d.line("}")
}
