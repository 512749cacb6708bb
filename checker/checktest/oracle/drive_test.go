package oracle_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/question/drives"
	"pintle/checker/run"
)

// ride runs a design in time. What is left open, the order of what happens at one moment
// and the winner of a race, ends it.
type ride struct {
	*drawing
	x    string
	now  float64 // ms
	due  []float64
	seen []string // the states since everything was set in this step, but for those on the way of idle moves
	at   []float64
	ramp []ramp
}

type ramp struct {
	v        int
	from, to float64 // in marks of the grid
	begin    float64
	lasts    float64
}

// open ends a run whose outcome the reference leaves open.
type unsaid struct{}

func (d *drawing) ride() *ride {
	d.world.ends, d.net.solved, d.net.calm = map[string][]string{}, map[string]*solution{}, map[string]*solution{}
	r := &ride{drawing: d, due: make([]float64, len(d.vars)), at: make([]float64, len(d.vars))}
	starts := d.starts()
	if len(starts) != 1 {
		panic(unsaid{})
	}
	for i, v := range d.vars {
		if v.sort == quantity {
			r.at[i] = float64(v.starts[0]) / 2
		}
	}
	r.arrive(-1, starts[0]) // modes have not moved yet
	return r
}

// arrive is in a new state; what begins to be timed there gets its end.
func (r *ride) arrive(by int, x string) {
	for i := range r.vars {
		lo, _, ok := r.bounds(i, x)
		was := false
		if r.x != "" {
			_, _, was = r.bounds(i, r.x)
		}
		switch {
		case !ok:
			r.due[i] = math.Inf(1)
		case !was || by == i:
			r.due[i] = r.now + 100*float64(lo)
		}
	}
	r.x = x
}

// move is one that v makes.
func (r *ride) move(v int, x string) {
	ends := r.after(x)
	if len(ends) != 1 || r.hunts || r.races {
		panic(unsaid{})
	}
	r.arrive(v, ends[0])
	r.idle()
}

func (r *ride) idle() {
	for range 50 {
		ends := r.after(r.x)
		if len(ends) != 1 || r.hunts || r.races {
			panic(unsaid{})
		}
		if ends[0] == r.x {
			if r.step(r.x) != r.x { // hardware brings back the mode that it steps from, for ever
				panic(unsaid{})
			}
			r.seen = append(r.seen, r.x)
			return
		}
		r.arrive(-1, ends[0])
	}
	panic(unsaid{})
}

// turn puts a setting in a position, through those between if they are in order.
func (r *ride) turn(v, to int) {
	for int(r.x[v]) != to {
		next := to
		if r.vars[v].inOrder && to > int(r.x[v]) {
			next = int(r.x[v]) + 1
		} else if r.vars[v].inOrder {
			next = int(r.x[v]) - 1
		}
		r.move(v, with(r.x, v, next))
	}
}

// to moves a quantity to a place of its grid, through all between.
func (r *ride) to(v int, place int) {
	for int(r.x[v]) != place {
		step := 1
		if int(r.x[v]) > place {
			step = -1
		}
		r.move(v, with(r.x, v, int(r.x[v])+step))
	}
}

func place(mark float64) int {
	if mark == math.Round(mark) {
		return 2 * int(mark)
	}
	return 2*int(math.Floor(mark)) + 1
}

// crossing is when a ramp next stands on a mark; Inf: it only has its end to come.
func (r *ride) crossing(p *ramp) (when float64, mark int) {
	if p.to == p.from {
		return math.Inf(1), 0
	}
	at := int(r.x[p.v])
	next := (at + 2) / 2 // the mark above
	if p.to < p.from {
		next = (at+1)/2 - 1
	}
	if p.to > p.from && float64(next) > p.to || p.to < p.from && float64(next) < p.to {
		return math.Inf(1), 0
	}
	return p.begin + p.lasts*(float64(next)-p.from)/(p.to-p.from), next
}

// wait lets time pass with what ramps.
func (r *ride) wait(until float64) {
	for i := range r.ramp { // just past where they stand
		if p := &r.ramp[i]; p.to != p.from && r.x[p.v]%2 == 0 {
			step := 1
			if p.to < p.from {
				step = -1
			}
			r.move(p.v, with(r.x, p.v, int(r.x[p.v])+step))
		}
	}
	for {
		when, what := until, -1
		var tie bool
		consider := func(t float64, k int) {
			if math.Abs(t-when) < 1e-6 && (what >= 0 || k < 1000) {
				tie = true
			}
			if t < when-1e-6 || k >= 1000 && t <= when+1e-6 && what < 0 {
				if t < when-1e-6 {
					tie = false
				}
				when, what = t, k
			}
		}
		for i := range r.vars {
			if _, _, ok := r.bounds(i, r.x); ok {
				consider(r.due[i], i)
			}
		}
		for i := range r.ramp {
			t, _ := r.crossing(&r.ramp[i])
			consider(t, 1000+i)
		}
		if tie {
			panic(unsaid{})
		}
		r.now = when
		switch {
		case what < 0:
			r.ramp = nil
			return
		case what >= 1000:
			p := &r.ramp[what-1000]
			_, mark := r.crossing(p)
			step := 1
			if p.to < p.from {
				step = -1
			}
			r.move(p.v, with(r.x, p.v, 2*mark))
			if float64(mark) != p.to {
				r.move(p.v, with(r.x, p.v, 2*mark+step))
			}
		default:
			k := slices.IndexFunc(r.events(r.x), func(e event) bool { return e.v == what })
			r.move(what, r.events(r.x)[k].to)
		}
	}
}

// drives writes drives that must see what they expect.
func (d *drawing) drives() {
	for range 2 {
		r := d.ride()
		text := "drive " + d.call("way") + " {\n"
		for range 2 + d.n(4) {
			text += d.stepped(r)
		}
		d.line("%s}", text)
		if d.net.fault != nil {
			d.mend()
			d.mend = nil
		}
	}
}

var modes = map[string]string{
	"broken": "open", "shorted": "shorted", "shorted to ground": "to ground", "shorted to a feed": "to feed", "off": "off", "blown": "blown",
	"welded": "stuck made", "stuck on": "stuck on", "stuck off": "stuck off", "stuck open": "stuck open",
	"stuck shut": "stuck shut", "silent": "silent",
}

func (d *drawing) stepped(r *ride) string {
	var clauses []string
	say := func(format string, args ...any) { clauses = append(clauses, fmt.Sprintf(format, args...)) }
	if d.yes(3) {
		if d.net.fault == nil {
			f := of(d.tape, d.faults()...)
			name, words, _ := strings.Cut(f.words, " ")
			say("fail %s %s", name, modes[words])
			mend := d.afflict(&f, false)
			d.mend = func() { mend() }
			d.world.ends = map[string][]string{}
			r.move(d.failure, with(r.x, d.failure, 1))
		} else {
			name, _, _ := strings.Cut(d.net.fault.words, " ")
			say("mend %s", name)
			d.world.ends = map[string][]string{}
			x := with(r.x, d.failure, 2)
			for _, f := range d.net.fuses {
				if f.e.name == name {
					x = with(x, f.v, 0)
				}
			}
			d.mend()
			d.mend = nil
			r.move(d.failure, x)
		}
	}
	springs := map[int]int{}
	for range d.n(3) {
		if len(d.quantities) > 0 && d.yes(3) {
			q, mark := of(d.tape, d.quantities...), float64(d.n(2*marks-1))/2
			say("set %s %g rpm", d.vars[q].name, 10*mark)
			r.to(q, place(mark))
			r.at[q] = mark
			continue
		}
		s := of(d.tape, d.settings...)
		v, to := d.vars[s], d.n(d.vars[s].size)
		say("set %s %c", v.name, "abc"[to])
		r.turn(s, to)
		delete(springs, s)
		for _, sp := range v.springs {
			if sp[0] == to {
				springs[s] = sp[1]
			}
		}
	}
	r.idle()
	r.seen = []string{r.x}
	lasts := 0.0
	if len(d.quantities) > 0 && d.yes(3) {
		q, mark := of(d.tape, d.quantities...), float64(d.n(2*marks-1))/2
		lasts = float64(70 + 110*d.n(4))
		say("ramp %s to %g rpm over %g ms", d.vars[q].name, 10*mark, lasts)
		r.ramp = append(r.ramp, ramp{q, r.at[q], mark, r.now, lasts})
		r.at[q] = mark
	}
	if d.yes(2) {
		w := float64(30 + 100*d.n(6))
		say("wait %g ms", w)
		lasts = max(lasts, w)
	}
	r.wait(r.now + lasts)
	sc := scope{circuits: true, memory: true, beats: true}
	for range 1 + d.n(3) {
		c := d.cond(1, sc)
		holds := func(x string) bool { return c.is(x) }
		switch from := slices.IndexFunc(r.seen, holds); {
		case !c.is(r.x):
			say("see not (%s)", c.text)
		case from == 0 && !slices.ContainsFunc(r.seen, func(x string) bool { return !c.is(x) }):
			say("see %s throughout", c.text)
		default:
			say("see %s at end", c.text)
		}
		if o := d.cond(1, sc); d.yes(3) {
			if k := slices.IndexFunc(r.seen, o.is); k >= 0 && !slices.ContainsFunc(r.seen[k:], func(x string) bool { return !c.is(x) }) {
				say("see %s once %s", c.text, o.text)
			}
		}
	}
	for _, s := range d.settings {
		if to, ok := springs[s]; ok {
			r.turn(s, to)
		}
	}
	return "    step: " + strings.Join(clauses, ",\n        ") + "\n"
}

// rideTally counts what was compared.
type rideTally struct{ designs, unsaid, ties, drives int }

// differDrives draws a design with drives, and reports which of them the checker runs
// otherwise.
func differDrives(choices *tape, sum *rideTally) (text, how string) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case unsaid:
			sum.unsaid++
			text, how = "", ""
		case tie:
			sum.ties++
			text, how = "", ""
		default:
			panic(r)
		}
	}()
	d := draw(choices, true)
	d.net.rides, d.net.driven = true, true
	d.drives()
	text = d.text()
	found, err := check(text)
	if err != nil {
		return text, err.Error()
	}
	sum.designs++
	sum.drives += 2
	var wrong []string
	for _, f := range found {
		if f.Rule == "scenario-failed" || f.Rule == "wrong-kind" || f.Rule == "syntax" {
			wrong = append(wrong, f.Rule+": "+f.Message)
		}
	}
	got, err := run.Drive(context.Background(), run.DriveRequest{OpenRequest: run.OpenRequest{Path: run.StandardInput, Input: []byte(text)}})
	if err != nil {
		return text, err.Error()
	}
	for i := range got.Drives {
		if s, why, _ := got.Drives[i].Standing(); s != drives.Met {
			wrong = append(wrong, "pintle drive: "+got.Drives[i].Name+" is "+s.String()+": "+why)
		}
	}
	return text, strings.Join(wrong, "\n")
}
