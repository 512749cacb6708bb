package system_test

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// promela writes a flat design for spin (Holzmann), an engine that shares nothing with
// ours: neither the state engine nor the way in which a design becomes a system.
type promela struct {
	d      *model.Design
	c      *circuit.Circuit
	b      strings.Builder
	places []int // of each variable: how many values it has
	base   [8]int
	frees  []int
}

// The order of variables is that of world.
const (
	atSetting = iota
	atQuantity
	atMemory
	atMachine
	atTimer
	atBeat
	atEdge
	atFree
)

func newPromela(d *model.Design) (*promela, error) {
	c, err := circuit.New(d, nil)
	if err != nil {
		return nil, err
	}
	p := &promela{d: d, c: c}
	add := func(kind, n int, size func(int) int) {
		p.base[kind] = len(p.places)
		for i := range n {
			p.places = append(p.places, size(i))
		}
	}
	always := func(n int) func(int) int { return func(int) int { return n } }
	for i := range d.Elements {
		if d.Elements[i].Sometimes {
			p.frees = append(p.frees, i)
		}
	}
	add(atSetting, len(d.Settings), func(i int) int { return len(d.Settings[i].Positions) })
	add(atQuantity, len(d.Quantities), always(2*len(levels)+1))
	add(atMemory, len(d.Memories), always(2))
	add(atMachine, len(d.Machines), func(i int) int { return len(d.Machines[i].Modes) })
	add(atTimer, len(d.Timers), always(3))
	add(atBeat, len(d.Beats), always(2))
	add(atEdge, len(d.Edges), always(2))
	add(atFree, len(p.frees), always(2))
	return p, nil
}

func (p *promela) x(kind, i int) string { return fmt.Sprintf("x[%d]", p.base[kind]+i) }

func oneOf(x string, in []int) string {
	parts := make([]string, len(in))
	for i, v := range in {
		parts[i] = fmt.Sprintf("%s==%d", x, v)
	}
	return joined("||", "0", parts)
}

func joined(op, none string, parts []string) string {
	if len(parts) == 0 {
		return none
	}
	return "(" + strings.Join(parts, op) + ")"
}

func (p *promela) cond(c *model.Cond) string {
	if c == nil {
		return "1"
	}
	parts := make([]string, len(c.Kids))
	for i, k := range c.Kids {
		parts[i] = p.cond(k)
	}
	switch c.Op {
	case model.CondTrue:
		return "1"
	case model.CondFalse:
		return "0"
	case model.CondAnd:
		return joined("&&", "1", parts)
	case model.CondOr:
		return joined("||", "0", parts)
	case model.CondNot:
		return "!" + joined("", "", parts)
	}
	return p.atom(&c.Atom)
}

var symbols = [...]string{model.Below: "<", model.AtMost: "<=", model.Above: ">", model.AtLeast: ">="}

// level is the place of a value among those that quantities are compared with.
func level(v unit.Num) int {
	return 2*slices.IndexFunc(levels, func(l int64) bool { return unit.Int(l).Equal(v) }) + 1
}

func (p *promela) atom(a *model.Atom) string {
	switch a.Kind {
	case model.AtomSetting:
		return oneOf(p.x(atSetting, a.Index), a.In)
	case model.AtomQuantity:
		return fmt.Sprintf("(%s%s%d)", p.x(atQuantity, a.Index), symbols[a.Cmp], level(a.Value.N))
	case model.AtomReading:
		r := &p.d.Readings[a.Index]
		j := p.electric(model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(p.d.Senders[0].Pin)})
		return fmt.Sprintf("((%[1]s&&%[2]s%[3]s%[4]d)||(!%[1]s&&%[5]d%[3]s%[4]d))", j, p.x(atQuantity, 0), symbols[a.Cmp], level(a.Value.N), level(r.CountsAs.N))
	case model.AtomMemory:
		return oneOf(p.x(atMemory, a.Index), a.In)
	case model.AtomMachine:
		return oneOf(p.x(atMachine, a.Index), a.In)
	case model.AtomTimer:
		return oneOf(p.x(atTimer, a.Index), a.In)
	case model.AtomBeat:
		on := fmt.Sprintf("(%s&&%s==0)", p.cond(p.d.Beats[a.Index].While), p.x(atBeat, a.Index))
		if a.In[0] == 0 {
			return "!" + on
		}
		return on
	case model.AtomEdge:
		now, before := p.cond(p.d.Edges[a.Index].Of), p.x(atEdge, a.Index)
		return fmt.Sprintf([...]string{model.Begins: "(%s&&%s==0)", model.Ends: "(!%s&&%s==1)", model.Stays: "(%s&&%s==1)"}[a.Edge], now, before)
	case model.AtomCondition:
		return p.cond(p.d.Conditions[a.Index].Cond)
	case model.AtomFree:
		return p.x(atFree, slices.Index(p.frees, a.Index)) + "==1"
	case model.AtomFed:
		return "(" + p.fluid(a.Index, false, len(p.d.Ports)) + "&&!" + p.fluid(a.Index, true, len(p.d.Ports)) + ")"
	case model.AtomVented:
		return p.fluid(a.Index, true, len(p.d.Ports))
	}
	return p.electric(*a)
}

// fluid unrolls "joined to an origin", or to air, by so many passages.
func (p *promela) fluid(port int, air bool, depth int) string {
	if air && p.d.Ports[port].OpenToAir {
		return "1"
	}
	var ways []string
	for _, o := range p.d.Origins {
		if !air && int(o.Port) == port {
			ways = append(ways, p.cond(o.Present))
		}
	}
	if depth > 1 {
		for _, h := range p.d.Passages {
			via := func(from model.PortID) {
				if far := p.fluid(int(from), air, depth-1); far != "0" && int(from) != port {
					ways = append(ways, "("+p.cond(h.Open)+"&&"+far+")")
				}
			}
			if int(h.B) == port {
				via(h.A)
			}
			if int(h.A) == port && !h.OneWay {
				via(h.B)
			}
		}
	}
	return joined("||", "0", ways)
}

// electric tries out all combinations of the switches.
func (p *promela) electric(a model.Atom) string {
	q, ok := p.c.Register(a)
	if !ok {
		panic("no question")
	}
	infos := p.c.Switches()
	var ways []string
	for set := range 1 << len(infos) {
		sol, err := p.c.Solve(context.Background(), func(s circuit.Switch) bool { return set>>s&1 == 1 }, circuit.Nominal)
		if err != nil {
			panic(err)
		}
		if yes, err := sol.Answer(context.Background(), q); err != nil {
			panic(err)
		} else if !yes {
			continue
		}
		var lits []string
		for i, s := range infos {
			lit := p.cond(s.Cond)
			if set>>i&1 == 0 {
				lit = "!(" + lit + ")"
			}
			lits = append(lits, lit)
		}
		ways = append(ways, joined("&&", "1", lits))
	}
	return joined("||", "0", ways)
}

// hardware writes all changes that settling can make.
func (p *promela) hardware() {
	p.b.WriteString("do\n")
	change := func(x, when string, to int) { fmt.Fprintf(&p.b, ":: %s && %s!=%d -> %s=%d\n", when, x, to, x, to) }
	for i, m := range p.d.Memories {
		x := p.x(atMemory, i)
		var before []string
		for _, r := range m.Rules {
			from := fmt.Sprintf("%s!=%d", x, r.To)
			if r.From != nil {
				from += "&&" + oneOf(x, r.From)
			}
			here := "(" + from + "&&" + p.cond(r.When) + ")"
			change(x, here+"&&!"+joined("||", "0", before), r.To)
			before = append(before, here)
		}
	}
	for i, m := range p.d.Machines {
		if m.Reset != nil {
			change(p.x(atMachine, i), p.cond(m.Reset), m.Start)
		}
	}
	for i, t := range p.d.Timers {
		x, run, stop := p.x(atTimer, i), p.cond(t.Run), "0"
		if t.Stop != nil {
			stop = p.cond(t.Stop)
		}
		change(x, stop, model.TimerIdle)
		go_, gone := "(!("+stop+")&&"+run+")", "(!("+stop+")&&!("+run+"))"
		switch {
		case t.InLast:
			change(x, go_, model.TimerDone)
			change(x, gone+"&&"+x+"==2", model.TimerRunning)
		case t.Starts:
			change(x, go_+"&&"+x+"==0", model.TimerRunning)
			change(x, gone+"&&"+x+"==2", model.TimerIdle)
		default:
			change(x, go_+"&&"+x+"==0", model.TimerRunning)
			change(x, gone, model.TimerIdle)
		}
	}
	for i := range p.d.Beats {
		change(p.x(atBeat, i), "!("+p.cond(p.d.Beats[i].While)+")", 0)
	}
	p.b.WriteString(":: else -> break\nod;\n")
}

func inC(s string) string { return strings.ReplaceAll(s, "x[", "now.x[") }

// step writes, in C, that all machines take their transitions at once.
func (p *promela) step() {
	p.b.WriteString("c_code { int n[4]; int done;\n")
	for i, m := range p.d.Machines {
		x := p.x(atMachine, i)
		fmt.Fprintf(&p.b, "n[%d]=now.%s; done=0;\n", i, x)
		if m.Reset != nil {
			fmt.Fprintf(&p.b, "if (%s) done=1;\n", inC(p.cond(m.Reset)))
		}
		for _, t := range m.Transitions {
			from := "1"
			if !t.Any {
				from = oneOf(x, t.From)
			}
			fmt.Fprintf(&p.b, "if (!done && %s && %s) { n[%d]=%d; done=1; }\n", inC(from), inC(p.cond(t.When)), i, t.To)
		}
	}
	for i := range p.d.Machines {
		fmt.Fprintf(&p.b, "now.%s=n[%d];\n", p.x(atMachine, i), i)
	}
	p.b.WriteString("now.phase=2; };\n")
}

// design writes everything as the k-th design of a model.
func (p *promela) design(k int) string {
	d := p.d
	set := func(x string, v int) { fmt.Fprintf(&p.b, "%s=%d;\n", x, v) }
	for i, s := range d.Settings {
		set(p.x(atSetting, i), s.Start)
	}
	for i, q := range d.Quantities {
		set(p.x(atQuantity, i), level(q.Start.N))
	}
	for i, m := range d.Memories {
		set(p.x(atMemory, i), m.Start)
	}
	for i, m := range d.Machines {
		set(p.x(atMachine, i), m.Start)
	}
	for i := range p.frees {
		fmt.Fprintf(&p.b, "if :: %[1]s=0 :: %[1]s=1 fi;\n", p.x(atFree, i))
	}
	// What has been moved is remembered, so that a move that must not be made is cut off.
	allowed := func() string {
		out := []string{}
		for _, a := range d.Assumptions {
			if a.Form == model.AssumeNever {
				out = append(out, "!("+p.cond(a.Cond)+")")
			}
		}
		return joined("&&", "1", out)
	}
	fmt.Fprintf(&p.b, "if :: %s :: else -> goto done fi;\nsettle%d:\n", allowed(), k)
	p.hardware()
	fmt.Fprintf(&p.b, "if :: phase==1 ->\n")
	p.step()
	fmt.Fprintf(&p.b, "goto settle%d\n:: else fi;\nc_code {\n", k)
	for i := range d.Edges {
		fmt.Fprintf(&p.b, "now.%s = %s;\n", p.x(atEdge, i), inC(p.cond(d.Edges[i].Of)))
	}
	p.b.WriteString("now.phase=1; { int code=0;\n")
	for i, n := range p.places {
		fmt.Fprintf(&p.b, "code=code*%d+now.x[%d];\n", n, i)
	}
	fmt.Fprintf(&p.b, "hit(%d, code); } };\nif\n:: skip\n", k)
	p.moves(allowed())
	fmt.Fprintf(&p.b, "fi;\ngoto settle%d;\n", k)
	return p.b.String()
}

func (p *promela) moves(allowed string) {
	d := p.d
	input := func(x, when, change string) {
		fmt.Fprintf(&p.b, ":: atomic { %s -> %s; if :: %s :: else -> goto done fi }\n", when, change, allowed)
	}
	for i, s := range d.Settings {
		x := p.x(atSetting, i)
		for from := range s.Positions {
			for to := range s.Positions {
				near := to == from+1 || to == from-1
				if to == from || s.InOrder && !near && !slices.Contains(s.Springs, model.Spring{From: from, To: to}) {
					continue
				}
				when := fmt.Sprintf("%s==%d", x, from)
				for _, a := range d.Assumptions {
					if a.Form == model.AssumeMoves && int(a.Setting) == i && a.Position == to {
						when += "&&" + p.cond(a.Cond)
					}
				}
				input(x, when, fmt.Sprintf("%s=%d", x, to))
			}
		}
	}
	for i := range d.Quantities {
		x := p.x(atQuantity, i)
		falls := fmt.Sprintf("%s>1", x)
		for _, a := range d.Assumptions {
			if a.Form == model.AssumeFalls {
				falls += "&&" + p.cond(a.Cond)
			}
		}
		input(x, falls, x+"--")
		input(x, fmt.Sprintf("%s<%d", x, 2*len(levels)-1), x+"++")
	}
	for i := range p.frees {
		x := p.x(atFree, i)
		input(x, "1", fmt.Sprintf("%s=1-%s", x, x))
	}
	for i, t := range d.Timers {
		to := model.TimerDone
		if t.InLast {
			to = model.TimerIdle
		}
		fmt.Fprintf(&p.b, ":: %[1]s==1 -> %[1]s=%[2]d\n", p.x(atTimer, i), to)
	}
	for i := range d.Beats {
		fmt.Fprintf(&p.b, ":: %[1]s -> %[2]s=1-%[2]s\n", p.cond(d.Beats[i].While), p.x(atBeat, i))
	}
}

// code numbers a state as the model does.
func (p *promela) code(w *world) int {
	n, i := 0, 0
	for _, list := range [][]int{w.settings, w.quantities, w.memories, w.modes, w.timers, w.beats, w.edges, w.free} {
		for _, v := range list {
			n = n*p.places[i] + v
			i++
		}
	}
	return n
}
