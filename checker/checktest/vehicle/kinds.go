package vehicle

import "fmt"

// kinds are the circuits that are drawn from.
var kinds = []func(*writer){lamp, lamp, relayed, relayed, fan, blower, rear, indicators, locks, wiper, box, doorLamp, heated, isolated}

// lamp: a switch in the feed or in the earth.
func lamp(w *writer) {
	n, watts := w.n, pick(w, 3, 5, 10, 15, 21, 27, 35, 55)
	f, g, h := w.fuse(w.bus(), 15), w.node("g"), w.node("h")
	w.p("setting s%d: off, on", n)
	load := fmt.Sprintf("%d W at 12 V, cold %d %%, lit from 60 %%", watts, pick(w, 8, 10, 12))
	if w.r.IntN(4) == 0 {
		w.p("load l%d: %s to %s, %s", n, f, g, load)
		w.wire(g, h, "brown", 1.5)
		w.p("contact c%d: %s to %s, make, made when s%d is on, up to 10 A", n, h, w.earth(), n)
	} else {
		w.p("contact c%d: %s to %s, make, made when s%d is on, up to 10 A", n, f, g, n)
		w.wire(g, h, "red", 1.5)
		w.p("load l%d: %s to %s, %s", n, h, w.earth(), load)
	}
	w.claim("l%d is lit whenever s%d is on and key is run", n, n)
}

// relayed: a motor by a relay.
func relayed(w *writer) {
	n := w.n
	feed, f := w.bus(), w.fuse("bus_a", 20)
	k := w.node("k")
	w.p("setting s%d: off, on\nfit K%d: Relay(ohms %d ohm)", n, n, 70+w.r.IntN(25))
	w.p("contact c%d: %s to %s, make, made when s%d is on", n, feed, k, n)
	w.wire(k, fmt.Sprintf("K%d.86", n), "grey", .75)
	w.wire(f, fmt.Sprintf("K%d.30", n), "red", 4)
	w.wire(fmt.Sprintf("K%d.85", n), w.earth(), "brown", .75)
	w.p("fit m%d: {\n    pin 1, 2\n    load motor: 1 to 2, %.1f A at 12 V, turning from 50 %%\n}", n, w.between(2, 12))
	w.wire(fmt.Sprintf("K%d.87", n), fmt.Sprintf("m%d.1", n), "black", 2.5)
	w.wire(fmt.Sprintf("m%d.2", n), w.earth(), "brown", 2.5)
	w.claim("m%d.motor is turning whenever s%d is on and key is run", n, n)
}

// fan: by a thermal switch.
func fan(w *writer) {
	n, t := w.n, 80+w.r.IntN(30)
	f, g := w.fuse("rail_15", 20), w.node("g")
	w.p("threshold t%d: coolant, sets at %d degC, clears below %d degC", n, t, t-5)
	w.p("contact c%d: %s to %s, make, made when t%d, up to 25 A", n, f, g, n)
	w.p("load l%d: %s to %s, %.1f A at 12 V, turning from 50 %%", n, g, w.earth(), w.between(4, 12))
	w.claim("l%d is turning whenever key is run and coolant above %d degC", n, t+1)
}

// blower: two speeds over a resistor.
func blower(w *writer) {
	n := w.n
	f, g, h := w.fuse(w.bus(), 25), w.node("g"), w.node("h")
	w.p("setting s%d: off, low, high", n)
	w.p("contact c%d: %s to %s, make, made when s%d is low, up to 15 A", n, f, g, n)
	w.p("contact d%d: %s to %s, make, made when s%d is high, up to 15 A", n, f, h, n)
	w.p("resistor q%d: %s to %s, %.2f ohm +-5 %%", n, g, h, w.between(.5, 1.4))
	w.p("load l%d: %s to %s, %d W at 12 V, turning from 30 %%, fast from 80 %%", n, h, w.earth(), 40+w.r.IntN(70))
	w.claim("l%d is fast whenever s%d is high and key is run", n, n)
}

// rear: stop light and tail light with one earth.
func rear(w *writer) {
	n := w.n
	f, t := w.fuse("bus_b", 10), w.second("bus_a", 5)
	w.p("setting brake%d: free, pressed\nsetting lights%d: off, on", n, n)
	g, h := w.node("g"), w.node("h")
	w.p("contact c%d: %s to %s, make, made when brake%d is pressed, up to 10 A", n, f, g, n)
	w.p("contact d%d: %s to %s, make, made when lights%d is on, up to 10 A", n, t, h, n)
	w.p("fit lamp%d: {\n    pin 54, 58, 31\n    load stop: 54 to 31, 21 W at 12 V, cold 10 %%, lit from 60 %%\n    load tail: 58 to 31, 5 W at 12 V, cold 10 %%, lit from 60 %%\n}", n)
	w.wire(g, fmt.Sprintf("lamp%d.54", n), "black", 1)
	w.wire(h, fmt.Sprintf("lamp%d.58", n), "grey", .75)
	w.wire(fmt.Sprintf("lamp%d.31", n), w.earth(), "brown", 1)
	w.claim("lamp%d.stop is lit whenever brake%d is pressed", n, n)
}

// indicators: left and right exclude each other, and are earthed at different points.
func indicators(w *writer) {
	n := w.n
	f, l, r := w.fuse("rail_15", 10), w.node("l"), w.node("r")
	w.p("setting stalk%d: centre, left, right", n)
	w.p("contact c%d: %s to %s, make, made when stalk%d is left, up to 10 A", n, f, l, n)
	w.p("contact d%d: %s to %s, make, made when stalk%d is right, up to 10 A", n, f, r, n)
	for i, at := range []string{"dash_earth", "rear_earth"} {
		w.p("load left%d_%d: %s to %s, 21 W at 12 V, cold 10 %%, lit from 60 %%", n, i, l, at)
	}
	for i, at := range []string{"body", "engine_earth"} {
		w.p("load right%d_%d: %s to %s, 21 W at 12 V, cold 10 %%, lit from 60 %%", n, i, r, at)
	}
	w.claim("left%d_0 is lit whenever stalk%d is left and key is run", n, n)
}

// locks: a motor that two changeover relays turn both ways.
func locks(w *writer) {
	n := w.n
	f := w.fuse("bus_b", 25)
	w.p("setting lock%d: rest, shut, open, springs back from shut to rest, springs back from open to rest", n)
	for i, is := range []string{"shut", "open"} {
		k := fmt.Sprintf("K%d%s", n, string(rune('a'+i)))
		w.p("fit %s: Changeover", k)
		x := w.node("k" + is)
		w.p("contact c%d%s: %s to %s, make, made when lock%d is %s", n, is, f, x, n, is)
		w.wire(x, k+".86", "grey", .75)
		w.wire(k+".85", w.earth(), "brown", .75)
		w.wire(f, k+".87", "red", 2.5)
		w.wire(k+".87a", w.earth(), "brown", 2.5)
	}
	w.p("fit m%d: {\n    pin 1, 2\n    load motor: 1 to 2, %.1f A at 12 V, turning from 50 %%\n}", n, w.between(4, 9))
	w.wire(fmt.Sprintf("K%da.30", n), fmt.Sprintf("m%d.1", n), "white", 2.5)
	w.wire(fmt.Sprintf("K%db.30", n), fmt.Sprintf("m%d.2", n), "yellow", 2.5)
	w.claim("m%d.motor is turning whenever lock%d is shut", n, n)
}

// wiper: two windings of speed and a park contact.
func wiper(w *writer) {
	n := w.n
	f, slow, quick := w.fuse("rail_15", 20), w.node("slow"), w.node("quick")
	w.p("setting wipe%d: off, slow, quick", n)
	w.p("contact c%d: %s to %s, make, made when wipe%d is slow, up to 15 A", n, f, slow, n)
	w.p("contact d%d: %s to %s, make, made when wipe%d is quick, up to 15 A", n, f, quick, n)
	w.p("fit wiper%d: {\n    pin 53, 53b, 31\n    load first: 53 to 31, %.1f A at 12 V, turning from 50 %%\n    load second: 53b to 31, %.1f A at 12 V, turning from 50 %%\n}", n, w.between(3, 5), w.between(5, 8))
	w.wire(slow, fmt.Sprintf("wiper%d.53", n), "green", 1.5)
	w.wire(quick, fmt.Sprintf("wiper%d.53b", n), "yellow", 1.5)
	w.wire(fmt.Sprintf("wiper%d.31", n), w.earth(), "brown", 2.5)
	w.claim("wiper%d.second is turning whenever wipe%d is quick and key is run", n, n)
}

// box: a controller that pulls a relay to earth.
func box(w *writer) {
	n, t := w.n, 70+w.r.IntN(40)
	f, f2 := w.fuse("rail_15", 5), w.second("bus_a", 20)
	w.p("fit B%d: {\n    pin 1\n    sender bead: at 1, tells coolant, accuracy 1 degC\n}", n)
	w.p("fit K%d: Relay(ohms %d ohm)", n, 70+w.r.IntN(25))
	w.p(`fit box%d: {
    pin 15, 31, 2, 6
    powered 15 to 31: works from 7 V, draws %d mA
    input temp: at 2, reads sender, counts as 130 degC while disconnected
    threshold hot: temp, sets at %d degC, clears below %d degC
    driver fan: earths 6 to 31, when hot, up to 1 A
}`, n, 20+w.r.IntN(200), t, t-6)
	w.wire(f, fmt.Sprintf("box%d.15", n), "black", .75)
	w.wire(fmt.Sprintf("box%d.31", n), "body", "brown", 1)
	w.wire(fmt.Sprintf("B%d.1", n), fmt.Sprintf("box%d.2", n), "blue", .5)
	w.wire(f2, fmt.Sprintf("K%d.30", n), "red", 4)
	w.wire(f2, fmt.Sprintf("K%d.86", n), "grey", .75)
	w.wire(fmt.Sprintf("K%d.85", n), fmt.Sprintf("box%d.6", n), "brown", .75)
	w.p("load l%d: K%d.87 to %s, %.1f A at 12 V, turning from 50 %%", n, n, w.earth(), w.between(6, 14))
	w.claim("l%d is turning whenever key is run and coolant above %d degC", n, t+3)
}

// doorLamp: switched in the earth, with a diode to a second switch.
func doorLamp(w *writer) {
	n := w.n
	f, g, common := w.fuse("bus_b", 5), w.node("g"), w.node("common")
	w.p("setting s%d: shut, open", n)
	w.p("load l%d: %s to %s, %d W at 12 V, cold 10 %%, lit from 60 %%", n, f, g, pick(w, 3, 5, 10))
	w.p("contact c%d: %s to %s, make, made when s%d is open", n, g, w.earth(), n)
	w.p("diode v%d: %s to %s", n, g, common)
	w.p("contact e%d: %s to body, make, made when key is run and s%d is open", n, common, n)
	w.claim("l%d is lit whenever s%d is open", n, n)
}

// heated: a large resistor with its tell-tale.
func heated(w *writer) {
	n := w.n
	f, g := w.fuse("rail_15", 30), w.node("g")
	w.p("setting s%d: off, on", n)
	w.p("contact c%d: %s to %s, make, made when s%d is on, up to 25 A", n, f, g, n)
	w.p("load l%d: %s to %s, %d W at 12 V, warm from 60 %%", n, g, "rear_earth", 100+w.r.IntN(120))
	w.p("load tell%d: %s to %s, 2 W at 12 V, cold 10 %%, lit from 60 %%", n, g, "dash_earth")
	w.claim("l%d is warm whenever s%d is on and key is run", n, n)
}

// isolated: a lamp that either of two switches on different fuses feeds, through diodes.
func isolated(w *writer) {
	n := w.n
	f, t, a, b, g := w.fuse("bus_a", 10), w.second("bus_b", 10), w.node("a"), w.node("b"), w.node("g")
	w.p("setting s%d: off, on\nsetting u%d: off, on", n, n)
	w.p("contact c%d: %s to %s, make, made when s%d is on", n, f, a, n)
	w.p("contact d%d: %s to %s, make, made when u%d is on", n, t, b, n)
	w.p("diode v%d: %s to %s\ndiode x%d: %s to %s", n, a, g, n, b, g)
	w.p("load l%d: %s to %s, %d W at 12 V, cold 10 %%, lit from 60 %%", n, g, w.earth(), pick(w, 5, 10, 21))
	w.claim("l%d is lit whenever s%d is on or u%d is on", n, n, n)
}
