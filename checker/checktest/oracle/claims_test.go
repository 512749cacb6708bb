package oracle_test

import (
	"fmt"
	"strings"
)

// claim is a requirement.
type claim struct {
	name, form string
	a, b       cond
	x, y       int // nodes, of `apart`
	limit      int // ticks
	opposes    string
}

func (d *drawing) require() {
	r := scope{circuits: true, memory: true, beats: true, lasting: !d.timeless}
	for range 3 {
		c := claim{name: d.call("r"), form: of(d.tape, "never", "always", "whenever", "possible", "never", "whenever", "within", "repeats", "repeats whenever", "apart")}
		c.a = d.cond(2, r)
		text := ""
		c.limit = d.n(5)
		switch c.form {
		case "whenever", "within", "repeats whenever":
			c.b = d.cond(1, r)
		}
		switch c.form {
		case "never", "always", "possible":
			text = c.form + " " + c.a.text
		case "whenever":
			text = c.a.text + " whenever " + c.b.text
		case "within":
			text = fmt.Sprintf("%s within %s whenever %s", c.a.text, ticks(c.limit), c.b.text)
		case "repeats":
			c.limit++
			text = fmt.Sprintf("%s repeats within %s", c.a.text, ticks(c.limit))
		case "repeats whenever":
			c.limit++
			text = fmt.Sprintf("%s repeats within %s whenever %s", c.a.text, ticks(c.limit), c.b.text)
		case "apart":
			x, y := d.somewhere(), d.somewhere()
			if x == y {
				y = "body"
			}
			c.x, c.y = d.net.node(x), d.net.node(y)
			text = "apart " + x + " and " + y
		}
		d.line("require %s: %s", c.name, text)
		if c.form == "never" { // what it says can be seen, too
			d.line("symptom s%s \"seen\": %s", c.name, c.a.text)
		}
		d.claims = append(d.claims, c)
		d.contradict(c)
	}
}

// contradict adds to some claims what says the opposite: of the two one at most is proved.
func (d *drawing) contradict(c claim) {
	o := claim{name: "n" + c.name, a: c.a, b: c.b, opposes: c.name}
	switch {
	case c.form == "never" && d.yes(2):
		o.form = "possible"
		d.line("require %s: possible %s", o.name, c.a.text)
	case c.form == "never":
		o.form = "always"
		d.line("require %s: always %s", o.name, c.a.text)
	case c.form == "whenever":
		o.form, o.a = "whenever", not(c.a)
		d.line("require %s: %s whenever %s", o.name, o.a.text, c.b.text)
	default:
		return
	}
	d.claims = append(d.claims, o)
}

// bad is what must not be in any state.
func (d *drawing) bad(c claim) func(x string) bool {
	switch c.form {
	case "never":
		return c.a.is
	case "always":
		return func(x string) bool { return !c.a.is(x) }
	case "whenever":
		return func(x string) bool { return c.b.is(x) && !c.a.is(x) }
	case "apart":
		return func(x string) bool { return !d.net.at(x).apart(c.x, c.y) }
	}
	return nil
}

// verdicts of all claims in one corner.
type verdicts struct {
	fails, vacuous []bool
	// circles tells of modes that go round.
	hunts, races, circles bool
}

// judge reaches all states; ok is false if they are too many.
func (d *drawing) judge(corner []float64, most int) (out verdicts, ok bool) {
	d.net.corner, d.net.solved, d.net.calm = corner, map[string]*solution{}, map[string]*solution{}
	d.world.ends, d.hunts, d.races, d.circles, d.world.burns = map[string][]string{}, false, false, false, false
	out.fails, out.vacuous = make([]bool, len(d.claims)), make([]bool, len(d.claims))
	for i, c := range d.claims {
		out.fails[i] = c.form == "possible"
		out.vacuous[i] = c.form == "whenever"
	}
	_, ok = d.reach(nil, 0, func(x string) {
		for i, c := range d.claims {
			switch c.form {
			case "possible":
				out.fails[i] = out.fails[i] && !c.a.is(x)
			case "within", "repeats", "repeats whenever":
			default:
				out.fails[i] = out.fails[i] || d.bad(c)(x)
				out.vacuous[i] = out.vacuous[i] && !c.b.is(x)
			}
		}
	}, most)
	if !ok {
		return out, false
	}
	for i, c := range d.claims {
		switch c.form {
		case "within", "repeats", "repeats whenever":
			watch := func(x string) bool { return !c.a.is(x) && (c.b.is == nil || c.b.is(x)) }
			if out.fails[i], ok = d.reach(watch, c.limit, nil, most); !ok {
				return out, false
			}
		}
	}
	if d.world.burns { // what may be possible then is not told
		for i, c := range d.claims {
			out.fails[i] = out.fails[i] && c.form != "possible"
		}
	}
	out.hunts, out.races, out.circles = d.hunts, d.races, d.circles
	return out, true
}

// lasting reports whether a claim is about something that lasts long enough for a filament to
// become warm, at least in part.
func (d *drawing) lasting(c claim) bool {
	return c.form == "within" || c.form == "repeats" || c.form == "repeats whenever" || strings.Contains(c.a.text+c.b.text, " for ")
}
