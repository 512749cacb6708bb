package plot

// Thin takes the points of a line as they come and keeps as many as a drawing can show: of
// each stretch of time the first, the lowest, the highest and the last. Whenever there are
// too many, stretches become twice as long. The zero Thin is empty.
type Thin struct {
	kept  []stretch
	width float64
	from  float64
}

// stretch is a piece of time with the points of it that are kept.
type stretch struct {
	number                 int
	first, low, high, last Point
}

// mostStretches is twice what the widest lane has pixels, so that no two stretches share one
// for long.
const mostStretches = 2048

// Add takes the next point; its time is not before that of the last one.
func (t *Thin) Add(p Point) {
	if len(t.kept) == 0 {
		t.from, t.width = p.At, 1e-3
	}
	n := int((p.At - t.from) / t.width)
	if k := len(t.kept) - 1; k >= 0 && t.kept[k].number == n && !p.Gap {
		t.kept[k].take(p)
		return
	}
	t.kept = append(t.kept, stretch{n, p, p, p, p})
	for len(t.kept) > mostStretches {
		t.halve()
	}
}

func (s *stretch) take(p Point) {
	if p.Value < s.low.Value {
		s.low = p
	}
	if p.Value > s.high.Value {
		s.high = p
	}
	s.last = p
}

// halve makes stretches twice as long. Behind a gap a stretch begins in any case; of many
// gaps, those within one stretch are no longer shown.
func (t *Thin) halve() {
	t.width *= 2
	out := t.kept[:0]
	for _, s := range t.kept {
		s.number /= 2
		if k := len(out) - 1; k >= 0 && out[k].number == s.number {
			out[k].take(s.low)
			out[k].take(s.high)
			out[k].last = s.last
			continue
		}
		out = append(out, s)
	}
	t.kept = out
}

// Points are what is kept, in the order of time.
func (t *Thin) Points() []Point {
	var out []Point
	for _, s := range t.kept {
		a, b := s.low, s.high
		if b.At < a.At {
			a, b = b, a
		}
		for i, p := range [...]Point{s.first, a, b, s.last} {
			if i == 0 || p != out[len(out)-1] && p.At >= out[len(out)-1].At {
				out = append(out, p)
			}
		}
	}
	return out
}

// ThinSpans takes the states of a bar as they change and keeps as many as a drawing can show.
// Spans too short to be seen at that number are drawn as part of the one before, unless they
// are odd. The zero ThinSpans is empty.
type ThinSpans struct {
	kept  []Span
	least float64
}

// Add says what is so from a time on, until the next Add or End.
func (t *ThinSpans) Add(at float64, state string, odd bool) {
	if k := len(t.kept) - 1; k >= 0 {
		if t.kept[k].State == state && t.kept[k].Odd == odd {
			return
		}
		t.kept[k].To = at
	}
	t.kept = append(t.kept, Span{From: at, To: at, State: state, Odd: odd})
	for len(t.kept) > mostStretches {
		t.merge()
	}
}

// merge joins short spans to the ones before them.
func (t *ThinSpans) merge() {
	if t.least == 0 {
		t.least = 1e-3
	}
	for t.least *= 2; ; t.least *= 2 {
		out := t.kept[:1]
		for _, s := range t.kept[1 : len(t.kept)-1] {
			switch last := &out[len(out)-1]; {
			case s.To-s.From < t.least || s.State == last.State && s.Odd == last.Odd:
				last.To = s.To
				last.Odd = last.Odd || s.Odd
			default:
				out = append(out, s)
			}
		}
		out = append(out, t.kept[len(t.kept)-1])
		if t.kept = out; len(out) <= mostStretches/2 {
			return
		}
	}
}

// Spans are what is kept, the last one up to a time.
func (t *ThinSpans) Spans(end float64) []Span {
	out := append([]Span(nil), t.kept...)
	if len(out) > 0 {
		out[len(out)-1].To = end
	}
	return out
}
