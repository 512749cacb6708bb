package oracle_test

import (
	"fmt"
	"math"
	"strings"
)

// drawing is a design in the making: its text and what it means.
type drawing struct {
	*tape
	*world
	lines []string // of the text

	settings, quantities, thresholds, timers, beats, machines []int // variables
	coils, contacts                                           []named
	loads                                                     []load
	ports                                                     []string
	flows                                                     []flow
	box                                                       *box
	named                                                     []cond
	claims                                                    []claim
	count                                                     map[string]int
	places                                                    []string // nodes and pins that have a name
	vent                                                      string   // the port that is open to air
	pump                                                      func(x string) bool
	later, last                                               []func() // what is drawn when everything is declared
	tolerant, timeless                                        bool
	failing                                                   []failing
	failure                                                   int    // the variable of the fault
	mend                                                      func() // takes the fault of a drive away
	exact                                                     bool   // no duration is an interval
}

// named is something that is asked for by two words.
type named struct {
	path, yes, no string
	is            func(x string) bool
	turns         bool
}

type load struct {
	path   string
	is     *element
	levels []level
}

type level struct {
	word string
	volt float64
}

func (d *drawing) line(format string, args ...any) {
	d.lines = append(d.lines, fmt.Sprintf(format, args...))
}

// call gives the next name of a sort.
func (d *drawing) call(prefix string) string {
	d.count[prefix]++
	return fmt.Sprint(prefix, d.count[prefix])
}

func (d *drawing) add(v variable) int {
	d.vars = append(d.vars, &v)
	return len(d.vars) - 1
}

func (d *drawing) text() string {
	return "title \"Drawn\"\nground body\n" + strings.Join(d.lines, "\n") + "\n"
}

const (
	marks = 5 // of a quantity's grid: 0, 10 .. 40 rpm
	tick  = "100 ms"
)

func ticks(n int) string { return fmt.Sprintf("%d ms", 100*n) }

func (d *drawing) inputs() {
	for range 1 + d.n(2) {
		v := variable{name: d.call("knob"), sort: setting, size: 2 + d.n(2)}
		words := []string{"a", "b", "c"}[:v.size]
		text := strings.Join(words, ", ")
		if v.inOrder = d.yes(3); v.inOrder {
			text += ", in order"
		}
		if d.yes(3) {
			v.springs = append(v.springs, [2]int{v.size - 1, 0})
			text += ", springs back from " + words[v.size-1] + " to a"
		}
		at := d.n(v.size)
		if at > 0 {
			text += ", starts at " + words[at]
		}
		v.starts = []int{at}
		d.line("setting %s: %s", v.name, text)
		d.settings = append(d.settings, d.add(v))
	}
	for range of(d.tape, 0, 0, 1, 1, 2) {
		v := variable{name: d.call("speed"), sort: quantity, size: 2*marks - 1, marks: map[int]bool{}}
		text := fmt.Sprintf("0 to %d rpm", 10*(marks-1))
		if v.slow = d.yes(2); v.slow {
			text += ", changes at most 100 rpm per s"
		}
		at := d.n(marks)
		if at > 0 {
			text += fmt.Sprintf(", starts at %d rpm", 10*at)
		}
		v.starts = []int{2 * at}
		d.line("quantity %s: %s", v.name, text)
		d.quantities = append(d.quantities, d.add(v))
	}
}

// scope is what a condition may speak of.
type scope struct {
	circuits bool // solved values
	memory   bool
	beats    bool
	edges    bool
	lasting  bool // for, in the last
	box      bool // only of what a controller reads
	inputs   bool // only inputs
}

func (d *drawing) cond(depth int, r scope) cond {
	if depth > 0 {
		switch d.n(5) {
		case 0, 1:
			a, b := d.cond(depth-1, r), d.cond(depth-1, r)
			if d.yes(2) {
				return both(a, b)
			}
			return either(a, b)
		case 2:
			a := d.cond(depth-1, r)
			return not(a)
		}
	}
	return d.atom(r)
}

func both(a, b cond) cond {
	return cond{"(" + a.text + " and " + b.text + ")", func(x string) bool { return a.is(x) && b.is(x) }, a.turns || b.turns, '&', []cond{a, b}}
}

func either(a, b cond) cond {
	return cond{"(" + a.text + " or " + b.text + ")", func(x string) bool { return a.is(x) || b.is(x) }, a.turns || b.turns, '|', []cond{a, b}}
}

func not(a cond) cond {
	return cond{"not (" + a.text + ")", func(x string) bool { return !a.is(x) }, a.turns, '!', []cond{a}}
}

// plain is a condition that is made of no others.
func plain(text string, is func(x string) bool, turns bool) cond {
	return cond{text: text, is: is, turns: turns}
}

func (d *drawing) atom(r scope) cond {
	var can []func() cond
	more := func(yes bool, n int, f func() cond) {
		for range n {
			if yes {
				can = append(can, f)
			}
		}
	}
	more(!r.box, 3, d.position)
	more(!r.box && len(d.quantities) > 0, 2, d.compared)
	more(d.tolerant && !r.box && !r.inputs && r.circuits, 8, d.electric)
	if r.box {
		more(true, 1, func() cond { return cond{text: "always", is: func(string) bool { return true }} })
		d.boxed(r.beats, more)
	}
	if !r.box && !r.inputs {
		more(r.memory && len(d.thresholds) > 0, 2, func() cond {
			v := of(d.tape, d.thresholds...)
			return plain(d.vars[v].name, func(x string) bool { return x[v] == 1 }, false)
		})
		more(r.memory && len(d.coils) > 0, 3, func() cond { return d.asked(of(d.tape, d.coils...)) })
		more(r.memory && len(d.timers) > 0, 2, func() cond { return d.phase(of(d.tape, d.timers...)) })
		more(r.memory && len(d.machines) > 0, 2, func() cond { return d.mode(of(d.tape, d.machines...)) })
		more(r.beats && len(d.beats) > 0, 1, func() cond { return d.beating(of(d.tape, d.beats...)) })
		more(r.circuits && len(d.contacts) > 0, 1, func() cond { return d.asked(of(d.tape, d.contacts...)) })
		more(r.circuits && d.net != nil, 4, d.electric)
		more(r.circuits && len(d.ports) > 0, 2, d.fluid)
		more(r.circuits && d.box != nil, 2, d.outsideBox)
		more(r.circuits && len(d.named) > 0, 1, func() cond { return of(d.tape, d.named...) })
	}
	if r.lasting {
		more(true, 2, func() cond { return d.lasts(r) })
	}
	if r.edges {
		more(true, 3, func() cond {
			r.edges, r.lasting = false, false
			c := d.cond(1, r)
			e := d.add(variable{name: c.text, sort: edge, size: 2, starts: []int{0}, of: &c})
			how := of(d.tape, "begins", "ends", "stays")
			return plain("("+c.text+") "+how, func(x string) bool {
				now, before := c.is(x), x[e] == 1
				switch how {
				case "begins":
					return now && !before
				case "ends":
					return !now && before
				}
				return now && before
			}, c.turns)
		})
	}
	return of(d.tape, can...)()
}

func (d *drawing) asked(n named) cond {
	if n.no != "" && d.yes(2) {
		return plain(n.path+" is "+n.no, func(x string) bool { return !n.is(x) }, n.turns)
	}
	return plain(n.path+" is "+n.yes, n.is, n.turns)
}

func (d *drawing) position() cond {
	v := of(d.tape, d.settings...)
	at := d.n(d.vars[v].size)
	word := string("abc"[at])
	if d.vars[v].size == 3 && d.yes(4) {
		other := (at + 1) % 3
		return plain(fmt.Sprintf("%s is any of %s, %c", d.vars[v].name, word, "abc"[other]),
			func(x string) bool { return int(x[v]) == at || int(x[v]) == other }, false)
	}
	if d.yes(3) {
		return plain(d.vars[v].name+" is not "+word, func(x string) bool { return int(x[v]) != at }, false)
	}
	return plain(d.vars[v].name+" is "+word, func(x string) bool { return int(x[v]) == at }, false)
}

// compared is a comparison of a quantity.
func (d *drawing) compared() cond {
	v := of(d.tape, d.quantities...)
	k := d.n(marks)
	d.vars[v].marks[k] = true
	if d.yes(4) && k < marks-1 {
		hi := k + 1 + d.n(marks-1-k)
		d.vars[v].marks[hi] = true
		return plain(fmt.Sprintf("%s between %d rpm and %d rpm", d.vars[v].name, 10*k, 10*hi),
			func(x string) bool { return int(x[v]) >= 2*k && int(x[v]) < 2*hi }, false)
	}
	how := of(d.tape, "above", "below", "at least", "at most")
	return plain(fmt.Sprintf("%s %s %d rpm", d.vars[v].name, how, 10*k), func(x string) bool { return compares(how, int(x[v]), 2*k) }, false)
}

func compares(how string, a, b int) bool {
	switch how {
	case "above":
		return a > b
	case "below":
		return a < b
	case "at least":
		return a >= b
	}
	return a <= b
}

func (d *drawing) phase(v int) cond {
	word := of(d.tape, "idle", "running", "done")
	return plain(d.vars[v].name+" is "+word, func(x string) bool {
		switch word {
		case "idle":
			return x[v] == idle
		case "done":
			return x[v] == done
		}
		return x[v] >= running
	}, false)
}

func (d *drawing) mode(v int) cond {
	m := d.n(d.vars[v].size)
	return plain(fmt.Sprintf("%s is %c", d.vars[v].name, "mno"[m]), func(x string) bool { return int(x[v]) == m }, false)
}

func (d *drawing) beating(v int) cond {
	b := d.vars[v]
	return d.asked(named{b.name, "on", "off", func(x string) bool { return x[v] == 0 && b.beats(x) }, b.while != nil && b.while.turns})
}

// lasts is C for T, or C in the last T.
func (d *drawing) lasts(r scope) cond {
	r.lasting, r.edges = false, false
	c := d.cond(1, r)
	lo := 1 + d.n(3)
	hi := d.until(lo)
	text := ticks(lo)
	if hi > lo {
		text += " to " + ticks(hi)
	}
	v := variable{name: c.text, sort: timer, size: 3, starts: []int{idle}, run: &c, cases: []lasting{{nil, lo, hi}}}
	if r.box {
		v.unpowered = d.box.unpowered
	}
	if v.inLast = d.yes(2); v.inLast {
		t := d.add(v)
		return plain("("+c.text+") in the last "+text, func(x string) bool { return x[t] != idle }, false)
	}
	t := d.add(v)
	return plain("("+c.text+") for "+text, func(x string) bool { return x[t] == done }, false)
}

// until draws the longest that something lasts which lasts at least so long.
func (d *drawing) until(lo int) int {
	if d.exact {
		return lo
	}
	return lo + d.n(2)
}

// electric asks for something that is solved.
func (d *drawing) electric() cond {
	n := d.net
	switch k := d.n(6); {
	case k < 2 && len(d.loads) > 0:
		l := of(d.tape, d.loads...)
		v := of(d.tape, l.levels...)
		return plain(l.path+" is "+v.word, func(x string) bool {
			return exceeds("at least", math.Abs(n.across(x, l.is)), v.volt)
		}, true)
	case k == 2:
		name := d.somewhere()
		at := n.node(name)
		switch d.n(3) {
		case 0:
			return plain(name+" is live", func(x string) bool { return n.at(x).live(at) }, true)
		case 1:
			return plain(name+" is grounded", func(x string) bool { return n.at(x).grounded(at) }, true)
		}
		return plain(name+" is floating", func(x string) bool { s := n.at(x); return !s.live(at) && !s.grounded(at) }, true)
	case k == 3:
		a := d.somewhere()
		b := "body"
		text := fmt.Sprintf("volts at %s", a)
		if d.yes(2) {
			if b = d.somewhere(); b != a {
				text = fmt.Sprintf("volts %s to %s", a, b)
			} else {
				b = "body"
			}
		}
		i, j := n.node(a), n.node(b)
		how, at := of(d.tape, "above", "below", "at least", "at most"), of(d.tape, "0.3 V", "1.7 V", "4.1 V", "7.3 V", "10.9 V", "11.83 V")
		return plain(fmt.Sprintf("%s %s %s", text, how, at), func(x string) bool {
			s := n.at(x)
			return measures(how, s.between(i, j), at)
		}, true)
	default:
		var can []*element
		for _, e := range n.elements {
			if e.name != "" {
				can = append(can, e)
			}
		}
		e := of(d.tape, can...)
		i := 0
		for n.elements[i] != e {
			i++
		}
		how, at := of(d.tape, "above", "below", "at least", "at most"), of(d.tape, "0.0037 A", "0.13 A", "0.61 A", "1.9 A", "23 A")
		return plain(fmt.Sprintf("current through %s %s %s", e.name, how, at), func(x string) bool {
			return measures(how, math.Abs(n.through(x, i)), at)
		}, true)
	}
}

// close is how near to each other numbers must not lie: then a design decides nothing.
const close = 1e-4

type tie struct{}

// measures compares a solved value with one as it is written.
func measures(how string, value float64, at string) bool {
	var level float64
	if _, err := fmt.Sscan(strings.Fields(at)[0], &level); err != nil {
		panic(err)
	}
	return exceeds(how, value, level)
}

func exceeds(how string, value, level float64) bool {
	if math.Abs(value-level) < close*math.Max(1e-2, math.Abs(level)) {
		panic(tie{})
	}
	if how == "above" || how == "at least" {
		return value > level
	}
	return value < level
}

func (d *drawing) somewhere() string {
	return of(d.tape, d.places...)
}
