package report

import (
	"encoding/csv"
	"io"
	"strconv"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/escape"
)

// driveCSV writes the recordings of all runs as one table: a row for each settled moment, a
// column for each signal that changes in some run or was asked for. A cell is empty where the
// design of the run has nothing of that name, and `?` where a value is not known.
func driveCSV(w io.Writer, r *run.DriveResult) error {
	out := csv.NewWriter(w)
	heads := []string{"drive", "design", "pace", "step", "seconds"}
	fixed := len(heads)
	column := map[string]int{}
	r.EachRun(func(_ *run.Driven, _ *drives.Outcome, x *drives.Run) {
		for i := range x.Recording.Signals {
			s := &x.Recording.Signals[i]
			if head := csvHead(s); column[head] == 0 && (s.Kind == drives.OfMeasure || x.Recording.Changes(i)) {
				column[head] = len(heads)
				heads = append(heads, head)
			}
		}
	})
	err := out.Write(heads)
	r.EachRun(func(d *run.Driven, o *drives.Outcome, x *drives.Run) {
		for _, s := range x.Recording.Samples {
			cells := make([]string, len(heads))
			copy(cells[:fixed], []string{
				escape.Line(d.Name), escape.Line(o.Design.Name), x.Paces[0].Name(), escape.Line(x.StepName(s.Step)),
				strconv.FormatFloat(scenario.Seconds(s.At), 'f', -1, 64),
			})
			for i := range x.Recording.Signals {
				if k := column[csvHead(&x.Recording.Signals[i])]; k > 0 {
					cells[k] = escape.Line(x.Recording.Signals[i].Text(s.Values[i]))
				}
			}
			if err == nil {
				err = out.Write(cells)
			}
		}
	})
	if err != nil {
		return err
	}
	out.Flush()
	return out.Error()
}

func csvHead(s *drives.Signal) string {
	if s.Number() && s.Unit.Symbol != "" {
		return escape.Line(s.Path + " (" + s.Unit.Symbol + ")")
	}
	return escape.Line(s.Path)
}
