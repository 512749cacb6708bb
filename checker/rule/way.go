package rule

import (
	"pintle/checker/system"
	"pintle/lang/diag"
)

// Way is the evidence of a trace: how a state is come to. It is nil without a trace.
func Way(t *system.Trace) []diag.Evidence {
	if t == nil {
		return nil
	}
	lines := t.Lines()
	if len(lines) == 0 {
		lines = []diag.Line{{Text: "so from the start, before anything is moved"}}
	}
	return []diag.Evidence{{Kind: diag.Trace, Lines: lines}}
}
