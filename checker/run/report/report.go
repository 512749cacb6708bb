// Package report writes what a check found: as text with excerpts for people, as
// lines for tools that look for path:line:column, and as JSON, SARIF 2.1.0 and
// JUnit XML for programs.
//
// Everything but the text's closing lines is the same from run to run.
package report

import (
	"fmt"
	"io"
	"slices"
	"time"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/lang/diag"
)

// Options say how a result is written.
type Options struct {
	// Version of Pintle, as the outputs for programs name it.
	Version string
	// Catalogue gives rules their pages in SARIF.
	Catalogue *rule.Catalogue
	// Verdicts adds, to text, json and junit, how everything stands that the designs say of
	// themselves, and what is accepted.
	Verdicts bool
	// Costs adds, to text, what the work on each design took.
	Costs bool
	// Colour draws text in colour.
	Colour bool
	// Whole tells in full, in text, of findings that follow from another one; otherwise
	// they are a line each below it.
	Whole bool
	// FailOn is the severity from which on a finding counts as a failure in JUnit.
	FailOn diag.Severity
	// Elapsed is named in the text's closing lines unless it is zero.
	Elapsed time.Duration
}

type format struct {
	name  string
	write func(io.Writer, *run.Result, Options) error
}

// formats in the order in which help names them.
var formats = []format{
	{"text", writeText},
	{"json", writeJSON},
	{"sarif", writeSARIF},
	{"junit", writeJUnit},
	{"lines", writeLines},
}

// Formats are the names that Write knows.
func Formats() []string {
	var names []string
	for _, f := range formats {
		names = append(names, f.name)
	}
	return names
}

// Write writes a result in one of the Formats.
func Write(w io.Writer, name string, r *run.Result, o Options) error {
	i := slices.IndexFunc(formats, func(f format) bool { return f.name == name })
	if i < 0 {
		return fmt.Errorf("there is no output called %q", name)
	}
	return formats[i].write(w, r, o)
}
