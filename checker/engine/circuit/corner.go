package circuit

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// ParamID numbers something that a design leaves open within bounds.
type ParamID int

// ParamKind says what kind of thing is open.
type ParamKind uint8

// The kinds.
const (
	SupplyVolts ParamKind = iota // the volts of a supply, constant during a run
	Tolerance                    // a resistance or voltage within its tolerance
	Warmth                       // a filament between cold and hot, by its resistance
)

func (k ParamKind) String() string {
	return [...]string{SupplyVolts: "supply", Tolerance: "tolerance", Warmth: "warmth"}[k]
}

// ParamInfo describes a parameter: the number (ohm, or volts if Volts is set) of an
// element that may lie anywhere from Min to Max.
type ParamInfo struct {
	Kind              ParamKind
	Element           model.ElementID
	Supply            model.SupplyID // of SupplyVolts, else None
	Volts             bool
	Bounded           bool // of Warmth: hot, too, the resistance is only known within bounds
	Nominal, Min, Max float64
}

// Params returns everything that the design leaves open, in the order of elements.
// Faults change neither parameters nor their numbers, so that a corner may be carried
// from one circuit of a design to another.
func (c *Circuit) Params() []ParamInfo { return c.params }

// openOf lists what is open of an element: nothing of the metal that faults add.
func (c *Circuit) openOf(id model.ElementID) []ParamID {
	if int(id) >= len(c.paramsOf) {
		return nil
	}
	return c.paramsOf[id]
}

func (c *Circuit) addParams() error {
	for i := range c.elems {
		e := &c.elems[i]
		if err := e.check(); err != nil {
			return err
		}
		add := func(p ParamInfo) {
			p.Element = model.ElementID(i)
			c.params = append(c.params, p)
		}
		volts := e.Volts
		kind, supply := Tolerance, model.SupplyID(model.None)
		if s := e.supplyOf(c.design); s != nil {
			kind, supply = SupplyVolts, model.SupplyID(e.Of)
			if s.HasRange {
				volts.Min = min(volts.Min, s.Lo.Float64())
				volts.Max = max(volts.Max, s.Hi.Float64())
			}
		}
		if volts.Varies() {
			add(ParamInfo{Kind: kind, Supply: supply, Volts: true, Nominal: volts.Nominal, Min: volts.Min, Max: volts.Max})
		}
		// A filament is one parameter from coldest to hottest, bounds of its own included.
		switch cold := e.ColdOhm; {
		case cold.Nominal > 0:
			add(ParamInfo{
				Kind: Warmth, Supply: model.None, Nominal: e.Ohm.Nominal, Bounded: e.Ohm.Varies(),
				Min: min(cold.Min, e.Ohm.Min), Max: max(cold.Max, e.Ohm.Max),
			})
		case e.Ohm.Varies():
			add(ParamInfo{Kind: Tolerance, Supply: model.None, Nominal: e.Ohm.Nominal, Min: e.Ohm.Min, Max: e.Ohm.Max})
		}
	}
	return nil
}

// Corner is one choice of everything that a design leaves open. The zero Corner is
// nominal, with filaments warm. Corners are values: equal ones compare equal.
type Corner struct {
	cold bool
	set  string // pairs of ParamID and value, ascending, in binary
}

// Nominal is the zero Corner.
var Nominal Corner

type setting struct {
	param ParamID
	value float64
}

const settingSize = 4 + 8

func (k Corner) settings() []setting {
	out := make([]setting, 0, len(k.set)/settingSize+1)
	for b := []byte(k.set); len(b) >= settingSize; b = b[settingSize:] {
		out = append(out, setting{
			ParamID(binary.BigEndian.Uint32(b)),
			math.Float64frombits(binary.BigEndian.Uint64(b[4:])),
		})
	}
	return out
}

// Cold reports whether filaments are cold where no With says otherwise.
func (k Corner) Cold() bool { return k.cold }

// WithCold returns the corner with all filaments cold, or all warm, except those
// that With has set.
func (k Corner) WithCold(cold bool) Corner {
	k.cold = cold
	return k
}

// With returns the corner with one parameter at a value, in ohm or volts.
func (k Corner) With(p ParamID, value float64) Corner {
	all := k.settings()
	i, found := slices.BinarySearchFunc(all, p, func(s setting, p ParamID) int { return cmp.Compare(s.param, p) })
	if found {
		all[i].value = value
	} else {
		all = slices.Insert(all, i, setting{p, value})
	}
	return k.withSettings(all)
}

func (k Corner) withSettings(all []setting) Corner {
	b := make([]byte, 0, len(all)*settingSize)
	for _, s := range all {
		b = binary.BigEndian.AppendUint32(b, uint32(s.param))
		b = binary.BigEndian.AppendUint64(b, math.Float64bits(s.value))
	}
	k.set = string(b)
	return k
}

func (k Corner) without(p ParamID) Corner {
	return k.withSettings(slices.DeleteFunc(k.settings(), func(s setting) bool { return s.param == p }))
}

// Value returns what With has set.
func (k Corner) Value(p ParamID) (value float64, ok bool) {
	for _, s := range k.settings() {
		if s.param == p {
			return s.value, true
		}
	}
	return 0, false
}

// WithSupply returns the corner with a supply at so many volts, within its range or
// not. It is the corner itself where the supply has no range: then it is a constant
// of the design.
func (c *Circuit) WithSupply(k Corner, s model.SupplyID, volts float64) Corner {
	if p, ok := c.SupplyParam(s); ok {
		return k.With(p, volts)
	}
	return k
}

// SupplyParam returns the parameter of a supply that has a range.
func (c *Circuit) SupplyParam(s model.SupplyID) (ParamID, bool) {
	for i, p := range c.params {
		if p.Kind == SupplyVolts && p.Supply == s {
			return ParamID(i), true
		}
	}
	return 0, false
}

// Describe says in words where a corner leaves the nominal one: "battery at 9 V,
// filaments cold". The nominal corner is "nominal values".
func (c *Circuit) Describe(k Corner) string {
	var words []string
	for _, s := range k.settings() {
		p := c.params[s.param]
		if s.value == p.Nominal && !(p.Kind == Warmth && k.cold) {
			continue
		}
		dim := unit.Resistance
		if p.Volts {
			dim = unit.Voltage
		}
		words = append(words, fmt.Sprintf("%s at %s", c.elems[p.Element].Path, unit.Format(s.value, dim)))
	}
	if k.cold {
		words = append(words, "filaments cold")
	}
	if len(words) == 0 {
		return "nominal values"
	}
	out := words[0]
	for _, w := range words[1:] {
		out += ", " + w
	}
	return out
}

// ohms and volts of all elements of an island in a corner.
func (c *Circuit) numbers(s *island, k Corner) (ohm, volt []float64) {
	ohm, volt = make([]float64, len(s.Elements)), make([]float64, len(s.Elements))
	for i, id := range s.Elements {
		e := &c.elems[id]
		ohm[i], volt[i] = solvable(e.Ohm.Nominal), e.Volts.Nominal
		if k.cold && e.ColdOhm.Nominal > 0 {
			ohm[i] = solvable(e.ColdOhm.Nominal)
		}
	}
	for _, set := range k.settings() {
		p := c.params[set.param]
		i, ok := slices.BinarySearch(s.Elements, p.Element)
		switch {
		case !ok || c.elems[p.Element].shorted:
		case p.Volts:
			volt[i] = set.value
		default:
			ohm[i] = solvable(set.value)
		}
	}
	return ohm, volt
}

// valuesAt returns the values of an island in a corner, nil for the nominal ones.
func (c *Circuit) valuesAt(s *island, k Corner) (*dc.Values, error) {
	if k == Nominal {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if v, ok := s.values[k]; ok {
		return v, nil
	}
	v, err := c.newValues(s, k)
	if err == nil {
		s.values[k] = v
	}
	return v, err
}

func (c *Circuit) newValues(s *island, k Corner) (*dc.Values, error) {
	ohm, volt := c.numbers(s, k)
	v, err := s.net.Values(ohm, volt)
	if err != nil {
		return nil, fmt.Errorf("%w: %s: %w", ErrDesign, c.Describe(k), err)
	}
	return v, nil
}
