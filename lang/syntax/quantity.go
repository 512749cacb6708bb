package syntax

import (
	"pintle/lang/schema"
	"pintle/lang/unit"
)

// measure is one number with its unit, or the name of an argument that holds one.
type measure struct {
	number unit.Num
	unit   unit.Unit
	bare   bool // there is no unit
	param  *Ref
	start  int // first token
}

// quantity reads what a quantity slot takes.
func (p *parser) quantity(s *schema.Slot) (Node, bool) {
	start := p.i
	lo, ok := p.measure(s)
	if !ok {
		return nil, false
	}
	q := p.pool.quants.one(Quantity{})
	switch s.Shape {
	case schema.Range, schema.OneOrRange:
		p.expectsWords(p.i, "to")
		if p.isWord(p.i, "to") && (s.Shape == schema.Range || p.measureAt(p.i+1, s)) {
			p.i++
			q.Ranged = true
		} else if s.Shape == schema.Range {
			return nil, p.failed(fail{why: failWord, word: "to", start: p.i, at: p.i, inner: true})
		}
	case schema.Pair:
		p.expectsWords(p.i, "and")
		if !p.isWord(p.i, "and") {
			return nil, p.failed(fail{why: failWord, word: "and", start: p.i, at: p.i, inner: true})
		}
		p.i++
		q.Ranged = true
	}
	if q.Ranged {
		hi, ok := p.measure(s)
		if !ok {
			return nil, false
		}
		if lo.bare && !hi.bare && hi.param == nil && !hi.unit.IsAWG() {
			lo.unit, lo.bare = hi.unit, false // the unit is written once
		}
		if q.Hi, q.HiParam, ok = p.settle(hi, s); !ok {
			return nil, false
		}
	}
	if q.Value, q.Param, ok = p.settle(lo, s); !ok {
		return nil, false
	}
	if q.Ranged && q.Param == nil && q.HiParam == nil && q.Value.Dim() != q.Hi.Dim() {
		return nil, p.failed(fail{why: failNumber, start: start, at: p.i,
			note: "`" + q.Value.String() + "` and `" + q.Hi.String() + "` are not the ends of one range: one is " +
				q.Value.Dim().Phrase() + ", the other " + q.Hi.Dim().Phrase()})
	}
	if s.Tolerance && !p.expects(p.i, ExpectTolerance) && p.kindAt(p.i) == PlusMinus {
		if !p.tolerance(q, s) {
			return nil, false
		}
	}
	q.Span = p.from(start)
	return q, true
}

// measureAt reports whether a number, or a name that may stand for one, is there.
func (p *parser) measureAt(i int, s *schema.Slot) bool {
	switch p.kindAt(i) {
	case Number, Mixed:
		return true
	case NameTok, PathTok:
		return !s.Written
	}
	return p.atCursor(i)
}

// measure reads a number with its unit, or a name. It does not mind a unit that is
// missing or does not fit: that is settled when the whole is known.
func (p *parser) measure(s *schema.Slot) (measure, bool) {
	m := measure{start: p.i}
	if p.atCursor(p.i) {
		p.expect(Expected{What: ExpectValue, Slot: s})
	}
	switch p.kindAt(p.i) {
	case NameTok, PathTok:
		if s.Written || p.cursor != nil && !p.cursor.isArgument(p.textAt(p.i)) {
			return m, false
		}
		m.param = p.ref()
		return m, true
	case Number:
		if u, ok := p.wireGauge(&m); ok {
			m.unit = u
			return m, true
		}
		if !p.number(&m, p.textAt(p.i)) {
			return m, false
		}
		p.i++
		if p.atCursor(p.i) {
			p.expect(Expected{What: ExpectUnit, Slot: s})
		}
		u, found, ok := p.unit()
		if !ok {
			return m, false
		}
		m.unit, m.bare = u, !found
		return m, true
	case Mixed:
		return m, p.joined(&m)
	}
	return m, false
}

func (p *parser) number(m *measure, text string) bool {
	n, err := unit.ParseNum(text)
	if err != nil {
		return p.failed(fail{why: failNumber, start: p.i, at: p.i + 1, note: err.Error()})
	}
	m.number = n
	return true
}

// wireGauge reads `16 AWG` and `2/0 AWG`.
func (p *parser) wireGauge(m *measure) (unit.Unit, bool) {
	i := p.i + 1
	if p.kindAt(i) == Slash && p.kindAt(i+1) == Number {
		i += 2
	}
	if !p.isWord(i, "AWG") {
		return unit.Unit{}, false
	}
	n, err := unit.ParseAWG(p.between(p.spanAt(p.i).Start, p.spanAt(i-1).End))
	if err != nil {
		return unit.Unit{}, false // Check says the same about the number
	}
	m.number = n
	p.i = i + 1
	return unit.Lookup("AWG")
}

// joined reads a number and its unit written together: 12V, 1.5mm2, 10km/h.
func (p *parser) joined(m *measure) bool {
	number, symbol, ok := splitNumber(p.textAt(p.i))
	if !ok {
		return false
	}
	end := p.i + 1
	if i := p.unitEnd(p.i); i > end {
		// Something with a slash.
		s := p.spanAt(p.i)
		symbol = p.between(s.Start+len(number), p.spanAt(i-1).End)
		end = i
	}
	u, ok := unit.Lookup(symbol)
	if !ok {
		return p.failed(fail{why: failBadUnit, word: symbol, start: p.i, at: p.i + 1})
	}
	if !p.number(m, number) {
		return false
	}
	p.i = end
	m.unit = p.pressure(u)
	return true
}

// unit reads a unit. Not found means that nothing that could be one stands here.
func (p *parser) unit() (u unit.Unit, found, ok bool) {
	if p.kindAt(p.i) == Percent {
		u, ok = unit.Lookup("%")
		p.i++
		return u, true, ok
	}
	end := p.unitEnd(p.i)
	if end == p.i {
		return u, false, true
	}
	first := p.textAt(p.i)
	symbol := first
	if end > p.i+1 {
		symbol = p.between(p.spanAt(p.i).Start, p.spanAt(end-1).End)
	}
	u, ok = unit.Lookup(symbol)
	if ok {
		p.i = end
		return p.pressure(u), true, true
	}
	// A word that follows a bare number: `0 to 6800 rpm`, `2 of Fuse`.
	if end == p.i+1 && afterNumber(first) {
		return u, false, true
	}
	return u, true, p.failed(fail{why: failBadUnit, word: symbol, start: p.i, at: p.i})
}

// afterNumber tells of a word whether it may follow a number as a word of the language.
func afterNumber(w string) bool {
	switch w {
	case "to", "and", "or", "of", "way", "per", "at", "unless", "over", "while", "whenever", "within", "for":
		return true
	}
	return false
}

// unitEnd finds the token behind a unit: a word, and what is joined to it by slashes
// without a space.
func (p *parser) unitEnd(i int) int {
	if k := p.kindAt(i); k != NameTok && k != Mixed && k != Number {
		return i
	}
	if p.kindAt(i) == Number && (p.kindAt(i+1) != Slash || p.textAt(i) != "1") {
		return i
	}
	i++
	for p.kindAt(i) == Slash && p.sigs[i].start == p.sigs[i-1].end && i+1 < p.end && p.sigs[i+1].start == p.sigs[i].end {
		switch p.kindAt(i + 1) {
		case NameTok, Mixed:
			i += 2
		default:
			return i
		}
	}
	return i
}

// pressure reads `gauge` or `absolute` behind a unit of pressure.
func (p *parser) pressure(u unit.Unit) unit.Unit {
	if u.Dim != unit.Pressure {
		return u
	}
	p.expectsWords(p.i, "gauge", "absolute")
	switch {
	case p.isWord(p.i, "gauge"):
		p.i++
		return u.AsGauge()
	case p.isWord(p.i, "absolute"):
		p.i++
		return u.AsAbsolute()
	}
	return u
}

// settle makes a value of a measure for a slot, or says why it can't be one.
func (p *parser) settle(m measure, s *schema.Slot) (unit.Value, *Ref, bool) {
	if m.param != nil {
		return unit.Value{}, m.param, true
	}
	if m.bare {
		return unit.Value{}, nil, p.failed(fail{why: failNoUnit, slot: s, start: m.start, at: p.i, dims: dims(s)})
	}
	v := unit.New(m.number, m.unit)
	if s.Difference {
		v = unit.NewDifference(m.number, m.unit)
	} else if err := m.unit.Check(m.number); err != nil {
		return v, nil, p.failed(fail{why: failNumber, start: m.start, at: p.i, note: err.Error()})
	}
	if !s.Takes(v.Dim()) {
		return v, nil, p.failed(fail{why: failUnit, slot: s, start: m.start, at: p.i, dims: dims(s), value: v})
	}
	return v, nil, true
}

func dims(s *schema.Slot) dimSet {
	var set dimSet
	for _, d := range s.Dims {
		set |= 1 << d
	}
	return set
}

// tolerance reads `+-10 %` or `+-2 ohm` into q.
func (p *parser) tolerance(q *Quantity, of *schema.Slot) bool {
	sign := p.i
	p.i++
	slot := anyQuantity
	if p.cursor != nil {
		slot = &schema.Slot{Role: "tolerance", Type: schema.SlotQuantity, Dims: append([]unit.Dim{unit.Percentage}, of.Dims...), Written: true}
	}
	m, ok := p.measure(slot)
	if !ok {
		return p.failed(fail{why: failCond, start: p.i, at: p.i, word: "a tolerance is expected after `+-`, for example `+-10 %`"})
	}
	if m.bare {
		return p.failed(fail{why: failNoUnit, start: m.start, at: p.i, dims: 1 << unit.Percentage})
	}
	var err error
	if m.unit.Dim == unit.Percentage {
		q.Tol, err = unit.PercentTolerance(m.number)
	} else {
		if q.Param == nil && m.unit.AsDifference().Dim != q.Value.Unit.AsDifference().Dim {
			return p.failed(fail{why: failUnit, start: m.start, at: p.i,
				note: "a tolerance is in percent, or measures what its value measures; `" + unit.New(m.number, m.unit).String() + "` is " + m.unit.Dim.Phrase()})
		}
		q.Tol, err = unit.AbsoluteTolerance(m.number, m.unit)
	}
	if err != nil {
		return p.failed(fail{why: failNumber, start: sign, at: p.i, note: err.Error()})
	}
	q.HasTol = true
	return true
}
