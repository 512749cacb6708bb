package report

import (
	"bufio"
	"fmt"
	"io"

	"pintle/checker/run"
)

// writeLines writes a line for each finding that is not accepted:
// path:line:column: severity: message (rule).
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
		fmt.Fprintf(b, "%s: %s: %s (%s)\n", clean(position(f.Place)), f.Severity, clean(message), f.Rule)
	}
	return b.Flush()
}
