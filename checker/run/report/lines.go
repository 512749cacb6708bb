package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pintle/checker/run"
	"pintle/lang/escape"
)

// writeLines writes a line for each finding that is not accepted:
// path:line:column: severity: message (rule). No path can be taken for one with another line:
// see [escape.Path].
func writeLines(w io.Writer, r *run.Result, _ Options) error {
	b := bufio.NewWriter(w)
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Waived != nil {
			continue
		}
		message := f.Message
		if f.Where != "" {
			message += ", " + f.Where
		}
		if f.Follows != nil {
			message += "; " + follows(f)
		}
		at := position(f.Place)
		if name := nameOf(f.Place); name != "" {
			at = escape.Path(name) + strings.TrimPrefix(at, name)
		}
		fmt.Fprintf(b, "%s: %s: %s (%s)\n", at, f.Severity, escape.Line(message), f.Rule)
	}
	return b.Flush()
}
