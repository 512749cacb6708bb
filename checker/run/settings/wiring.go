package settings

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"pintle/lang/unit"
)

// WireAmps is a row of a table of rated currents.
type WireAmps struct {
	Area float64 // mm2
	Amps float64
}

// Wiring are the limits of the rules about wires and fuses.
type Wiring struct {
	// WireAmps rates wires in place of the table that WireTable names, where it is not
	// empty. Rows ascend by cross-section.
	WireAmps []WireAmps
	// FuseShare is how much of a fuse's rating may run through it for good, in percent.
	FuseShare float64
	// SprungFuse is how much of a fuse's rating it is a defect to draw through it even while
	// something is held against its spring only, and SprungWire how much of what a wire may
	// carry, both in percent.
	SprungFuse, SprungWire float64
	// TellTale is up to how many W a load is taken to be one that only tells of something.
	TellTale float64
	// UnfusedLength is how long, in m, a wire may be before the first fuse, and
	// UnfusedArea the cross-section, in mm2, from which it may be of any length.
	UnfusedLength, UnfusedArea float64
	// SensorGround is how far, in V, the return of an input may be lifted by the
	// currents of others.
	SensorGround float64
}

// DefaultWiring are those that hold without a settings file.
func DefaultWiring() Wiring {
	return Wiring{
		// Common practice: a fuse is at least 125 % of the continuous load.
		FuseShare: 80,
		// From 135 % on a blade fuse opens in the end, after 0.75 s at the soonest: ISO 8820-3
		// (the ends of its bands from memory, see rules/wiring/sprung.go).
		SprungFuse: 135,
		// Common practice, no source.
		SprungWire: 150,
		// Common practice, no source: lamps of instruments take 1.2 to 3 W, buzzers up to 5 W.
		TellTale: 5,
		// From memory: codes for caravans and boats ask for the first fuse within 7 to 18
		// inches of the battery and except the cables of the starter.
		UnfusedLength: 0.5,
		UnfusedArea:   10,
		// Workshop practice: a ground connection loses less than 0.1 V.
		SensorGround: 0.1,
	}
}

// wiringDocument is their layout in the file.
type wiringDocument struct {
	WireAmps      map[string]string `toml:"wire_amps"`
	FuseShare     *string           `toml:"fuse_share"`
	SprungFuse    *string           `toml:"sprung_fuse"`
	SprungWire    *string           `toml:"sprung_wire"`
	TellTale      *string           `toml:"tell_tale"`
	UnfusedLength *string           `toml:"unfused_length"`
	UnfusedArea   *string           `toml:"unfused_area"`
	SensorGround  *string           `toml:"sensor_ground"`
}

func (doc *wiringDocument) apply(to *Wiring, p *problems) {
	for _, l := range []struct {
		key  string
		from *string
		dim  unit.Dim
		to   *float64
	}{
		{"fuse_share", doc.FuseShare, unit.Percentage, &to.FuseShare},
		{"sprung_fuse", doc.SprungFuse, unit.Percentage, &to.SprungFuse},
		{"sprung_wire", doc.SprungWire, unit.Percentage, &to.SprungWire},
		{"tell_tale", doc.TellTale, unit.Power, &to.TellTale},
		{"unfused_length", doc.UnfusedLength, unit.Length, &to.UnfusedLength},
		{"unfused_area", doc.UnfusedArea, unit.Area, &to.UnfusedArea},
		{"sensor_ground", doc.SensorGround, unit.Voltage, &to.SensorGround},
	} {
		if l.from == nil {
			continue
		}
		v, err := quantity(*l.from, l.dim)
		if err != nil {
			p.add(toml.Key{"limits", l.key}, "limits."+l.key+": "+err.Error())
			continue
		}
		*l.to = v
	}
	for _, size := range slices.Sorted(maps.Keys(doc.WireAmps)) {
		area, err := quantity(size, unit.Area)
		if err == nil {
			var amps float64
			if amps, err = quantity(doc.WireAmps[size], unit.Current); err == nil {
				to.WireAmps = append(to.WireAmps, WireAmps{Area: area, Amps: amps})
				continue
			}
		}
		p.add(toml.Key{"limits", "wire_amps"}, "limits.wire_amps: "+err.Error())
	}
	slices.SortFunc(to.WireAmps, func(a, b WireAmps) int { return cmp.Compare(a.Area, b.Area) })
}

// quantity reads a number above 0 with a unit of one dimension, in its base unit.
func quantity(text string, dim unit.Dim) (float64, error) {
	wrong := fmt.Errorf("%q is no %s above 0; write it like %s", text, dim, dim.Example())
	number, word, ok := strings.Cut(strings.TrimSpace(text), " ")
	if !ok {
		return 0, wrong
	}
	u, ok := unit.Lookup(strings.TrimSpace(word))
	if !ok || u.Dim != dim {
		return 0, wrong
	}
	var n unit.Num
	var err error
	if u.IsAWG() {
		n, err = unit.ParseAWG(number)
	} else {
		n, err = unit.ParseNum(number)
	}
	if err != nil {
		return 0, wrong
	}
	if v := unit.New(n, u).Float64(); v > 0 {
		return v, nil
	}
	return 0, wrong
}
