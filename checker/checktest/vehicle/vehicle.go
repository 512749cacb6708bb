// Package vehicle writes whole vehicles as text, for tests and benchmarks: a battery with an
// inside resistance and an alternator, two fuse boxes, a supply behind the key, earth straps,
// connectors, and on them circuits of everyday kinds of which no two are alike, a claim each.
package vehicle

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Options say what to write.
type Options struct {
	Lines int    // about
	Seed  uint64 // everything that is drawn depends on it
	// Weak: the battery and its cables are those of a small vehicle, however many consumers
	// are connected to them.
	Weak bool
	// Second: a second battery joined by a relay while the engine runs.
	Second bool
	// Claims: one for each circuit.
	Claims bool
}

// Text writes a vehicle. The same options give the same text.
func Text(o Options) string {
	w := &writer{Options: o, r: rand.New(rand.NewPCG(o.Seed, 91))}
	w.head()
	for w.lines+w.nodeLines() < o.Lines {
		w.n++
		kinds[w.r.IntN(len(kinds))](w)
	}
	for i := 0; i < len(w.nodes); i += 12 {
		w.p("node %s", strings.Join(w.nodes[i:min(i+12, len(w.nodes))], ", "))
	}
	for i, ways := range w.ways {
		w.p("connector X%d: %d way, grey, keyed K%d", i+1, ways, i+1)
	}
	return w.text.String()
}

type writer struct {
	Options
	r           *rand.Rand
	text        strings.Builder
	lines, n, w int
	nodes       []string
	ways        []int // of each connector
}

func (w *writer) nodeLines() int { return len(w.nodes)/12 + len(w.ways) + 1 }

func (w *writer) p(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	w.text.WriteString(text)
	w.text.WriteByte('\n')
	w.lines += 1 + strings.Count(text, "\n")
}

func (w *writer) between(lo, hi float64) float64 { return lo + (hi-lo)*w.r.Float64() }

func pick[T any](w *writer, xs ...T) T { return xs[w.r.IntN(len(xs))] }

func (w *writer) node(name string) string {
	name = fmt.Sprintf("%s%d", name, w.n)
	w.nodes = append(w.nodes, name)
	return name
}

// wire joins two points, over a connector at times.
func (w *writer) wire(a, b, colour string, area float64) {
	if w.r.IntN(5) == 0 {
		if len(w.ways) == 0 || w.ways[len(w.ways)-1] >= 8 {
			w.ways = append(w.ways, 0)
		}
		x := len(w.ways)
		w.ways[x-1]++
		way := fmt.Sprintf("X%d.%d", x, w.ways[x-1])
		w.piece(a, way, colour, area)
		a = way
	}
	w.piece(a, b, colour, area)
}

func (w *writer) piece(a, b, colour string, area float64) {
	w.w++
	w.p("wire W%d: %s to %s, %s/%s, %g mm2, %.2f m", w.w, a, b, colour, pick(w, "green", "blue", "grey", "violet", "pink", "white"), area, w.between(.2, 2.6))
}

func (w *writer) earth() string {
	return pick(w, "body", "body", "engine_earth", "dash_earth", "rear_earth")
}
func (w *writer) bus() string { return pick(w, "bus_a", "bus_a", "bus_b", "rail_15") }

// fuse feeds a circuit, and gives the node behind it; second is the circuit's second one.
func (w *writer) fuse(bus string, amps float64) string   { return w.fused("f", bus, amps) }
func (w *writer) second(bus string, amps float64) string { return w.fused("u", bus, amps) }

func (w *writer) fused(name, bus string, amps float64) string {
	f := w.node(name + "feed")
	w.p("fuse F%d%s: %s to %s, %g A", w.n, name, bus, f, amps)
	return f
}

func (w *writer) claim(format string, args ...any) {
	if w.Claims {
		w.p("require r%d: %s", w.n, fmt.Sprintf(format, args...))
	}
}

func (w *writer) head() {
	size := max(1, float64(w.Lines)/250)
	if w.Weak {
		size = 1
	}
	inside := w.between(5, 8) / size
	w.p(`title "Generated vehicle %d"`, w.Seed)
	w.p(`quantity engine_speed: 0 to 6000 rpm, changes at most 3000 rpm per s
quantity coolant: -30 to 130 degC, starts at 20 degC
setting key: off, acc, run, crank, in order, springs back from crank to run
ground body
node engine_earth, dash_earth, rear_earth, post, bus_a, bus_b, rail_15, rail_R`)
	w.p("supply battery: %.2f V, from body to stud, inside %.3f mohm, anywhere between 11.5 V and 14.8 V", w.between(12.4, 12.7), inside)
	w.p("supply alternator: 14.2 V, from engine_earth to B, one way, inside %.2f mohm, while engine_speed above 600 rpm", w.between(30, 60)/size)
	if w.Second {
		w.p(`node aux_stud
supply aux: %.2f V, from body to aux_plus, inside %.3f mohm
contact split: post to aux_stud, make, made when engine_speed above 600 rpm
wire AUX: aux_plus to aux_stud, red, 25 mm2, 2.10 m`, w.between(12.4, 12.7), w.between(6, 12)/size)
	}
	w.p(`wire strap_engine: engine_earth to body, brown, %.0f mm2, 0.40 m, rated %.0f A
wire strap_dash: dash_earth to body, brown, %.0f mm2, 0.60 m, rated %.0f A
wire strap_rear: rear_earth to body, brown, %.0f mm2, 0.50 m, rated %.0f A`, 25*size, 200*size, 16*size, 150*size, 16*size, 150*size)
	w.p(`wire cable_main: battery.stud to post, red, %.0f mm2, 0.90 m, rated %.0f A
wire cable_charge: alternator.B to post, red, %.0f mm2, 1.20 m, rated %.0f A
fuse main_a: post to bus_a, %.0f A
fuse main_b: post to bus_b, %.0f A
fuse main_k: post to key_feed, %.0f A
node key_feed`, 25*size, 300*size, 25*size, 300*size, 250*size, 200*size, 150*size)
	w.p(`contact ignition: key_feed to rail_15, make, made when key is run or key is crank
contact accessory: key_feed to rail_R, make, made when key is acc or key is run
part Relay {
    takes ohms: ohm
    pin 30, 85, 86, 87
    coil winding: 86 to 85, ohms +-10 %%, pulls in at 7 V, drops out at 1.5 V
    resistor damp: 86 to 85, 680 ohm
    contact main: 30 to 87, make, up to 40 A
    shows winding, main
}
part Changeover {
    pin 30, 85, 86, 87, 87a
    coil winding: 86 to 85, 85 ohm, pulls in at 7 V, drops out at 1.5 V
    diode quench: 85 to 86
    contact main: 30 rests on 87a, goes to 87, breaks first, by winding, up to 30 A
    shows winding, main
}`)
}
