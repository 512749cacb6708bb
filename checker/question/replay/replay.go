package replay

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/replay/recording"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Tracer is told what a drawing of the recording shows; times are in s.
type Tracer interface {
	// Number is a value of a quantity or a measure.
	Number(column int, at, value float64, gap bool)
	// States are what a column records, what the description says, and whether it departs,
	// from a time on.
	States(column int, at float64, recorded, described string, departs bool)
}

// Options say how a recording is replayed.
type Options struct {
	Mapping *Mapping
	Base    string        // see Mapping.Statements
	Sound   *model.Design // without the fuses that open (fault.Protect): what faults are injected into
	Faults  bool          // look for the single faults that would explain a departure
	Trace   Tracer        // nil: none
	// Step, if set, is told every now and then how many bytes have been read.
	Step func(bytes int64)
}

// Replay is a recording that is being read.
type Replay struct {
	d    *model.Design
	o    Options
	p    *scenario.Possible
	in   *recording.Reader
	out  Result
	cols []*column

	time        *column
	clock       recording.Clock
	comma       bool
	gap, within int64
	inputs      []*column // quantities
	settings    []*column
	outputs     []*column
	pasts       []*past // one for each of inputs
	base        scenario.Known
	free        bool // some input is not recorded
	queue       []*row
	spare       []*row
	odd         oddities
	began       bool

	was             row
	lastIn, lastSet []value // the last values that were recorded
	known           scenario.Known
	// What lets a row pass without a look at the design.
	windows []struct{ lo, hi [2]float64 } // where the ends of what is known of an input may lie
	stable  bool
	next    int64

	judges  []judge
	passes  passes
	ring    []entry
	stories map[storyKey]int
	watched []*window
}

// row is what a row says, in the order of inputs, settings and outputs.
type row struct {
	at     int64 // ns from the first row, jumps left out
	line   int
	broken bool // nothing is known of what was before
	in     []value
	set    []value
	out    []value
	want   int // inputs that are missing and have yet to be made up for
}

// defaultGap is how long a recording may say nothing before it counts as interrupted.
// Common practice, no source: loggers write ten rows a second to one in ten seconds.
const defaultGap = 15 * time.Second

// New opens a recording: it reads the header and maps the columns. Errors are sentences.
func New(d *model.Design, in io.Reader, o Options) (*Replay, error) {
	m := o.Mapping
	separator := byte(0)
	switch m.Separator {
	case "":
	case ",", ";", "\t", "|":
		separator = m.Separator[0]
	case "tab":
		separator = '\t'
	default:
		return nil, fmt.Errorf("separator: there are \",\", \";\", \"|\" and \"tab\", not %q", m.Separator)
	}
	p, err := scenario.NewPossible(d)
	if err != nil {
		return nil, err
	}
	if o.Sound == nil {
		o.Sound = d
	}
	r := &Replay{d: d, o: o, p: p, stories: map[storyKey]int{}}
	r.passes = passes{of: map[pointKey][]bracket{}, count: map[pointKey]int{}, by: map[pointKey]crossing{}, sweeps: map[string][]crossing{}}
	if r.in, err = recording.NewReader(in, separator, func(f string) int { return m.Score(d, f) }); err != nil {
		return nil, err
	}
	switch m.Decimal {
	case "", ".":
		r.comma = m.Decimal == "" && r.in.Separator != ','
	case ",":
		if r.comma = true; r.in.Separator == ',' {
			return nil, errors.New("decimal: a comma separates the columns and can't be the decimal point too")
		}
	default:
		return nil, fmt.Errorf("decimal: there are \".\" and \",\", not %q", m.Decimal)
	}
	if r.cols, r.out.Unmapped, err = m.bind(d, r.in.Header, o.Base); err != nil {
		return nil, fmt.Errorf("line %d: %w", r.in.Line, err)
	}
	r.out.HeaderLine, r.out.Separator = r.in.Line, string(r.in.Separator)
	return r, r.prepare()
}

// prepare sorts the columns into inputs and what is judged.
func (r *Replay) prepare() (err error) {
	m := r.o.Mapping
	recorded := map[string]bool{}
	r.base = r.p.Anything()
	for _, c := range r.cols {
		recorded[c.path] = true
		switch c.kind {
		case timeColumn:
			r.time = c
			r.clock.Comma = r.comma
			if r.clock.Unit, err = m.timeUnit(c.name); err != nil {
				return err
			}
			continue
		case quantity:
			r.inputs = append(r.inputs, c)
			r.pasts = append(r.pasts, &past{column: c})
			r.base.Loose[c.index] = false
		case setting:
			r.settings = append(r.settings, c)
		default:
			r.outputs = append(r.outputs, c)
		}
		r.out.Columns = append(r.out.Columns, Mapped{Column: c.name, Thing: c.path, Unit: c.thing.unit.Symbol, Input: c.kind == quantity || c.kind == setting})
	}
	switch {
	case r.time == nil:
		return fmt.Errorf("line %d: no column is the time; say which one is: --time COLUMN", r.in.Line)
	case len(r.outputs) == 0:
		return fmt.Errorf("line %d: no column records what the design decides (a result, a load, modes, a pin); with inputs alone there is nothing to compare", r.in.Line)
	}
	if r.out.Held, err = m.held(r.d, r.p, &r.base, func(path string) bool { return recorded[path] }); err != nil {
		return err
	}
	for i := range r.d.Quantities {
		if q := &r.d.Quantities[i]; !recorded[q.Path] && r.base.Loose[i] {
			r.out.Unrecorded = append(r.out.Unrecorded, q.Path)
		}
	}
	for i := range r.d.Settings {
		if s := &r.d.Settings[i]; !recorded[s.Path] && len(r.base.Positions[i]) > 1 {
			r.out.Unrecorded = append(r.out.Unrecorded, s.Path)
		}
	}
	sometimes := slices.ContainsFunc(r.d.Elements, func(e model.Element) bool { return e.Sometimes })
	r.free = len(r.out.Unrecorded) > 0 || sometimes
	gap, err := difference("gap", m.Gap, unit.Time)
	if err != nil {
		return err
	}
	within, err := difference("within", m.Within, unit.Time)
	if err != nil {
		return err
	}
	if r.gap = int64(gap * 1e9); m.Gap == "" {
		r.gap = int64(defaultGap)
	}
	r.within = int64(within * 1e9)
	r.judges = make([]judge, len(r.outputs))
	r.was = row{in: make([]value, len(r.inputs)), set: make([]value, len(r.settings)), out: make([]value, len(r.outputs))}
	for range r.inputs {
		r.lastIn = append(r.lastIn, value{missing: true})
	}
	for range r.settings {
		r.lastSet = append(r.lastSet, value{missing: true})
	}
	r.windows = make([]struct{ lo, hi [2]float64 }, len(r.inputs))
	return nil
}

// Run reads the recording to its end.
func (r *Replay) Run(ctx context.Context) (*Result, error) {
	const often = 1 << 12
	for n := int64(1); ; n++ {
		fields, err := r.in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if n%often == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if r.o.Step != nil {
				r.o.Step(r.in.Bytes)
			}
		}
		row, err := r.read(fields)
		if err != nil {
			return nil, err
		}
		if err := r.enqueue(ctx, row); err != nil {
			return nil, err
		}
	}
	if err := r.flush(ctx, true); err != nil {
		return nil, err
	}
	if r.out.Rows == 0 {
		return nil, &recording.LineError{Line: r.in.Line, What: "no row comes behind the header"}
	}
	return r.finish(ctx)
}

// finish closes what is open and sums up.
func (r *Replay) finish(ctx context.Context) (*Result, error) {
	for i := range r.judges {
		r.agrees(i, r.was.at)
	}
	r.out.Length = r.was.at
	k := 0
	for _, c := range r.cols {
		if c.kind == timeColumn {
			continue
		}
		r.out.Columns[k].Missing = c.missing
		k++
	}
	r.out.Notes = append(r.out.Notes, r.odd.notes()...)
	r.out.Points, r.out.Unattributed = r.points(), r.passes.unattributed
	if err := r.explain(ctx); err != nil {
		return nil, err
	}
	return &r.out, nil
}
