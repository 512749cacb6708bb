package circuit

import (
	"cmp"
	"slices"
)

// Ampacity reports what current a wire may carry by its cross-section.
type Ampacity struct {
	// Source names where the values come from, for the finding that uses them.
	Source string
	// Rows ascend by cross-section.
	Rows []AmpacityRow
}

// AmpacityRow is one size.
type AmpacityRow struct {
	Area float64 // mm2
	Amps float64
}

// ThinWall is the default table: rated currents of thin-wall vehicle cable. Common practice,
// no source: the values are those of a data sheet, and no open standard states them. They
// ignore bundles and hot surroundings.
func ThinWall() Ampacity {
	return Ampacity{
		Source: "thin-wall vehicle cable, common practice, no source",
		Rows: []AmpacityRow{
			{0.5, 11}, {0.75, 14}, {1, 16.5}, {1.5, 21}, {2, 25}, {2.5, 29},
			{3, 33}, {4, 39}, {4.5, 42}, {6, 50}, {8.5, 63}, {10, 70},
		},
	}
}

// areaHair lets a size that was converted from another unit meet its row.
const areaHair = 1e-9

// Amps returns the rated current of a cross-section in mm2: that of its row, or
// between two rows that of the smaller one. ok is false outside of the table: then
// nothing is known.
func (t Ampacity) Amps(area float64) (amps float64, ok bool) {
	i, exact := slices.BinarySearchFunc(t.Rows, area, func(r AmpacityRow, area float64) int {
		if d := r.Area - area; d > -areaHair && d < areaHair {
			return 0
		}
		return cmp.Compare(r.Area, area)
	})
	switch {
	case exact:
		return t.Rows[i].Amps, true
	case i == 0 || i == len(t.Rows):
		return 0, false
	}
	return t.Rows[i-1].Amps, true
}
