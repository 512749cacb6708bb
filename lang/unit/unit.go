package unit

import (
	"fmt"
	"slices"
)

// Unit is a unit of measurement from the table of this package. Units are
// obtained from [Lookup], [Suggest], [Units] or [Dim.Base] and compared with
// ==. The zero value is the unit of a bare number.
type Unit struct {
	// Symbol is the canonical spelling; a gauge or absolute pressure includes
	// that word: "kPa gauge". It is empty for a bare number.
	Symbol string
	// Dim is what the unit measures.
	Dim Dim
	// id is the place in the table, 0 for a bare number.
	id uint8
}

// entry is what the table holds of a unit beyond its symbol.
type entry struct {
	row
	unit Unit
	// For a pressure the same unit undecided, gauge and absolute.
	plain, gauge, absolute uint8
}

// table is built once from rows; entries are ordered by dimension.
var table = buildTable()

// words finds a unit by each spelling that is read.
var words = buildWords()

func buildTable() []entry {
	entries := []entry{{row: row{factor: one, doc: "a bare number"}}}
	add := func(r row) uint8 {
		id := uint8(len(entries))
		entries = append(entries, entry{row: r, unit: Unit{Symbol: r.symbol, Dim: r.dim, id: id}})
		return id
	}
	var pressures []uint8
	for i, r := range rows {
		id := add(r)
		if r.dim != Pressure {
			continue
		}
		pressures = append(pressures, id)
		if i+1 < len(rows) && rows[i+1].dim == Pressure {
			continue
		}
		// After the last plain pressure: derive the two decided forms.
		first := uint8(len(entries))
		count := uint8(len(pressures))
		for _, p := range pressures {
			add(decided(entries[p].row, GaugePressure, "gauge", 'g', "above the surrounding air"))
		}
		for _, p := range pressures {
			add(decided(entries[p].row, AbsolutePressure, "absolute", 'a', "above nothing"))
		}
		for n, p := range pressures {
			gauge := first + uint8(n)
			for _, id := range [...]uint8{p, gauge, gauge + count} {
				e := &entries[id]
				e.plain, e.gauge, e.absolute = p, gauge, gauge+count
			}
		}
	}
	return entries
}

// decided derives "kPa gauge" from "kPa"; "kPag" and "kpag" show what is meant.
func decided(plain row, d Dim, word string, letter rune, from string) row {
	r := plain
	r.symbol = plain.symbol + " " + word
	r.dim = d
	r.doc = plain.doc + ", " + from
	r.also = nil
	r.meant = []string{plain.symbol + string(letter)}
	return r
}

func buildWords() map[string]Unit {
	m := make(map[string]Unit)
	for _, e := range table {
		m[e.unit.Symbol] = e.unit
		for _, w := range e.also {
			m[w] = e.unit
		}
	}
	return m
}

// Lookup finds the unit that is spelled exactly so. It reads the canonical
// symbols and their other spellings: "mm2" and "mm²", "ohm" and "Ω", "us" and
// "µs" with either micro sign. Case matters, as m and M do. The empty word is
// the bare number.
func Lookup(word string) (Unit, bool) {
	u, ok := words[word]
	return u, ok
}

// Units returns the units of a dimension, the base unit first.
func Units(d Dim) []Unit {
	var units []Unit
	for _, e := range table {
		if e.unit.Dim == d && e.unit.Symbol != "" {
			units = append(units, e.unit)
		}
	}
	return units
}

// AllUnits returns every unit, by dimension in the order of [Dims].
func AllUnits() []Unit {
	var units []Unit
	for _, e := range table[1:] {
		units = append(units, e.unit)
	}
	return units
}

func (u Unit) entry() *entry {
	if int(u.id) >= len(table) {
		return &table[0]
	}
	return &table[u.id]
}

// String returns the canonical spelling.
func (u Unit) String() string { return u.Symbol }

// Doc describes the unit in one line, beginning with its name in full.
func (u Unit) Doc() string { return u.entry().doc }

// Spellings returns the canonical spelling and then the others that are read.
func (u Unit) Spellings() []string {
	return append([]string{u.Symbol}, slices.Clone(u.entry().also)...)
}

// Factor returns the size of the unit in base units of its dimension, exactly:
// value in base units = number * Factor + Offset. It is 1 for AWG, whose
// numbers are not multiples of anything.
func (u Unit) Factor() Num { return u.entry().factor }

// Offset returns what 0 of the unit is in base units.
func (u Unit) Offset() Num { return u.entry().offset }

// IsAWG says whether the unit is the American wire gauge, whose sizes are
// written "18" or "2/0" and read by [ParseAWG].
func (u Unit) IsAWG() bool { return u == awgUnit }

// AsGauge returns the unit for a pressure measured from the surrounding air. A
// unit that measures no pressure is returned unchanged.
func (u Unit) AsGauge() Unit { return u.pressureForm(u.entry().gauge) }

// AsAbsolute returns the unit for a pressure measured from nothing. A unit that
// measures no pressure is returned unchanged.
func (u Unit) AsAbsolute() Unit { return u.pressureForm(u.entry().absolute) }

// AsDifference returns the unit for a difference between two values in u: for a
// gauge or absolute pressure the plain unit, otherwise u.
func (u Unit) AsDifference() Unit { return u.pressureForm(u.entry().plain) }

func (u Unit) pressureForm(id uint8) Unit {
	if !u.Dim.IsPressure() {
		return u
	}
	return table[id].unit
}

// Check says why n can't be written with this unit as a point: a wire gauge
// that does not exist, a temperature below absolute zero, an absolute pressure
// below nothing. It returns nil for everything else.
func (u Unit) Check(n Num) error {
	switch {
	case u.IsAWG():
		if _, ok := awgArea(n); !ok {
			return fmt.Errorf("there is no wire of %s AWG: sizes are whole numbers from 40 (thinnest) down to 0, then 2/0, 3/0 and 4/0", n)
		}
	case u.Dim == Temperature:
		if u.toBase(n).Cmp(absoluteZero) < 0 {
			return fmt.Errorf("%s %s lies below absolute zero, -273.15 degC", n, u)
		}
	case u.Dim == AbsolutePressure:
		if n.Sign() < 0 {
			return fmt.Errorf("%s %s lies below a perfect vacuum: a pressure below that of the surrounding air is a negative gauge pressure", n, u)
		}
	}
	return nil
}

// absoluteZero is in degC, by definition of the Celsius scale (SI brochure).
var absoluteZero = Ratio(-27_315, 100)

// toBase converts a point.
func (u Unit) toBase(n Num) Num {
	e := u.entry()
	return n.Mul(e.factor).Add(e.offset)
}

// fromBase converts a point back.
func (u Unit) fromBase(n Num) Num {
	e := u.entry()
	return over(n.Sub(e.offset), e.factor)
}
