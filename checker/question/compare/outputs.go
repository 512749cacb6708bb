package compare

import (
	"pintle/checker/question/ask"
	"pintle/lang/model"
)

// output is something that a design of a side does, in one of several ways.
type output struct {
	kind  string // see ask.Output
	path  string
	table table
	index int // in the table
	ways  []wayOut
}

// wayOut is one of the ways. Of those of one output exactly one is so at any time.
type wayOut struct {
	name string // as one says it after "is": "turning", "off"
	cond *model.Cond
	seen *model.Cond // the same in the design without memories of its fuses, as a drive sees it
}

// outputs lists what the design of a side does.
func (s *side) outputs() []output {
	out := outputsOf(s.d)
	for i, o := range outputsOf(s.p.Design) {
		for k := range o.ways {
			out[i].ways[k].seen = o.ways[k].cond
		}
	}
	return out
}

// tableOf is where the outputs of a kind stand.
var tableOf = map[string]table{
	"result": results, "modes": machines, "load": loads, "driver": drivers, "coil": memories, "fuse": fuses, "port": ports,
}

// outputsOf lists what a design does.
func outputsOf(d *model.Design) []output {
	var out []output
	for _, o := range ask.Outputs(d) {
		x := output{kind: o.Kind, path: o.Path, table: tableOf[o.Kind], index: o.Index}
		for _, w := range o.Ways {
			x.ways = append(x.ways, wayOut{name: w.Name, cond: w.Cond})
		}
		out = append(out, x)
	}
	return out
}
