package wiring

import (
	"fmt"

	"pintle/checker/circuit"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// rating is what a wire may carry.
type rating struct {
	amps float64
	from string // in words: where the number comes from
	// most: it is less than that; the wire is of a size beyond the table.
	most bool
}

// rated is what a wire may carry, as stated or by the table of the settings. ok is false
// where its cross-section is not stated: a default says nothing about the vehicle.
//
// Of a size beyond the table no more is said than is certain: a thinner wire carries less
// than the thinnest one of the table, and in a thicker one than the thickest the current
// for each mm2 is less than in that, since its surface does not grow as its section does.
func (v *view) rated(w *model.Wire) (r rating, ok bool) {
	if w.Rated > 0 {
		return rating{amps: w.Rated, from: "as stated"}, true
	}
	table := v.table()
	if !w.AreaSet || len(table.Rows) == 0 {
		return rating{}, false
	}
	size := unit.Format(w.Area, unit.Area)
	if amps, ok := table.Amps(w.Area); ok {
		return rating{amps: amps, from: size + " by " + table.Source}, true
	}
	first, last := table.Rows[0], table.Rows[len(table.Rows)-1]
	if w.Area < first.Area {
		return rating{amps: first.Amps, from: fmt.Sprintf("%s, below the %s of %s", size, unit.Format(first.Area, unit.Area), table.Source), most: true}, true
	}
	return rating{amps: last.Amps * w.Area / last.Area, from: fmt.Sprintf("%s, beyond the %s of %s", size, unit.Format(last.Area, unit.Area), table.Source), most: true}, true
}

func (r rating) String() string {
	text := unit.Format(r.amps, unit.Current)
	if r.most {
		return "less than " + text
	}
	return text
}

// table is the one that the settings choose.
func (v *view) table() circuit.Ampacity {
	if rows := v.p.Limits.WireAmps; len(rows) > 0 {
		t := circuit.Ampacity{Source: "the table of the settings"}
		for _, r := range rows {
			t.Rows = append(t.Rows, circuit.AmpacityRow{Area: r.Area, Amps: r.Amps})
		}
		return t
	}
	return circuit.ThinWall()
}
