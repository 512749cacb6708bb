package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func bridged() rule.Rule {
	return rule.Rule{
		Name:     "bridged",
		Severity: diag.Warning,
		Summary:  "a fuse, contact, diode or resistor whose two ends are joined by wires",
		Why:      "the current takes the wire: the fuse protects nothing, and the contact switches nothing",
		Doc:      pages.Of("bridged"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			d := p.Design
			if len(d.Incomplete) > 0 {
				return
			}
			by := wiresBetween(d)
			for i := range d.Elements {
				e := &d.Elements[i]
				if e.Broken || e.Sometimes || e.A == e.B || d.Nodes[e.A].Broken || d.Nodes[e.B].Broken || d.Elsewhere(&e.Info) {
					continue
				}
				what := ""
				switch e.Type {
				case model.ElemFuse:
					what = "it protects nothing"
				case model.ElemContact:
					what = "it switches nothing"
				case model.ElemDiode:
					what = "it blocks nothing"
				case model.ElemResistor:
					what = "nothing runs through it"
				default:
					continue
				}
				way := by.way(e.A, e.B)
				if way == nil {
					continue
				}
				f := diag.Finding{
					Place:   evidence.Site(d, &e.Info),
					Subject: e.Path,
					Message: fmt.Sprintf("%s is bridged by %s: %s", e.Path, named(d, way), what),
					Help:    "lead the wire to where it should end, not to the other side of what it bridges",
				}
				for _, id := range way {
					f.Related = append(f.Related, diag.Related{Place: evidence.Site(d, &d.Elements[id].Info), Note: "part of the bridge"})
				}
				p.Report(f)
			}
		},
	}
}

// bridges are the wires and connector ways at each node.
type bridges struct {
	d  *model.Design
	at [][]model.ElementID
	// piece numbers what wires join, so that most questions need no search.
	piece []int
}

func wiresBetween(d *model.Design) *bridges {
	b := &bridges{d: d, at: make([][]model.ElementID, len(d.Nodes)), piece: make([]int, len(d.Nodes))}
	for i := range d.Elements {
		e := &d.Elements[i]
		if !e.Broken && (e.Type == model.ElemWire || e.Type == model.ElemConnector) && e.Closed == nil {
			b.at[e.A], b.at[e.B] = append(b.at[e.A], model.ElementID(i)), append(b.at[e.B], model.ElementID(i))
		}
	}
	for n := range b.piece {
		if b.piece[n] != 0 {
			continue
		}
		b.piece[n] = n + 1
		for queue := []model.NodeID{model.NodeID(n)}; len(queue) > 0; queue = queue[1:] {
			for _, id := range b.at[queue[0]] {
				if next := d.Elements[id].A + d.Elements[id].B - queue[0]; b.piece[next] == 0 {
					b.piece[next] = n + 1
					queue = append(queue, next)
				}
			}
		}
	}
	return b
}

// way is the shortest way over wires from one node to another, nil if there is none.
func (b *bridges) way(from, to model.NodeID) []model.ElementID {
	if b.piece[from] != b.piece[to] {
		return nil
	}
	came := map[model.NodeID]model.ElementID{from: model.None}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		for _, id := range b.at[queue[0]] {
			next := b.d.Elements[id].A + b.d.Elements[id].B - queue[0]
			if _, seen := came[next]; !seen {
				came[next] = id
				queue = append(queue, next)
			}
		}
	}
	var out []model.ElementID
	for n := to; n != from; {
		id := came[n]
		out = append(out, id)
		n = b.d.Elements[id].A + b.d.Elements[id].B - n
	}
	return out
}

// named lists up to three elements of a way.
func named(d *model.Design, way []model.ElementID) string {
	out := d.Elements[way[0]].Path
	for i, id := range way[1:] {
		switch {
		case i == 2 && len(way) > 3:
			return out + fmt.Sprintf(" and %d more", len(way)-3)
		case i == len(way)-2:
			out += " and " + d.Elements[id].Path
		default:
			out += ", " + d.Elements[id].Path
		}
	}
	return out
}
