package report

import (
	"fmt"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/lang/unit"
)

// elseOn is what the current of a short depends on.
const elseOn = "what else is switched on"

// ampsOf says the current of a short, and what it depends on.
func ampsOf(c *fault.ShortCurrent, on string) string {
	least, most := unit.Format(c.Least, unit.Current), unit.Format(c.Most, unit.Current)
	if least == most {
		return most
	}
	return least + " to " + most + ", depending on " + on
}

// opensOf says which fuse opens first for a short.
func opensOf(c *fault.ShortCurrent) string {
	switch {
	case len(c.Opens) == 0 && len(c.Fuses) == 0:
		return "no fuse in its path"
	case len(c.Opens) == 0:
		return "no fuse surely opens"
	}
	said := strings.Join(c.Opens, " or ") + " opens first"
	if len(c.Opens) > 1 {
		said += ", not selective"
	}
	if c.Unsure {
		said += ", in some states none surely does"
	}
	return said
}

// fusesOf lists the fuses in the path of a short with the multiples of their ratings.
func fusesOf(c *fault.ShortCurrent) string {
	var out []string
	for _, f := range c.Fuses {
		out = append(out, fmt.Sprintf("%s (%s) x%.2g", f.Path, unit.Format(f.Rating, unit.Current), f.Most))
	}
	return strings.Join(out, " ")
}

// protectionText writes the table of what protects each wire.
func protectionText(line func(int, string, ...any), rows []fault.WireProtection) {
	if len(rows) == 0 {
		return
	}
	line(0, "protection of wires against a short to ground at either end, at nominal values:")
	for i := range rows {
		r := &rows[i]
		name := r.Wire
		if r.Area > 0 {
			name += fmt.Sprintf(", %.4g mm2", r.Area)
		}
		if r.Most == 0 {
			line(2, "%s: undecided: %s", name, r.Why)
			continue
		}
		line(2, "%s: %s", name, ampsOf(&r.ShortCurrent, "the end and "+elseOn))
		line(6, "%s", opensOf(&r.ShortCurrent))
		for _, f := range r.Fuses {
			times := fmt.Sprintf("%.2g", f.Most)
			if least := fmt.Sprintf("%.2g", f.Least); least != times {
				times = least + " to " + times
			}
			line(6, "%s, %s: carries %s times its rating", f.Path, unit.Format(f.Rating, unit.Current), times)
		}
		if r.Why != "" {
			line(6, "in part undecided: %s", r.Why)
		}
	}
}

type wireJSON struct {
	Wire      string         `json:"wire"`
	Area      float64        `json:"mm2,omitempty"`
	Least     float64        `json:"short_amps_least,omitempty"`
	Most      float64        `json:"short_amps,omitempty"`
	Fuses     []wireFuseJSON `json:"fuses,omitempty"`
	Opens     []string       `json:"fuse_opens,omitempty"`
	Selective bool           `json:"selective"`
	Unsure    bool           `json:"may_not_open"`
	Undecided string         `json:"undecided,omitempty"`
}

type wireFuseJSON struct {
	Fuse   string  `json:"fuse"`
	Rating float64 `json:"rating_amps"`
	Least  float64 `json:"times_rating_least"`
	Most   float64 `json:"times_rating"`
}

func wiresJSON(rows []fault.WireProtection) (out []wireJSON) {
	for i := range rows {
		r := &rows[i]
		j := wireJSON{
			Wire: r.Wire, Area: r.Area, Least: r.Least, Most: r.Most, Opens: r.Opens,
			Selective: r.Selective(), Unsure: r.Unsure, Undecided: r.Why,
		}
		for _, f := range r.Fuses {
			j.Fuses = append(j.Fuses, wireFuseJSON{f.Path, f.Rating, f.Least, f.Most})
		}
		out = append(out, j)
	}
	return out
}
