package report

import (
	"bufio"
	"fmt"
	"io"
	"math/bits"
	"strconv"
	"strings"

	"pintle/checker/question/drives"
)

// writeVCD writes a recording as a value change dump (IEEE 1364-2005, clause 18, the four-state
// format). Times are in ns. A part of a design is a scope. What has states is a wire: its value is
// the number of the state, and a comment before it names the states; x is a state that is not
// known. What is a number is a real; where it is not known somewhere, a wire beside it is 1 while
// it is. Of what changes more than once at one time the last value stands.
func writeVCD(w io.Writer, title string, c *drives.Recording) error {
	out := bufio.NewWriter(w)
	samples := c.Last()
	d := vcd{Writer: out, c: c, doubt: make([]bool, len(c.Signals))}
	for i := range c.Signals {
		for k := range samples {
			d.doubt[i] = d.doubt[i] || c.Signals[i].Number() && !samples[k].Values[i].Known
		}
	}
	fmt.Fprintf(out, "$version Pintle $end\n$comment %s $end\n$timescale 1 ns $end\n", vcdText(title))
	d.scope("design", d.tree())
	fmt.Fprintf(out, "$enddefinitions $end\n")
	for k := range samples {
		fmt.Fprintf(out, "#%d\n", samples[k].At)
		if k == 0 {
			fmt.Fprintln(out, "$dumpvars")
		}
		for i := range c.Signals {
			if k == 0 || samples[k].Values[i] != samples[k-1].Values[i] {
				d.value(i, samples[k].Values[i])
			}
		}
		if k == 0 {
			fmt.Fprintln(out, "$end")
		}
	}
	return out.Flush()
}

type vcd struct {
	io.Writer
	c     *drives.Recording
	doubt []bool // by signal: it is a number that is not always known
}

// vcdScope is a scope with what is declared in it, in the order of the signals.
type vcdScope struct {
	names  []string // of scopes and signals
	inner  map[string]*vcdScope
	signal map[string]int
}

// tree puts the signals into scopes by their paths.
func (d *vcd) tree() *vcdScope {
	fresh := func() *vcdScope { return &vcdScope{inner: map[string]*vcdScope{}, signal: map[string]int{}} }
	root := fresh()
	for i := range d.c.Signals {
		s := &d.c.Signals[i]
		path := strings.Split(s.Path, ".")
		if s.Kind == drives.OfMeasure {
			path = []string{"shown", s.Path}
		}
		at := root
		for _, name := range path[:len(path)-1] {
			if at.inner[name] == nil {
				if at.inner[name] = fresh(); at.signal[name] == 0 {
					at.names = append(at.names, name)
				}
			}
			at = at.inner[name]
		}
		name := path[len(path)-1]
		for at.signal[name] > 0 { // another of that name, such as a fuse and its link
			name += "_"
		}
		if at.signal[name] = i + 1; at.inner[name] == nil {
			at.names = append(at.names, name)
		}
	}
	return root
}

// scope writes a scope. A signal that has the name of a scope beside it, as a controller's power
// has, stands in that scope: in one scope a name is declared once.
func (d *vcd) scope(name string, s *vcdScope, own ...int) {
	fmt.Fprintf(d, "$scope module %s $end\n", vcdName(name))
	for _, i := range own {
		d.declare(name, i)
	}
	for _, n := range s.names {
		i, inner := s.signal[n], s.inner[n]
		switch {
		case inner == nil:
			d.declare(n, i-1)
		case i > 0:
			d.scope(n, inner, i-1)
		default:
			d.scope(n, inner)
		}
	}
	fmt.Fprintln(d, "$upscope $end")
}

func (d *vcd) declare(name string, i int) {
	s := &d.c.Signals[i]
	if s.Number() {
		fmt.Fprintf(d, "$comment %s: %s in %s $end\n", vcdText(s.Path), s.Kind, vcdText(s.Unit.Symbol))
		fmt.Fprintf(d, "$var real 64 %s %s $end\n", vcdCode(2*i), vcdName(name))
		if d.doubt[i] {
			fmt.Fprintf(d, "$var wire 1 %s %s $end\n", vcdCode(2*i+1), vcdName(name+"_known"))
		}
		return
	}
	states := make([]string, len(s.States))
	for k, state := range s.States {
		states[k] = strconv.Itoa(k) + " " + state
	}
	fmt.Fprintf(d, "$comment %s: %s, %s $end\n", vcdText(s.Path), s.Kind, vcdText(strings.Join(states, ", ")))
	size := vcdSize(s)
	vector := ""
	if size > 1 {
		vector = fmt.Sprintf(" [%d:0]", size-1)
	}
	fmt.Fprintf(d, "$var wire %d %s %s%s $end\n", size, vcdCode(2*i), vcdName(name), vector)
}

// vcdSize is how many bits hold the number of a state.
func vcdSize(s *drives.Signal) int { return max(1, bits.Len(uint(max(0, len(s.States)-1)))) }

func (d *vcd) value(i int, v drives.Value) {
	s := &d.c.Signals[i]
	switch size := vcdSize(s); {
	case s.Number():
		fmt.Fprintf(d, "r%s %s\n", strconv.FormatFloat(v.Number, 'g', 16, 64), vcdCode(2*i))
		if d.doubt[i] {
			known := 0
			if v.Known {
				known = 1
			}
			fmt.Fprintf(d, "%d%s\n", known, vcdCode(2*i+1))
		}
	case !v.Known && size == 1:
		fmt.Fprintf(d, "x%s\n", vcdCode(2*i))
	case !v.Known:
		fmt.Fprintf(d, "bx %s\n", vcdCode(2*i))
	case size == 1:
		fmt.Fprintf(d, "%d%s\n", v.State, vcdCode(2*i))
	default:
		fmt.Fprintf(d, "b%b %s\n", v.State, vcdCode(2*i))
	}
}

// vcdCode is the n-th identifier code: printable characters of ASCII, `!` to `~`.
func vcdCode(n int) string {
	const first, count = '!', '~' - '!' + 1
	var out []byte
	for {
		out = append(out, byte(first+n%count))
		if n = n/count - 1; n < 0 {
			return string(out)
		}
	}
}

// vcdName is a name as an identifier: a simple one, or one that is escaped, which begins with a
// backslash and holds any printable characters of ASCII.
func vcdName(name string) string {
	simple := name != ""
	out := []byte{}
	for i, r := range name {
		letter := r == '_' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
		simple = simple && (letter || i > 0 && r >= '0' && r <= '9')
		if r <= ' ' || r > '~' {
			r = '_'
		}
		out = append(out, byte(r))
	}
	if simple {
		return name
	}
	return "\\" + string(out)
}

// vcdText is a text for a comment: ASCII, without what would end it.
func vcdText(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || r == '$' {
			return '?'
		}
		return r
	}, s)
}
