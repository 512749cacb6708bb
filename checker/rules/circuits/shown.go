package circuits

import (
	"fmt"
	"math"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

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

// voltsOf reports what stands across consumers in a state.
func (s *state) voltsOf(cs []*consumer) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Values, Title: "what they get"}
	for _, c := range cs {
		u := volts(s.Solution, c)
		line := evidence.Line(c.Info, "%s: %s", c.Path, s.across(c))
		if c.element != model.None {
			amps := s.Through(c.element)
			line.Text += ", " + amps.Text
			line.Numbers = append(line.Numbers, amps)
		}
		if c.load != nil {
			line.Text += fmt.Sprintf(", %.0f %% of its rated %s", 100*math.Abs(u)/c.rated, evidence.Volts(c.rated))
		}
		ev.Lines = append(ev.Lines, line)
	}
	return ev
}

// across is what stands across a consumer.
func (s *state) across(c *consumer) diag.Number { return s.Over(c.a, c.b) }

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
		return fmt.Sprintf("gets %s", evidence.Volts(u))
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
