package live

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func texts(ls []diag.Line) []string {
	out := make([]string, len(ls))
	for i := range ls {
		out[i] = ls[i].Text
	}
	return out
}

// because is a statement with its causes. An input has none. Where the first of them says the
// same, with its number or without, it stands for the statement.
func because(says string, causes []string) string {
	in := "  "
	if len(causes) > 0 && strings.HasPrefix(causes[0], says) {
		says, causes, in = causes[0], causes[1:], ""
	}
	out := says + "\n"
	for _, c := range causes {
		out += in + c + "\n"
	}
	return out
}

// all tells how everything stands.
func (s *Session) all(ctx context.Context) string {
	groups := []struct {
		name  string
		kinds []drives.Kind
	}{
		{"inputs", []drives.Kind{drives.OfSetting, drives.OfQuantity, drives.OfSupply}},
		{"relays, thresholds and controllers", []drives.Kind{drives.OfMemory, drives.OfModes, drives.OfTimer, drives.OfBeat}},
		{"fuses", []drives.Kind{drives.OfFuse}},
		{"loads", []drives.Kind{drives.OfLoad}},
		{"results and conditions", []drives.Kind{drives.OfResult, drives.OfBands, drives.OfCondition}},
	}
	out := "after " + scenario.Clocktime(s.now()) + "\n"
	for _, g := range groups {
		var parts []string
		for _, x := range s.hand.Standing(ctx) {
			for _, k := range g.kinds {
				if x.Kind == k {
					parts = append(parts, x.Path+" "+x.With(x.Value))
				}
			}
		}
		if len(parts) > 0 {
			out += g.name + ": " + strings.Join(parts, ", ") + "\n"
		}
	}
	if failed := s.failed(ctx); failed != "" {
		out += "failed: " + failed + "\n"
	}
	return out
}

// failed are the faults that stand.
func (s *Session) failed(ctx context.Context) string {
	var out []string
	for _, a := range s.hand.Now(ctx).Faults() {
		words := strings.TrimPrefix(scenario.FaultWords(&a), "fail ")
		out = append(out, words)
	}
	return strings.Join(out, ", ")
}

// moves lists what can be moved.
func (s *Session) moves(ctx context.Context) string {
	var b strings.Builder
	d := s.hand.Design()
	for _, x := range s.hand.Standing(ctx) {
		switch x.Kind {
		case drives.OfSetting:
			fmt.Fprintf(&b, "set %s %s   now %s\n", x.Path, strings.Join(x.States, "|"), x.With(x.Value))
		case drives.OfQuantity:
			q := quantity(d, x.Path)
			fmt.Fprintf(&b, "set or ramp %s, %s to %s   now %s\n", x.Path, q.Lo, q.Hi, x.With(x.Value))
		case drives.OfSupply:
			fmt.Fprintf(&b, "set %s   now %s\n", x.Path, x.With(x.Value))
		}
	}
	if b.Len() == 0 {
		b.WriteString("nothing can be moved from outside\n")
	}
	b.WriteString("wait TIME, fail THING MODE, swap CONNECTOR with CONNECTOR\n")
	if failed := s.failed(ctx); failed != "" {
		fmt.Fprintf(&b, "mend   failed: %s\n", failed)
	}
	return b.String()
}

func quantity(d *model.Design, path string) *model.Quantity {
	for i := range d.Quantities {
		if d.Quantities[i].Path == path {
			return &d.Quantities[i]
		}
	}
	return &model.Quantity{}
}

func (s *Session) list() string {
	if len(s.lines) == 0 {
		return "nothing was done\n"
	}
	var b strings.Builder
	for i, l := range s.lines {
		fmt.Fprintf(&b, "%d. %s\n", i+1, l)
	}
	return b.String()
}

// write gives what was done as a drive, and says what a check of it will say.
func (s *Session) write(ctx context.Context, name string) (Answer, error) {
	switch {
	case name == "" || strings.ContainsAny(name, " \t:,;()\"'"):
		return Answer{}, errors.New("say how the drive is to be called, in one word: write warm_up")
	case len(s.lines) == 0:
		return Answer{}, errors.New("nothing was done that could be written")
	}
	d := s.hand.Design()
	for i := range d.Drives {
		if d.Drives[i].Name == name && d.Drives[i].Fit == model.None {
			return Answer{}, fmt.Errorf("the design has a drive %s already; take another name", name)
		}
	}
	text := s.text(name, s.lines)
	req := s.req
	src := *req.Source
	req.Source = &src
	var err error
	if src.Tree, err = run.Behind(src.Tree, text); err != nil {
		return Answer{}, fmt.Errorf("%q can't be the name of a drive: %w", name, err)
	}
	got, err := run.Drive(ctx, run.DriveRequest{OpenRequest: req, Names: []string{name}})
	if err != nil {
		return Answer{}, err
	}
	s.moved = false
	out := Answer{Written: text}
	for i := range got.Drives {
		out.Text += "# " + drives.Summary(name, got.Drives[i].Outcomes) + "\n"
	}
	return out, nil
}

// Unwritten reports whether something was done that was not written since.
func (s *Session) Unwritten() bool { return s.moved }
