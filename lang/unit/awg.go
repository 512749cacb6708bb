package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// The gauge numbers of ASTM B258: m/0 counts as 1-m.
const (
	thickestAWG = -3 // 4/0
	thinnestAWG = 40
)

// awgUnit is the unit that Lookup("AWG") returns.
var awgUnit = words["AWG"]

// awgAreas returns the cross-sections in mm2 from 4/0 to 40.
//
// ASTM B258 (from memory, and seen second-hand): a solid wire of gauge n has
// the diameter 0.005 in * 92^((36-n)/39). That is irrational except for 36 and
// 4/0, and an area brings in pi, so the areas are rounded to decimals of 5
// significant digits; from there on they are exact like any other number.
var awgAreas = sync.OnceValue(func() []Num {
	areas := make([]Num, 0, thinnestAWG-thickestAWG+1)
	for n := thickestAWG; n <= thinnestAWG; n++ {
		const thinUnit = 0.005 * 25.4 // mm, the diameter of 36 AWG
		d := thinUnit * math.Pow(92, float64(36-n)/39)
		// What FormatFloat writes is always read.
		area, _ := ParseNum(strconv.FormatFloat(math.Pi/4*d*d, 'e', 4, 64))
		areas = append(areas, area)
	}
	return areas
})

// ParseAWG reads a gauge as it is written before the word AWG: "18", "0",
// "2/0", or "000" for 3/0. It returns the number to give to [New] with the AWG
// unit: 18, 0, -1, -2.
func ParseAWG(size string) (Num, error) {
	number := func(text string, least, most int) (int, bool) {
		n, err := strconv.Atoi(text)
		return n, err == nil && least <= n && n <= most && strconv.Itoa(n) == text
	}
	if n, ok := number(size, 0, thinnestAWG); ok {
		return Int(int64(n)), nil
	}
	if m, ok := strings.CutSuffix(size, "/0"); ok {
		if m, ok := number(m, 1, 1-thickestAWG); ok {
			return Int(int64(1 - m)), nil
		}
	}
	if len(size) >= 2 && len(size) <= 1-thickestAWG && strings.Trim(size, "0") == "" {
		return Int(int64(1 - len(size))), nil
	}
	return Num{}, fmt.Errorf("%s is not an AWG size: sizes are whole numbers from 40 (thinnest) down to 0, then 2/0, 3/0 and 4/0", quoted(size))
}

// awgArea returns the cross-section of gauge n in mm2.
func awgArea(n Num) (Num, bool) {
	i, ok := n.Int64()
	if !ok || i < thickestAWG || i > thinnestAWG {
		return Num{}, false
	}
	return awgAreas()[i-thickestAWG], true
}

// nearestAWG returns the gauge whose area is nearest by ratio, as the gauges
// are spaced; beyond the ends it is the end.
func nearestAWG(area Num) Num {
	areas := awgAreas()
	for i, a := range areas[:len(areas)-1] {
		// Nearer to a than to the next thinner one: area above their
		// geometric mean, compared squared to stay exact.
		if area.Sign() > 0 && area.Mul(area).Cmp(a.Mul(areas[i+1])) > 0 {
			return Int(int64(i + thickestAWG))
		}
	}
	return Int(thinnestAWG)
}

// awgText writes a gauge number: -1 is "2/0".
func awgText(n Num) string {
	if i, ok := n.Int64(); ok && i < 0 {
		return Int(1-i).String() + "/0"
	}
	return n.String()
}
