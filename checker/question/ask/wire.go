package ask

import (
	"fmt"

	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Rating is what a wire may carry.
type Rating struct {
	Amps   float64
	From   string // in words: what the number comes from
	Source string // of the table that it stands in, empty for one that is stated
	// Most: it is less than that; the wire is of a size beyond the table.
	Most bool
}

// String is the current, in words where it is only a bound: "less than 8 A".
func (r Rating) String() string {
	text := unit.Format(r.Amps, unit.Current)
	if r.Most {
		return "less than " + text
	}
	return text
}

// MayCarry is what a wire may carry, as stated or by the table of the settings. ok is false
// where its cross-section is not stated: a default says nothing about the vehicle.
//
// Of a size beyond the table no more is said than is certain: a thinner wire carries less
// than the thinnest one of the table, and in a thicker one than the thickest the current
// for each mm2 is less than in that, since its surface does not grow as its section does.
func MayCarry(p *rule.Pass, w *model.Wire) (r Rating, ok bool) {
	if w.Rated > 0 {
		return Rating{Amps: w.Rated, From: "as stated"}, true
	}
	table := p.Ampacity()
	if !w.AreaSet || len(table.Rows) == 0 {
		return Rating{}, false
	}
	size := unit.Format(w.Area, unit.Area)
	if amps, ok := table.Amps(w.Area); ok {
		return Rating{Amps: amps, From: size, Source: table.Source}, true
	}
	first, last := table.Rows[0], table.Rows[len(table.Rows)-1]
	if w.Area < first.Area {
		return Rating{Amps: first.Amps, From: fmt.Sprintf("%s, below the %s of the table", size, unit.Format(first.Area, unit.Area)), Source: table.Source, Most: true}, true
	}
	return Rating{Amps: last.Amps * w.Area / last.Area, From: fmt.Sprintf("%s, beyond the %s of the table", size, unit.Format(last.Area, unit.Area)), Source: table.Source, Most: true}, true
}
