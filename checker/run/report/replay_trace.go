package report

import (
	"fmt"

	"pintle/checker/run"
	"pintle/checker/run/report/plot"
)

// ReplayTrace keeps of a recording what a drawing can show, however long it is. It is the
// replay.Tracer of a request.
type ReplayTrace struct{ lanes map[int]*replayLane }

type replayLane struct {
	points              plot.Thin
	numbers             bool
	recorded, described plot.ThinSpans
	end                 float64
}

// NewReplayTrace makes an empty one.
func NewReplayTrace() *ReplayTrace { return &ReplayTrace{map[int]*replayLane{}} }

func (t *ReplayTrace) lane(column int) *replayLane {
	l := t.lanes[column]
	if l == nil {
		l = &replayLane{}
		t.lanes[column] = l
	}
	return l
}

// Number implements replay.Tracer.
func (t *ReplayTrace) Number(column int, at, value float64, gap bool) {
	l := t.lane(column)
	l.numbers, l.end = true, max(l.end, at)
	l.points.Add(plot.Point{At: at, Value: value, Gap: gap})
}

// States implements replay.Tracer.
func (t *ReplayTrace) States(column int, at float64, recorded, described string, departs bool) {
	l := t.lane(column)
	l.end = max(l.end, at)
	if recorded == "" {
		recorded = "not recorded"
	}
	l.recorded.Add(at, recorded, departs)
	l.described.Add(at, described, false)
}

// chart draws the columns: numbers first, as they stand in the recording, then states.
func (t *ReplayTrace) chart(r *run.ReplayResult) *plot.Chart {
	c := &plot.Chart{Title: r.Title + ": " + r.Log, To: r.Seconds()}
	about := "The recording agrees with the design."
	if !r.Agrees() {
		about = fmt.Sprintf("The recording departs from the design %d times; what departs is hatched.", r.All)
	}
	c.About = about
	for _, numbers := range [...]bool{true, false} {
		for i, m := range r.Columns {
			l := t.lanes[i]
			if l == nil || l.numbers != numbers {
				continue
			}
			lane := plot.Lane{Name: m.Thing}
			if numbers {
				lane.Unit, lane.Points = m.Unit, l.points.Points()
				lane.Levels = levels(r, m.Thing)
			} else {
				lane.Bars = []plot.Bar{{Label: "described", Spans: l.described.Spans(c.To)}, {Label: "recorded", Spans: l.recorded.Spans(c.To)}}
			}
			c.Lanes = append(c.Lanes, lane)
		}
	}
	return c
}

// levels are the described points of a quantity.
func levels(r *run.ReplayResult, quantity string) (out []plot.Level) {
	seen := map[float64]bool{}
	for i := range r.Points {
		p := &r.Points[i]
		if v := p.In(p.Described); p.Quantity == quantity && !seen[v] {
			seen[v] = true
			label := p.By
			if label == "" {
				label = p.Thing + " " + p.To
			}
			out = append(out, plot.Level{Value: v, Label: label})
		}
	}
	return out
}
