package report

import (
	"io"

	"pintle/checker/question/replay"
	"pintle/checker/run"
)

// replayVersion is that of the JSON output, whose schema is replay.schema.json.
const replayVersion = 1

// The layout of the JSON output. Times are in s from the first row.
type (
	replayDocument struct {
		Version      int             `json:"version"`
		File         string          `json:"file"`
		Design       string          `json:"design"`
		Log          string          `json:"log"`
		Rows         int64           `json:"rows"`
		Seconds      float64         `json:"seconds"`
		Agrees       bool            `json:"agrees"`
		Lost         string          `json:"lost,omitempty"`
		Columns      []replayColumn  `json:"columns"`
		Unmapped     []string        `json:"unmapped"`
		Unrecorded   []string        `json:"unrecorded"`
		Held         []string        `json:"held"`
		Notes        []string        `json:"notes"`
		Stories      []replayStory   `json:"stories"`
		Departures   []replayDeparts `json:"departures"`
		All          int64           `json:"departures_in_all"`
		Short        int64           `json:"too_short_to_count"`
		Points       []replayPoint   `json:"switching_points"`
		Unattributed int64           `json:"changes_without_point"`
	}
	replayColumn struct {
		Column  string `json:"column"`
		Thing   string `json:"thing"`
		Input   bool   `json:"input"`
		Missing int64  `json:"missing"`
	}
	replayDeparts struct {
		Column    string  `json:"column"`
		Thing     string  `json:"thing"`
		Line      int     `json:"line"`
		From      float64 `json:"from"`
		Last      float64 `json:"last"`
		To        float64 `json:"to"`
		Described string  `json:"described"`
		Recorded  string  `json:"recorded"`
	}
	replayStory struct {
		Column    string           `json:"column"`
		Thing     string           `json:"thing"`
		Described string           `json:"described"`
		Recorded  string           `json:"recorded"`
		Count     int64            `json:"count"`
		Seconds   float64          `json:"seconds"`
		First     replayDeparts    `json:"first"`
		Longest   replayDeparts    `json:"longest"`
		Explained *replayExplained `json:"single_faults,omitempty"`
	}
	replayExplained struct {
		Explain [][]string `json:"explain"`
		Tried   int        `json:"tried"`
		Of      int        `json:"of"`
		From    float64    `json:"from"`
		To      float64    `json:"to"`
		Open    []string   `json:"not_tried"`
	}
	replayPoint struct {
		Column     string  `json:"column"`
		Thing      string  `json:"thing"`
		From       string  `json:"from"`
		To         string  `json:"to"`
		Quantity   string  `json:"quantity"`
		Rising     bool    `json:"rising"`
		By         string  `json:"by"`
		Unit       string  `json:"unit"`
		Described  float64 `json:"described"`
		Slack      float64 `json:"accuracy"`
		Low        float64 `json:"low"`
		High       float64 `json:"high"`
		Middle     float64 `json:"middle"`
		Confidence float64 `json:"confidence"`
		Passes     int     `json:"passes"`
		Verdict    string  `json:"verdict"`
	}
)

func replayJSON(w io.Writer, r *run.ReplayResult) error {
	s := func(ns int64) float64 { return float64(ns) / 1e9 }
	some := func(of []string) []string { return append([]string{}, of...) }
	out := replayDocument{
		Version: replayVersion, File: r.File, Design: r.Title, Log: r.Log, Rows: r.Rows, Seconds: s(r.Length), Agrees: r.Agrees(), Lost: r.Lost,
		Columns: []replayColumn{}, Unmapped: some(r.Unmapped), Unrecorded: some(r.Unrecorded), Held: some(r.Held), Notes: some(r.Notes),
		Stories: []replayStory{}, Departures: []replayDeparts{}, All: r.All, Short: r.Short, Points: []replayPoint{}, Unattributed: r.Unattributed,
	}
	departs := func(d *replay.Departure) replayDeparts {
		return replayDeparts{d.Column, d.Thing, d.Line, s(d.From), s(d.Last), s(d.To), d.Expected, d.Recorded}
	}
	for _, c := range r.Columns {
		out.Columns = append(out.Columns, replayColumn{c.Column, c.Thing, c.Input, c.Missing})
	}
	for i := range r.Departures {
		out.Departures = append(out.Departures, departs(&r.Departures[i]))
	}
	for i := range r.Stories {
		x := &r.Stories[i]
		story := replayStory{
			Column: x.Column, Thing: x.Thing, Described: x.Expected, Recorded: x.Recorded, Count: x.Count, Seconds: s(x.Total),
			First: departs(&x.First), Longest: departs(&x.Longest),
		}
		if e := x.Explained; e != nil {
			story.Explained = &replayExplained{append([][]string{}, e.Groups...), e.Tried, e.Of, s(e.From), s(e.To), some(e.Open)}
		}
		out.Stories = append(out.Stories, story)
	}
	for i := range r.Points {
		p := &r.Points[i]
		in := func(v float64) float64 { return p.In(v) }
		out.Points = append(out.Points, replayPoint{
			p.Column, p.Thing, p.From, p.To, p.Quantity, p.Rising, p.By, p.Unit.Symbol, in(p.Described), p.Slack * p.Scale(), in(p.Low), in(p.High), in(p.Middle),
			p.Confidence, p.Passes, p.Verdict.String(),
		})
	}
	return encodeJSON(w, out, "  ")
}
