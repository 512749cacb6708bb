package circuits

import (
	"fmt"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// loosePin is the one pin without a wire that the end of a consumer leads to, over all that could
// carry its current on: metal, diodes that look that way, resistors and other consumers. It is
// None where there is no such pin, or more than one. At metal that is barred, that of the other
// pole, a way ends.
func (s *starvation) loosePin(c *consumer, end model.NodeID, earth bool, bar []bool) (pin model.NodeID, way diag.Evidence) {
	pin = model.None
	via := map[model.NodeID]model.ElementID{end: model.None}
	for queue := []model.NodeID{end}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if bar[n] {
			continue
		}
		if n != end && consequence.BarePin(s.p, n) {
			if pin != model.None {
				return model.None, way
			}
			pin = n
		}
		for _, id := range s.at[n] {
			e := &s.d.Elements[id]
			if id == c.element || e.Type == model.ElemDiode && (n == e.A) != earth {
				continue
			}
			if y := e.A + e.B - n; y != n {
				if _, seen := via[y]; !seen {
					via[y] = id
					queue = append(queue, y)
				}
			}
		}
	}
	if pin != model.None {
		way = s.wayFrom(end, pin, via)
	}
	return pin, way
}

// mostTurned bounds how many diodes are tried the other way round for one consumer.
const mostTurned = 4

// turned is a diode near a consumer that never has a current, with which turned round it would
// act; None where there is none. Each is tried, the nearest first.
func (s *starvation) turned(c *consumer) model.ElementID {
	if c.element == model.None {
		return model.None
	}
	tried := 0
	seen := map[model.NodeID]bool{c.a: true, c.b: true}
	looked := map[model.ElementID]bool{}
	for queue := []model.NodeID{c.a, c.b}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == s.d.Ground {
			continue
		}
		for _, id := range s.at[n] {
			e := &s.d.Elements[id]
			if looked[id] {
				continue
			}
			looked[id] = true
			if e.Type == model.ElemDiode && !e.Broken && !evidence.OfPart(s.d, &e.Info) {
				if tried++; tried > mostTurned {
					return model.None
				}
				if s.with(c, func(d *model.Design) { d.Elements[id].A, d.Elements[id].B = e.B, e.A }) {
					return id
				}
			}
			if y := e.A + e.B - n; !seen[y] && (e.Metal || e.Type == model.ElemDiode || e.Type == model.ElemResistor) {
				seen[y] = true
				queue = append(queue, y)
			}
		}
	}
	return model.None
}

// blocks tells of a diode that stands against the current of a consumer.
func (s *starvation) blocks(f *diag.Finding, id model.ElementID) {
	e := &s.d.Elements[id]
	f.Message += fmt.Sprintf(": %s lets no current through this way", e.Path)
	f.Help = fmt.Sprintf("turn %s round: it conducts from %s to %s only", e.Path, s.d.Nodes[e.A].Path, s.d.Nodes[e.B].Path)
	f.Related = []diag.Related{{Place: e.Place, Note: "blocks"}}
	if e.Type == model.ElemDiode {
		f.Fixes = evidence.TurnRound(s.d, &e.Info)
	}
}
