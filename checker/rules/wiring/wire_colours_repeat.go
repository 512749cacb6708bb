package wiring

import (
	"fmt"
	"strings"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func wireColoursRepeat() rule.Rule {
	return rule.Rule{
		Name:     "wire-colours-repeat",
		Severity: diag.Warning,
		Summary:  "two wires of one colour in one half of a connector",
		Why:      "whoever mends this plug can't tell which wire goes into which way",
		Doc:      pages.Of("wire-colours-repeat"),
		Source:   "common practice",
		Needs:    rule.Circuit,
		Run:      findRepeatedColours,
	}
}

func findRepeatedColours(p *rule.Pass) {
	v := look(p)
	l := looms.Of(p)
	for i := range v.d.Connectors {
		k := &v.d.Connectors[i]
		if k.Broken || len(k.WayElem) < k.Ways {
			continue
		}
		for half := range 2 {
			byColour := map[string][]end{}
			var colours []string
			for n := range v.d.Nodes {
				node := &v.d.Nodes[n]
				if node.Connector != model.ConnectorID(i) || node.Half != half {
					continue
				}
				for _, w := range l.wires[n] {
					wire := &v.d.Wires[w]
					if wire.Colour == "" || wire.Broken {
						continue
					}
					if byColour[wire.Colour] == nil {
						colours = append(colours, wire.Colour)
					}
					byColour[wire.Colour] = append(byColour[wire.Colour], end{wire, model.NodeID(n)})
				}
			}
			for _, c := range colours {
				if ends := byColour[c]; v.confused(k, ends) {
					v.reportColour(k, c, ends)
				}
			}
		}
	}
}

// end is a wire where it goes into a way.
type end struct {
	wire *model.Wire
	way  model.NodeID
}

// confused reports whether changing two of some wires over would change anything: not where
// they lead to one place on either side of the connector, or sit in one way.
func (v *view) confused(k *model.Connector, ends []end) bool {
	if len(ends) < 2 {
		return false
	}
	net := netsOf(v.d, func(id model.ElementID) bool {
		e := &v.d.Elements[id]
		return e.Type == model.ElemWire || e.Type == model.ElemConnector && &v.d.Connectors[e.Of] != k
	})
	behind := func(way model.NodeID) model.NodeID {
		e := &v.d.Elements[k.WayElem[v.d.Nodes[way].Way-1]]
		return e.A + e.B - way
	}
	for i, a := range ends {
		for _, b := range ends[:i] {
			if a.way != b.way && net(far(a.wire, a.way)) != net(far(b.wire, b.way)) && net(behind(a.way)) != net(behind(b.way)) {
				return true
			}
		}
	}
	return false
}

func (v *view) reportColour(k *model.Connector, colour string, ends []end) {
	var names []string
	f := diag.Finding{
		Place:   evidence.Site(v.d, &k.Info),
		Subject: k.Path,
		Help:    "give one of them another colour or a stripe",
	}
	for _, e := range ends {
		names = append(names, e.wire.Path)
		f.Related = append(f.Related, diag.Related{
			Place: evidence.Site(v.d, &e.wire.Info), Note: fmt.Sprintf("%s, way %d", colour, v.d.Nodes[e.way].Way),
		})
	}
	last := len(names) - 1
	f.Message = fmt.Sprintf("%s has %s and %s, all %s", k.Path, strings.Join(names[:last], ", "), names[last], colour)
	if last == 1 {
		f.Message = fmt.Sprintf("%s has %s and %s, both %s", k.Path, names[0], names[1], colour)
	}
	v.p.Report(f)
}
