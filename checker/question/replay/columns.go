package replay

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/replay/recording"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// column is one column of a recording that is mapped.
type column struct {
	*thing
	name  string
	field int // its place in a row

	// Numbers: a·x + b is the value in the base unit; accuracy and resolution are in it too, a
	// resolution of 0 is one step of the last digit that is written.
	a, b, accuracy, resolution float64
	words                      map[string]int

	// What was read last, so that equal fields are read once.
	last []byte
	seen value
	bad  bool

	missing int64
}

// value is one value of a row: a number between lo and hi in the base unit, mid being what was
// written and step what its last digit is worth, or a position.
type value struct {
	lo, hi, mid, step float64
	pos               int
	missing           bool
	// Made is set for one that was missing and is made up from its neighbours: anything from lo
	// to hi, or pos or other; -1 is any position.
	made  bool
	other int
}

// baseName is the name of a column without the unit behind it, in brackets, and that unit.
func baseName(name string) (base, unit string) {
	for _, b := range [...]string{"[]", "()"} {
		if strings.HasSuffix(name, b[1:]) {
			if i := strings.LastIndex(name, b[:1]); i > 0 {
				return strings.TrimSpace(name[:i]), strings.TrimSpace(name[i+1 : len(name)-1])
			}
		}
	}
	return name, ""
}

// isTime reports whether a name is that of the times, where nothing is said of it.
func isTime(base string) bool {
	switch strings.ToLower(base) {
	case "time", "t", "timestamp", "date time", "datetime":
		return true
	}
	return false
}

// thingOf is what a column is mapped to; nil: nothing.
func (m *Mapping) thingOf(d *model.Design, name, base string) (*thing, *ColumnMap, error) {
	i := slices.IndexFunc(m.Columns, func(c ColumnMap) bool { return c.Name == name })
	said := &ColumnMap{Name: name}
	if i >= 0 {
		said = &m.Columns[i]
	}
	switch text := strings.TrimSpace(said.Thing); {
	case m.Time == name, m.Time == "" && said.Thing == "" && isTime(base):
		return &thing{kind: timeColumn, path: "time"}, said, nil
	case text == leftOut:
		return nil, said, nil
	case text == "" && said.Words == nil && said.Unit == "":
		return lookup(d, base), said, nil
	case text == "":
		text = base
		fallthrough
	case isName(text):
		t := lookup(d, text)
		if t == nil {
			return nil, said, noThing(d, name, text)
		}
		return t, said, nil
	}
	return nil, said, nil // by its statement, see bind
}

// Score is how much a field looks like the name of a column that is mapped; see
// recording.NewReader.
func (m *Mapping) Score(d *model.Design, field string) int {
	base, _ := baseName(field)
	switch {
	case field == "":
		return 0
	case m.Time == field, slices.ContainsFunc(m.Columns, func(c ColumnMap) bool { return c.Name == field }):
		return 2
	case isTime(base), lookup(d, base) != nil:
		return 1
	}
	return 0
}

// bind maps the columns of a header. Base is that of Statements.
func (m *Mapping) bind(d *model.Design, header []string, base string) (cols []*column, unmapped []string, err error) {
	taken := map[string]string{}
	for field, name := range header {
		if slices.Index(header, name) < field && name != "" {
			return nil, nil, fmt.Errorf("two columns are called %q", name)
		}
		plainName, written := baseName(name)
		t, said, err := m.thingOf(d, name, plainName)
		if err != nil {
			return nil, nil, err
		}
		if text := strings.TrimSpace(said.Thing); t == nil && text != leftOut && !isName(text) {
			i := slices.IndexFunc(m.Columns, func(c ColumnMap) bool { return c.Name == name })
			if t = asked(d, text, statementName(base, i)); t == nil {
				return nil, nil, fmt.Errorf("column %q: %q can't be read as a condition or a measure of the design", name, text)
			}
		}
		if t == nil {
			if name != "" {
				unmapped = append(unmapped, name)
			}
			continue
		}
		if other, twice := taken[t.path]; twice {
			return nil, nil, fmt.Errorf("columns %q and %q are both mapped to %s; map one of them to %q", other, name, t.path, leftOut)
		}
		taken[t.path] = name
		if t.kind == supplies {
			return nil, nil, fmt.Errorf("column %q: %s is a supply, taken anywhere within its range; map the column to its plus terminal to compare the volts, or to %q", name, t.path, leftOut)
		}
		c := &column{thing: t, name: name, field: field}
		if err := c.scale(said, written); err != nil {
			return nil, nil, err
		}
		cols = append(cols, c)
	}
	for _, c := range m.Columns {
		if !slices.Contains(header, c.Name) {
			return nil, nil, fmt.Errorf("the recording has no column %q; it has %s", c.Name, strings.Join(quoted(header), ", "))
		}
	}
	if m.Time != "" && !slices.Contains(header, m.Time) {
		return nil, nil, fmt.Errorf("the recording has no column %q for the time; it has %s", m.Time, strings.Join(quoted(header), ", "))
	}
	return cols, unmapped, nil
}

func quoted(names []string) (out []string) {
	for _, n := range names {
		out = append(out, fmt.Sprintf("%q", n))
	}
	return out
}

// scale works out how the fields of a column are read.
func (c *column) scale(said *ColumnMap, written string) error {
	if c.kind == timeColumn {
		return nil
	}
	if c.kind == setting || c.kind == states {
		return c.vocabulary(said)
	}
	u := c.unit
	for _, word := range [...]string{said.Unit, written} {
		if word == "" {
			continue
		}
		got, ok := unit.Lookup(word)
		if ok && got.Dim == unit.Pressure && c.dim != unit.Pressure {
			got, ok = unit.Lookup(word + " " + strings.Fields(c.unit.Symbol)[1])
		}
		switch {
		case !ok && word == said.Unit:
			return fmt.Errorf("column %q: %q is no unit that there is", c.name, word)
		case !ok:
			continue // what stands in brackets need not be a unit
		case got.Dim != c.dim:
			return fmt.Errorf("column %q: %s is %s, and %s is %s", c.name, word, got.Dim.Phrase(), c.path, c.dim.Phrase())
		}
		u = got
		break
	}
	b := unit.New(unit.Int(0), u).Float64()
	a := unit.New(unit.Int(1), u).Float64() - b
	scale := said.Scale
	if scale == 0 {
		scale = 1
	}
	c.a, c.b = a*scale, a*said.Offset+b
	if math.IsNaN(c.a+c.b) || math.IsInf(c.a+c.b, 0) {
		return fmt.Errorf("column %q: the scale and offset are no numbers", c.name)
	}
	var err error
	if c.accuracy, err = difference(fmt.Sprintf("accuracy of column %q", c.name), said.Accuracy, c.dim); err != nil {
		return err
	}
	c.resolution, err = difference(fmt.Sprintf("resolution of column %q", c.name), said.Resolution, c.dim)
	return err
}

// vocabulary works out what the words of a column mean.
func (c *column) vocabulary(said *ColumnMap) error {
	c.words = map[string]int{}
	if c.kind == states && len(c.names) == 2 && c.names[0] == "not "+c.names[1] {
		for i, words := range [...]string{"0 no off false low", "1 yes on true high"} {
			for _, w := range strings.Fields(words) {
				c.words[w] = i
			}
		}
	}
	for i, n := range c.names {
		c.words[strings.ToLower(n)] = i
	}
	for _, w := range slices.Sorted(maps.Keys(said.Words)) {
		to := said.Words[w]
		i, ok := c.words[strings.ToLower(to)]
		if !ok {
			return fmt.Errorf("column %q: %q is no position of %s; it has %s", c.name, to, c.path, strings.Join(c.names, ", "))
		}
		c.words[strings.ToLower(w)] = i
	}
	return nil
}

// read reads a field; false where it can't be.
func (c *column) read(f []byte, comma bool) (value, bool) {
	if c.last != nil && bytes.Equal(f, c.last) {
		return c.seen, !c.bad
	}
	c.last = append(c.last[:0], f...)
	if c.last == nil {
		c.last = []byte{}
	}
	c.seen, c.bad = c.parse(f, comma)
	return c.seen, !c.bad
}

func (c *column) parse(f []byte, comma bool) (v value, bad bool) {
	if c.words != nil {
		word := strings.ToLower(strings.TrimSpace(string(f)))
		if i, ok := c.words[word]; ok {
			return value{pos: i}, false
		}
		if n, _, ok := recording.Number(f, comma); ok { // 1.0 is 1
			if i, ok := c.words[fmt.Sprint(n)]; ok {
				return value{pos: i}, false
			}
		}
		return value{missing: true}, !recording.Missing(f)
	}
	n, step, ok := recording.Number(f, comma)
	if !ok {
		return value{missing: true}, !recording.Missing(f)
	}
	v.mid = c.a*n + c.b
	if v.step = c.resolution; v.step == 0 {
		v.step = math.Abs(c.a) * step
	}
	off := v.step + c.accuracy
	v.lo, v.hi = v.mid-off, v.mid+off
	return v, false
}

// why says what is wrong with a field.
func (c *column) why(f []byte) string {
	if c.words == nil {
		return fmt.Sprintf("column %q: %q is no number", c.name, f)
	}
	return fmt.Sprintf("column %q: %q is none of its words; say which of %s it means: --words \"%s: %s=…\"", c.name, f, strings.Join(c.names, ", "), c.name, strings.TrimSpace(string(f)))
}

// timeUnit is how long a plain number of the time column is.
func (m *Mapping) timeUnit(column string) (time.Duration, error) {
	word := m.TimeUnit
	if word == "" {
		if _, word = baseName(column); word == "" {
			word = "s"
		}
	}
	u, ok := unit.Lookup(word)
	if !ok || u.Dim != unit.Time {
		if m.TimeUnit == "" {
			return time.Second, nil
		}
		return 0, fmt.Errorf("time_unit: %q is no unit of time; there are s, ms, us, min, h", m.TimeUnit)
	}
	return time.Duration(unit.New(unit.Int(1), u).Float64() * 1e9), nil
}

// held puts what is held into what is known when nothing is.
func (m *Mapping) held(d *model.Design, p *scenario.Possible, known *scenario.Known, recorded func(path string) bool) (words []string, err error) {
	for _, name := range slices.Sorted(maps.Keys(m.Hold)) {
		at := m.Hold[name]
		t := lookup(d, name)
		switch {
		case t == nil:
			return nil, noThing(d, "hold", name)
		case recorded(t.path):
			return nil, fmt.Errorf("%s has a column and can't be held", name)
		case t.kind == setting:
			i := slices.Index(t.names, at)
			if i < 0 {
				return nil, fmt.Errorf("hold: %q is no position of %s; it has %s", at, name, strings.Join(t.names, ", "))
			}
			known.Positions[t.index] = []int{i}
		case t.kind == quantity:
			n, u, err := measured(at)
			if err != nil {
				return nil, fmt.Errorf("hold: %s: %w", name, err)
			}
			if u.Dim != t.dim {
				return nil, fmt.Errorf("hold: %s is %s, and %s is %s", at, u.Dim.Phrase(), name, t.dim.Phrase())
			}
			v := unit.New(n, u).Float64()
			lo, hi := p.Cells(model.QuantityID(t.index), v, v)
			known.Cells[t.index], known.Loose[t.index] = [2]int{lo, hi}, false
		default:
			return nil, fmt.Errorf("hold: %s is neither a setting nor a quantity", name)
		}
		words = append(words, name+" at "+at)
	}
	return words, nil
}

// shown is a value of the base unit in the unit of the design.
func (c *column) shown(v float64) float64 {
	zero := unit.New(unit.Int(0), c.unit).Float64()
	return (v - zero) / (unit.New(unit.Int(1), c.unit).Float64() - zero)
}
