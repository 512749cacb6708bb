package report

import (
	"fmt"
	"io"
	"strings"

	"pintle/checker/run"
	"pintle/lang/escape"
)

// WriteWires writes the statements of a list of wires to out, and what was not taken of the
// list, a file or standard input, to errs.
func WriteWires(out, errs io.Writer, list string, r *run.WiresResult) error {
	if _, err := io.WriteString(out, escape.Lines(r.Text)); err != nil {
		return err
	}
	say := func(format string, args ...any) {
		fmt.Fprintln(errs, escape.Line(fmt.Sprintf(format, args...))) // nobody is left to be told
	}
	for _, p := range r.Problems {
		what := p.What
		if p.Wire != "" {
			what = p.Wire + ": " + what
		}
		say("%s:%d: %s", escape.Path(list), p.Line, what)
	}
	if len(r.Ignored) > 0 {
		say("these columns say nothing that a wire states: %s", strings.Join(r.Ignored, ", "))
	}
	left := ""
	if r.Same > 0 {
		left = fmt.Sprintf(", %d in the design already", r.Same)
	}
	say("%s written%s, %d not taken", count(r.Taken, "wire"), left, len(r.Problems))
	return nil
}
