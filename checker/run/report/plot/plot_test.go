package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/checktest/golden"
)

func sample() *Chart {
	return &Chart{
		Title: "Pump & <lamp>", About: "A pump, and what was recorded of it.", From: 0, To: 95,
		Lanes: []Lane{
			{Name: "coolant", Unit: "degC", Points: []Point{{At: 0, Value: 80}, {At: 40, Value: 96}, {At: 70, Value: 85, Gap: true}, {At: 95, Value: 80}},
				Levels: []Level{{94, "B1.hot sets"}}},
			{Name: "stage", Step: true, Points: []Point{{At: 0, Value: 0}, {At: 30, Value: 2}}},
			{Name: "fan", Bars: []Bar{
				{"described", []Span{{0, 40, "still", false}, {40, 95, "turning", false}}},
				{"recorded", []Span{{0, 40, "still", false}, {40, 55, "still", true}, {55, 95, "turning", false}}},
			}},
		},
		Marks: []Mark{{At: 40, Label: "warm"}, {At: 41, Label: "too near for its name"}},
	}
}

func TestGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, sample().WriteSVG(&b))
	golden.Check(t, "testdata/sample.svg", b.String())
}

// Whatever names are in it, the drawing is one well-formed element.
func TestWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := func() string { return rapid.String().Draw(t, "text") }
		number := func() float64 { return rapid.Float64Range(-1e9, 1e9).Draw(t, "number") }
		c := Chart{Title: text(), About: text(), From: number(), To: number(), Marks: []Mark{{number(), text()}}, Lanes: []Lane{
			{Name: text(), Unit: text(), Points: []Point{{At: number(), Value: number()}, {At: number(), Value: number()}}, Levels: []Level{{number(), text()}}},
			{Name: text(), Bars: []Bar{{text(), []Span{{number(), number(), text(), true}}}}},
		}}
		var b bytes.Buffer
		if err := c.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b.Bytes(), []byte("NaN")) || bytes.Contains(b.Bytes(), []byte("Inf")) {
			t.Fatal("a coordinate is no number")
		}
		for d := xml.NewDecoder(&b); ; {
			_, err := d.Token()
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	})
}

// luminance is the relative luminance of WCAG 2.2.
func luminance(t *testing.T, colour string) float64 {
	n, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	require.NoError(t, err)
	part := func(shift int) float64 {
		v := float64(n>>shift&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

// TestContrast: WCAG 2.2, 1.4.3 and 1.4.11; the ratio is (L1 + 0.05) / (L2 + 0.05).
func TestContrast(t *testing.T) {
	ratio := func(a, b string) float64 {
		x, y := luminance(t, a), luminance(t, b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	assert.InDelta(t, 21, ratio("#000000", "#ffffff"), 1e-9)
	assert.GreaterOrEqual(t, ratio(ink, paper), 4.5)
	for _, s := range shades {
		assert.GreaterOrEqual(t, ratio(ink, s), 4.5, s)
		assert.GreaterOrEqual(t, ratio(stray, s), 3.0, s)
	}
	for _, s := range append([]string{rule, stray}, strokes[:]...) {
		assert.GreaterOrEqual(t, ratio(s, paper), 3.0, s)
	}
}

// What is thinned keeps its ends, its lowest and its highest value, in order, however many
// points there are.
func TestThin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 20000).Draw(t, "n")
		gap := rapid.Float64Range(0, 3).Draw(t, "gap")
		seed := rapid.Uint64().Draw(t, "seed")
		var thin Thin
		low, high := math.Inf(1), math.Inf(-1)
		first, last := Point{}, Point{}
		for i := range n {
			seed = seed*6364136223846793005 + 1442695040888963407 // Knuth's MMIX generator
			p := Point{At: float64(i) * gap, Value: float64(seed >> 40)}
			thin.Add(p)
			low, high = min(low, p.Value), max(high, p.Value)
			if i == 0 {
				first = p
			}
			last = p
		}
		got := thin.Points()
		l, h := math.Inf(1), math.Inf(-1)
		for i, p := range got {
			l, h = min(l, p.Value), max(h, p.Value)
			if i > 0 && p.At < got[i-1].At {
				t.Fatalf("point %d goes back", i)
			}
		}
		if l != low || h != high || got[0] != first || got[len(got)-1] != last || len(got) > 4*mostStretches {
			t.Fatalf("%d points kept: %v to %v, %v … %v", len(got), l, h, got[0], got[len(got)-1])
		}
	})
}

func TestThinSpans(t *testing.T) {
	var thin ThinSpans
	for i := range 100000 {
		thin.Add(float64(i), []string{"on", "off"}[i%2], i == 77777)
	}
	got := thin.Spans(100000)
	assert.LessOrEqual(t, len(got), mostStretches)
	assert.InDelta(t, 0, got[0].From, 0)
	assert.InDelta(t, 100000, got[len(got)-1].To, 0)
	odd := 0
	for i, s := range got {
		if i > 0 {
			assert.InDelta(t, got[i-1].To, s.From, 0)
		}
		if s.Odd && s.From <= 77777 && s.To > 77777 {
			odd++
		}
	}
	assert.Equal(t, 1, odd)
}

func TestTimeStep(t *testing.T) {
	for _, c := range []struct {
		length, step float64
		unit         string
	}{{1, 0.1, "s"}, {60, 10, "s"}, {300, 30, "s"}, {600, 60, "min"}, {3600, 600, "min"}, {7200, 720, "h"}, {86400, 18000, "h"}} {
		step, unit, _ := timeStep(c.length)
		assert.InDelta(t, c.step, step, 1e-9, c.length)
		assert.Equal(t, c.unit, unit, c.length)
	}
}
