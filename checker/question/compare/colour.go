package compare

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"pintle/lang/model"
)

// painting gives the things of a design colours by what they are and what they are joined to.
type painting struct {
	d      *model.Design
	things map[string][]thing // by path: a contact, for example, is an element, too
	paths  []string           // each once
	order  map[string]int     // of the paths
	colour map[string]string
	fixed  map[string]bool // paired already
	at     map[model.NodeID][]model.ElementID
	inner  map[string][]string // what belongs to a thing
	users  map[string][]string // what speaks of a thing
	asking string              // whose sign is being read for the first time
}

type thing struct {
	table
	index int
	info  *model.Info
}

func newPainting(d *model.Design) *painting {
	p := &painting{d: d, things: map[string][]thing{}, order: map[string]int{}, colour: map[string]string{}, fixed: map[string]bool{},
		at: map[model.NodeID][]model.ElementID{}, inner: map[string][]string{}, users: map[string][]string{}}
	for t := range tables {
		for i, info := range infos(d, t) {
			if _, known := p.things[info.Path]; !known {
				p.order[info.Path] = len(p.paths)
				p.paths = append(p.paths, info.Path)
				p.inner[outer(info.Path)] = append(p.inner[outer(info.Path)], info.Path)
			}
			p.things[info.Path] = append(p.things[info.Path], thing{t, i, info})
		}
	}
	for i := range d.Elements {
		e := &d.Elements[i]
		p.at[e.A] = append(p.at[e.A], model.ElementID(i))
		p.at[e.B] = append(p.at[e.B], model.ElementID(i))
	}
	for _, path := range p.paths {
		p.asking = path
		p.sign(path)
	}
	p.asking = ""
	return p
}

// begin colours what both designs have by its name.
func (p *painting) begin(other *painting) {
	for _, path := range p.paths {
		if _, both := other.things[path]; both {
			p.settle(path, "= "+path)
			continue
		}
		p.colour[path] = "?"
		if outer(path) != "" { // what belongs to a thing mostly keeps its own name
			p.colour[path] += p.things[path][0].info.Name
		}
	}
}

func (p *painting) settle(path, colour string) { p.colour[path], p.fixed[path] = colour, true }

// open lists the things that are not paired, by colour.
func (p *painting) open() map[string][]string {
	out := map[string][]string{}
	for _, path := range p.paths {
		if !p.fixed[path] {
			out[p.colour[path]] = append(out[p.colour[path]], path)
		}
	}
	return out
}

// mostDeep bounds how far away something may lie by which two things differ.
const mostDeep = 16

// refine colours anew by the colours of neighbours, until no more are told apart.
func (p *painting) refine() {
	before := 0
	for range mostDeep {
		next, kinds := map[string]string{}, map[string]bool{}
		for _, path := range p.paths {
			if p.fixed[path] {
				next[path] = p.colour[path]
				continue
			}
			sum := sha256.Sum256([]byte(p.colour[path] + "\n" + p.sign(path)))
			next[path] = hex.EncodeToString(sum[:8])
			kinds[next[path]] = true
		}
		p.colour = next
		if len(kinds) == before || len(kinds) == 0 {
			return
		}
		before = len(kinds)
	}
}

// name is a path or a text in which paths are replaced by their colours.
func (p *painting) name(text string) string {
	return replacePaths(text, func(path string) string {
		if _, is := p.things[path]; is && p.asking != "" && p.asking != path && !slices.Contains(p.users[path], p.asking) {
			p.users[path] = append(p.users[path], p.asking)
		}
		if c, ok := p.colour[path]; ok {
			return c
		}
		return path
	})
}

func (p *painting) words(cs ...*model.Cond) string {
	var out []string
	for _, c := range cs {
		out = append(out, p.name(p.d.Words(c)))
	}
	return strings.Join(out, "; ")
}

func (p *painting) node(n model.NodeID) string {
	if n == model.None {
		return "none"
	}
	return p.colour[p.d.Nodes[n].Path]
}

// sign is what a thing is and what it is joined to, in colours.
func (p *painting) sign(path string) string {
	var out []string
	for _, t := range p.things[path] {
		out = append(out, fmt.Sprint(t.table, " ", t.info.Kind, " ", p.signOf(t)))
	}
	var in []string
	for _, i := range p.inner[path] {
		in = append(in, p.colour[i])
	}
	slices.Sort(in)
	var by []string
	for _, u := range p.users[path] {
		by = append(by, p.colour[u])
	}
	slices.Sort(by)
	return strings.Join(out, "\n") + "\nin " + p.colour[outer(path)] + "\nof " + strings.Join(in, " ") + "\nfor " + strings.Join(by, " ")
}

func (p *painting) signOf(t thing) string {
	d, i := p.d, t.index
	switch t.table {
	case settings:
		s := &d.Settings[i]
		return fmt.Sprint(s.Positions, s.InOrder, s.Springs, s.Start)
	case quantities:
		q := &d.Quantities[i]
		return fmt.Sprint(q.Lo, q.Hi, q.Start, q.Rate)
	case nodes:
		var list []string
		for _, e := range p.at[model.NodeID(i)] {
			list = append(list, fmt.Sprint(p.colour[d.Elements[e].Path], d.Elements[e].A == model.NodeID(i)))
		}
		slices.Sort(list)
		return strings.Join(list, " ")
	case elements:
		e := &d.Elements[i]
		return fmt.Sprint(e.Type, " ", p.node(e.A), " ", p.node(e.B), " ", p.words(e.Closed))
	case memories:
		var cs []*model.Cond
		for _, rule := range d.Memories[i].Rules {
			cs = append(cs, rule.When)
		}
		return fmt.Sprint(d.Memories[i].States, d.Memories[i].Start, p.words(cs...))
	case machines:
		m := &d.Machines[i]
		var cs []*model.Cond
		var modes []string
		for _, tr := range m.Transitions {
			cs = append(cs, tr.When)
		}
		for k := range m.Modes {
			modes = append(modes, m.Modes[k].Name)
		}
		return fmt.Sprint(modes, m.Start, p.words(cs...))
	case timers:
		v := &d.Timers[i]
		return fmt.Sprint(v.Starts, v.InLast, len(v.Cases), p.words(v.Run, v.Stop))
	case beats:
		return fmt.Sprint(d.Beats[i].On, d.Beats[i].Off, p.words(d.Beats[i].While))
	case results:
		var cs []*model.Cond
		var rows []string
		for _, row := range d.Results[i].Rows {
			cs, rows = append(cs, row.When), append(rows, row.Name)
		}
		return fmt.Sprint(rows, p.words(cs...))
	case conditions:
		return p.words(d.Conditions[i].Cond)
	case requirements:
		q := &d.Requirements[i]
		return fmt.Sprint(q.Form, q.Seconds, q.Text, p.words(q.A, q.B))
	case ports:
		var list []string
		for k := range d.Passages {
			if x := &d.Passages[k]; x.A == model.PortID(i) || x.B == model.PortID(i) {
				list = append(list, fmt.Sprint(p.colour[x.Path], x.A == model.PortID(i)))
			}
		}
		slices.Sort(list)
		return d.Ports[i].Medium + strings.Join(list, " ")
	case passages:
		x := &d.Passages[i]
		return fmt.Sprint(p.colour[d.Ports[x.A].Path], " ", p.colour[d.Ports[x.B].Path], p.words(x.Open))
	case drivers:
		return p.node(d.Drivers[i].Pin) + p.words(d.Drivers[i].When)
	case readings:
		return p.node(d.Readings[i].Pin)
	case senders:
		if q := d.Senders[i].Quantity; q != model.None {
			return p.node(d.Senders[i].Pin) + p.name(d.Quantities[q].Path)
		}
	case assumptions:
		return fmt.Sprint(d.Assumptions[i].Form, p.words(d.Assumptions[i].Cond))
	case fits:
		return d.Fits[i].Part
	}
	return ""
}
