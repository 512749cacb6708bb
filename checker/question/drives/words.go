package drives

import (
	"math"

	"pintle/checker/engine/scenario"
	"pintle/lang/model"
)

// Moves are what a step moves, in the order in which it is done, in the words of the language.
func Moves(d *model.Design, st *model.Step) (out []string) {
	for _, a := range st.Faults {
		out = append(out, scenario.FaultWords(&a))
	}
	for _, a := range st.Sets {
		switch {
		case a.Setting != model.None:
			s := &d.Settings[a.Setting]
			out = append(out, "set "+s.Path+" "+s.Positions[a.Position])
		case a.Quantity != model.None:
			out = append(out, "set "+d.Quantities[a.Quantity].Path+" "+a.Value.String())
		case a.Supply != model.None:
			out = append(out, "set "+d.Supplies[a.Supply].Path+" "+a.Value.String())
		}
	}
	for _, r := range st.Ramps {
		out = append(out, "ramp "+d.Quantities[r.Quantity].Path+" to "+r.To.String()+" over "+scenario.Clocktime(ns(r.Seconds)))
	}
	if st.Wait > 0 {
		out = append(out, "wait "+scenario.Clocktime(ns(st.Wait)))
	}
	return out
}

func ns(seconds float64) int64 { return int64(math.Round(seconds * 1e9)) }
