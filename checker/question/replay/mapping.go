package replay

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"pintle/lang/unit"
)

// Mapping says which column of a recording is which thing of a design, and how to read it.
type Mapping struct {
	Time      string `toml:"time"`      // the column of times
	TimeUnit  string `toml:"time_unit"` // of times that are plain numbers; "s" unless said
	Separator string `toml:"separator"` // found out unless said
	Decimal   string `toml:"decimal"`   // "." or ","; both are read unless said, where "," does not separate
	// Gap is how long no row may come before the recording counts as interrupted; Within is by
	// how much a recorded state may lag: departures that do not last longer do not count.
	Gap     string            `toml:"gap"`
	Within  string            `toml:"within"`
	Columns []ColumnMap       `toml:"column"`
	Hold    map[string]string `toml:"hold"` // where things without a column stand throughout
}

// ColumnMap is what is said of one column.
type ColumnMap struct {
	Name  string `toml:"name"`
	Thing string `toml:"thing"` // empty: what its name says; "-": nothing
	Unit  string `toml:"unit"`
	// A recorded number times Scale plus Offset is the value in Unit. Scale 0 is 1.
	Scale      float64           `toml:"scale"`
	Offset     float64           `toml:"offset"`
	Accuracy   string            `toml:"accuracy"`
	Resolution string            `toml:"resolution"`
	Words      map[string]string `toml:"words"` // what is recorded, and the position that it means
}

// leftOut as a thing maps a column to nothing.
const leftOut = "-"

// ReadMapping reads a mapping file.
func ReadMapping(text string) (*Mapping, error) {
	var m Mapping
	meta, err := toml.Decode(text, &m)
	if bad := new(toml.ParseError); errors.As(err, bad) {
		return nil, fmt.Errorf("line %d: %s", bad.Position.Line, bad.Message)
	}
	if err != nil {
		return nil, errors.New(strings.TrimPrefix(err.Error(), "toml: "))
	}
	if extra := meta.Undecoded(); len(extra) > 0 {
		return nil, fmt.Errorf("nothing is called %s; there are time, time_unit, separator, decimal, gap, within, hold, and in each [[column]] name, thing, unit, scale, offset, accuracy, resolution, words", extra[0])
	}
	for i, c := range m.Columns {
		if c.Name == "" {
			return nil, fmt.Errorf("[[column]] %d has no name", i+1)
		}
		if k := slices.IndexFunc(m.Columns, func(o ColumnMap) bool { return o.Name == c.Name }); k < i {
			return nil, fmt.Errorf("column %q is there twice", c.Name)
		}
	}
	return &m, nil
}

// Column is what is said of a column, to be changed; it is added if nothing is.
func (m *Mapping) Column(name string) *ColumnMap {
	i := slices.IndexFunc(m.Columns, func(c ColumnMap) bool { return c.Name == name })
	if i < 0 {
		i = len(m.Columns)
		m.Columns = append(m.Columns, ColumnMap{Name: name})
	}
	return &m.Columns[i]
}

// Map takes `COLUMN=THING`, as on a command line.
func (m *Mapping) Map(text string) error {
	i := strings.LastIndexByte(text, '=')
	if i <= 0 || i == len(text)-1 {
		return fmt.Errorf("--map takes COLUMN=THING, not %q", text)
	}
	m.Column(text[:i]).Thing = strings.TrimSpace(text[i+1:])
	return nil
}

// WordsOf takes `COLUMN: RECORDED=POSITION, …`.
func (m *Mapping) WordsOf(text string) error {
	i := strings.LastIndexByte(text, ':')
	if i <= 0 {
		return fmt.Errorf("--words takes \"COLUMN: RECORDED=POSITION, …\", not %q", text)
	}
	c := m.Column(strings.TrimSpace(text[:i]))
	c.Words = maps.Clone(c.Words)
	if c.Words == nil {
		c.Words = map[string]string{}
	}
	for _, pair := range strings.Split(text[i+1:], ",") {
		recorded, position, ok := strings.Cut(pair, "=")
		if recorded, position = strings.TrimSpace(recorded), strings.TrimSpace(position); !ok || recorded == "" || position == "" {
			return fmt.Errorf("--words takes \"COLUMN: RECORDED=POSITION, …\", not %q", text)
		}
		c.Words[recorded] = position
	}
	return nil
}

// AccuracyOf takes `COLUMN: ACCURACY`.
func (m *Mapping) AccuracyOf(text string) error {
	i := strings.LastIndexByte(text, ':')
	if i <= 0 || strings.TrimSpace(text[i+1:]) == "" {
		return fmt.Errorf("--accuracy takes \"COLUMN: 1 degC\", not %q", text)
	}
	m.Column(strings.TrimSpace(text[:i])).Accuracy = strings.TrimSpace(text[i+1:])
	return nil
}

// HoldAt takes `THING=POSITION` or `THING=VALUE`.
func (m *Mapping) HoldAt(text string) error {
	thing, at, ok := strings.Cut(text, "=")
	if thing, at = strings.TrimSpace(thing), strings.TrimSpace(at); !ok || thing == "" || at == "" {
		return fmt.Errorf("--hold takes THING=POSITION or THING=VALUE, not %q", text)
	}
	if m.Hold == nil {
		m.Hold = map[string]string{}
	}
	m.Hold[thing] = at
	return nil
}

// measured reads a number with its unit: "0.25 rpm".
func measured(text string) (unit.Num, unit.Unit, error) {
	text = strings.TrimSpace(text)
	i := strings.LastIndexAny(text, "0123456789") + 1
	// A digit may be part of a unit: mm2, m/s2.
	if head, tail, ok := strings.Cut(text, " "); ok {
		i = len(head)
		text = head + " " + strings.TrimSpace(tail)
	}
	n, err := unit.ParseNum(strings.TrimSpace(text[:i]))
	if err != nil {
		return n, unit.Unit{}, fmt.Errorf("%q is no number with a unit, such as 0.5 V", text)
	}
	word := strings.TrimSpace(text[i:])
	u, ok := unit.Lookup(word)
	if !ok {
		return n, u, fmt.Errorf("%q is no unit that there is", word)
	}
	return n, u, nil
}

// difference reads how far a value may be off, in the base unit of a dimension; nothing is 0.
func difference(what, text string, of unit.Dim) (float64, error) {
	if text == "" {
		return 0, nil
	}
	n, u, err := measured(text)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", what, err)
	}
	if plain(u.Dim) != plain(of) {
		return 0, fmt.Errorf("%s: %s is %s, not %s", what, text, u.Dim.Phrase(), of.Phrase())
	}
	v := unit.NewDifference(n, u).Float64()
	if v < 0 {
		return 0, fmt.Errorf("%s: %s is below 0", what, text)
	}
	return v, nil
}

func plain(d unit.Dim) unit.Dim {
	if d.IsPressure() {
		return unit.Pressure
	}
	return d
}
