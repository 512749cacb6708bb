package plot

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"pintle/lang/escape"
)

// The layout, in px of the user space.
const (
	width     = 960
	left      = 190 // room for names and values
	right     = 20
	top       = 48
	gap       = 14
	lineLane  = 110
	barHeight = 20
	barStep   = 24
	textSize  = 12
	letter    = 6.6 // width of a character, for what fits into a bar; from memory, of common fonts
)

// WriteSVG draws the chart.
func (c *Chart) WriteSVG(w io.Writer) error {
	out := bufio.NewWriter(w)
	d := drawing{Writer: out, chart: c}
	d.all()
	return out.Flush()
}

type drawing struct {
	io.Writer
	chart *Chart
	lines int // that are drawn
}

func (d *drawing) put(format string, args ...any) { fmt.Fprintf(d, format+"\n", args...) }

// px writes a coordinate.
func px(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}

// safe makes a text fit to be the content or an attribute of an element.
func safe(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(escape.Line(s))) // a Builder takes everything
	return b.String()
}

// x is where a time stands.
func (d *drawing) x(at float64) float64 {
	c := d.chart
	if c.To <= c.From {
		return left
	}
	at = min(max(at, c.From), c.To)
	return left + (at-c.From)/(c.To-c.From)*(width-left-right)
}

func (l *Lane) height() float64 {
	if len(l.Bars) > 0 {
		return float64(len(l.Bars)-1)*barStep + barHeight
	}
	return lineLane
}

func (d *drawing) text(x, y float64, anchor, style, s string) {
	d.put(`<text x="%s" y="%s" text-anchor="%s"%s>%s</text>`, px(x), px(y), anchor, style, safe(s))
}

func (d *drawing) all() {
	c := d.chart
	height := float64(top)
	for i := range c.Lanes {
		height += c.Lanes[i].height() + gap
	}
	bottom := height
	height += 40
	d.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %s" width="%d" height="%s" role="img" aria-labelledby="title about" font-family="sans-serif" font-size="%d" fill="%s">`,
		width, px(height), width, px(height), textSize, ink)
	d.put(`<title id="title">%s</title>`, safe(c.Title))
	d.put(`<desc id="about">%s</desc>`, safe(c.About))
	d.put(`<defs><pattern id="odd" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V6" stroke="%s" stroke-width="2"/></pattern></defs>`, stray)
	d.put(`<rect width="%d" height="%s" fill="%s"/>`, width, px(height), paper)
	d.text(left, 20, "start", ` font-size="15" font-weight="bold"`, c.Title)
	d.axis(top-8, bottom)
	y := float64(top)
	for i := range c.Lanes {
		l := &c.Lanes[i]
		if len(l.Bars) > 0 {
			d.bars(l, y)
		} else {
			d.line(l, y)
		}
		y += l.height() + gap
	}
	d.put("</svg>")
}

// axis draws the times below everything, and the marks.
func (d *drawing) axis(from, to float64) {
	c := d.chart
	step, unit, scale := timeStep(c.To - c.From)
	for _, at := range ticks(c.From, c.To, step) {
		d.put(`<path d="M%s %sV%s" stroke="%s" stroke-width="0.5" stroke-dasharray="1 3"/>`, px(d.x(at)), px(from), px(to), rule)
		d.text(d.x(at), to+16, "middle", "", number(at/scale))
	}
	d.put(`<path d="M%d %sH%d" stroke="%s"/>`, left, px(to), width-right, rule)
	d.text(width-right, to+32, "end", "", "time in "+unit)
	free := 0.0
	for _, m := range c.Marks {
		x := d.x(m.At)
		d.put(`<path d="M%s %sV%s" stroke="%s"/>`, px(x), px(from), px(to), rule)
		if x >= free {
			d.text(x+2, from, "start", ` font-size="10"`, m.Label)
			free = x + 10 + float64(utf8.RuneCountInString(m.Label))*letter
		}
	}
}

// line draws a quantity.
func (d *drawing) line(l *Lane, y float64) {
	low, high := l.ends()
	at := func(v float64) float64 { return y + lineLane - (v-low)/(high-low)*lineLane }
	name := l.Name
	if l.Unit != "" {
		name += " in " + l.Unit
	}
	colour := strokes[d.lines%len(strokes)]
	d.lines++
	d.text(8, y+14, "start", ` font-weight="bold"`, name)
	d.put(`<rect x="%d" y="%s" width="%d" height="%d" fill="none" stroke="%s" stroke-width="0.5"/>`, left, px(y), width-left-right, lineLane, rule)
	step := niceStep((high - low) / 4)
	for _, v := range ticks(low, high, step) {
		d.text(left-6, min(max(at(v)+4, y+9), y+lineLane), "end", ` font-size="10"`, number(v))
		d.put(`<path d="M%d %sH%d" stroke="%s"/>`, left-3, px(at(v)), left, rule)
	}
	for _, v := range l.Levels {
		d.put(`<path d="M%d %sH%d" stroke="%s" stroke-dasharray="6 3"/>`, left, px(at(v.Value)), width-right, rule)
		d.text(width-right-4, at(v.Value)-3, "end", ` font-size="10"`, v.Label)
	}
	var path strings.Builder
	for i, p := range l.Points {
		switch {
		case i == 0 || p.Gap:
			path.WriteString("M")
		case l.Step:
			path.WriteString("H" + px(d.x(p.At)) + "L")
		default:
			path.WriteString("L")
		}
		path.WriteString(px(d.x(p.At)) + " " + px(at(p.Value)))
	}
	if l.Step && len(l.Points) > 0 {
		path.WriteString("H" + px(d.x(d.chart.To)))
	}
	if path.Len() > 0 {
		d.put(`<path d="%s" fill="none" stroke="%s" stroke-width="1.5" stroke-linejoin="round"/>`, path.String(), colour)
	}
}

// ends are the lowest and the highest value that a lane shows.
func (l *Lane) ends() (low, high float64) {
	first := true
	take := func(v float64) {
		if first {
			low, high, first = v, v, false
		}
		low, high = min(low, v), max(high, v)
	}
	for _, p := range l.Points {
		take(p.Value)
	}
	for _, v := range l.Levels {
		take(v.Value)
	}
	if high <= low {
		return low - 1, low + 1
	}
	room := (high - low) / 20
	return low - room, high + room
}

// bars draws states.
func (d *drawing) bars(l *Lane, y float64) {
	d.text(8, y+14, "start", ` font-weight="bold"`, l.Name)
	shade := map[string]string{}
	for _, b := range l.Bars {
		for _, s := range b.Spans {
			if _, known := shade[s.State]; !known {
				shade[s.State] = shades[len(shade)%len(shades)]
			}
		}
	}
	for i, b := range l.Bars {
		at := y + float64(i)*barStep
		if b.Label != "" {
			d.text(left-6, at+14, "end", ` font-size="10"`, b.Label)
		}
		for _, s := range b.Spans {
			x, wide := d.x(s.From), d.x(s.To)-d.x(s.From)
			place := fmt.Sprintf(`x="%s" y="%s" width="%s" height="%d"`, px(x), px(at), px(max(wide, 0.5)), barHeight)
			d.put(`<rect %s fill="%s" stroke="%s" stroke-width="0.5"><title>%s</title></rect>`, place, shade[s.State], rule,
				safe(fmt.Sprintf("%s %s from %s s to %s s", l.Name, s.State, number(s.From), number(s.To))))
			if s.Odd {
				d.put(`<rect x="%s" y="%s" width="%s" height="4" fill="url(#odd)" stroke="%s"/>`, px(x), px(at+barHeight-4), px(max(wide, 1)), stray)
			}
			if float64(utf8.RuneCountInString(s.State))*letter+6 <= wide {
				d.text(x+wide/2, at+14, "middle", ` font-size="11"`, s.State)
			}
		}
	}
}
