package circuits

import (
	"fmt"
	"math"
	"strings"

	"pintle/checker/circuit"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func inAmps(x float64) string  { return unit.Format(math.Abs(x), unit.Current) }
func inVolts(x float64) string { return unit.Format(math.Abs(x), unit.Voltage) }

// pathOf tells a way of a current, element by element.
func (v *view) pathOf(title string, way []circuit.Step) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Path, Title: title}
	for _, st := range way {
		e := &v.d.Elements[st.Element]
		from, to := e.A, e.B
		if st.Reverse {
			from, to = to, from
		}
		text := fmt.Sprintf("%s: %s to %s, %s", e.Path, v.d.Nodes[from].Path, v.d.Nodes[to].Path, inAmps(st.Amps))
		if _, consumes := v.byElement[st.Element]; consumes && st.Reverse {
			text += ", backwards"
		}
		ev.Lines = append(ev.Lines, diag.Line{Text: text, Place: e.Place})
	}
	return ev
}

// metalOf tells a way through metal that starts at a node, element by element.
func (v *view) metalOf(title string, from model.NodeID, way []model.ElementID) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Path, Title: title}
	for _, id := range way {
		e := &v.d.Elements[id]
		to := e.B
		if from == e.B {
			to = e.A
		}
		ev.Lines = append(ev.Lines, diag.Line{
			Text: fmt.Sprintf("%s: %s to %s", e.Path, v.d.Nodes[from].Path, v.d.Nodes[to].Path), Place: e.Place,
		})
		from = to
	}
	return ev
}

// moves tells how a state is come to; nothing where it is so from the start.
func moves(title string, t *system.Trace) []diag.Evidence {
	if t == nil {
		return nil
	}
	lines := t.Lines()
	if len(lines) == 0 {
		lines = []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	return []diag.Evidence{{Kind: diag.Trace, Title: title, Lines: lines}}
}

func values(title string, lines ...diag.Line) diag.Evidence {
	return diag.Evidence{Kind: diag.Values, Title: title, Lines: lines}
}

func line(i *model.Info, format string, args ...any) diag.Line {
	return diag.Line{Text: fmt.Sprintf(format, args...), Place: i.Place}
}

// voltsOf tells what stands across consumers in a state.
func (s *state) voltsOf(cs []*consumer) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Values, Title: "what they get"}
	for _, c := range cs {
		u := volts(s.Solution, c)
		text := fmt.Sprintf("%s: %s", c.Path, inVolts(u))
		if c.element != model.None {
			text += ", " + inAmps(s.Amps(c.element))
		}
		if c.load != nil {
			text += fmt.Sprintf(", %.0f %% of its rated %s", 100*math.Abs(u)/c.rated, inVolts(c.rated))
		}
		ev.Lines = append(ev.Lines, diag.Line{Text: text, Place: c.Place})
	}
	return ev
}

// level says in words what a load does at so many volts.
func (c *consumer) level(u float64) string {
	if c.load == nil {
		return "acts"
	}
	best := -1
	for i, l := range c.load.Levels {
		if l.Percent/100*c.load.Rated <= math.Abs(u)+1e-9 && (best < 0 || l.Percent > c.load.Levels[best].Percent) {
			best = i
		}
	}
	if best < 0 {
		return fmt.Sprintf("gets %s", inVolts(u))
	}
	if name := c.load.Levels[best].Name; !strings.HasSuffix(name, "s") {
		return "is " + name
	} else {
		return name // a verb: "glows"
	}
}

// list joins words: "a", "a and b", "a, b and c".
func list(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

func paths(cs []*consumer) []string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = c.Path
	}
	return out
}

func abs(x float64) float64 { return math.Abs(x) }
