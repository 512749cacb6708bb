package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// The layout of JUnit's XML as build servers read it: a suite for each file, a case
// for each finding, and a case that passes for a file without any. If verdicts are asked for,
// each of them is a case.
type (
	junitSuites struct {
		XMLName  xml.Name     `xml:"testsuites"`
		Name     string       `xml:"name,attr"`
		Tests    int          `xml:"tests,attr"`
		Failures int          `xml:"failures,attr"`
		Errors   int          `xml:"errors,attr"`
		Suites   []junitSuite `xml:"testsuite"`
	}
	junitSuite struct {
		Name     string      `xml:"name,attr"`
		Tests    int         `xml:"tests,attr"`
		Failures int         `xml:"failures,attr"`
		Errors   int         `xml:"errors,attr"`
		Skipped  int         `xml:"skipped,attr"`
		Cases    []junitCase `xml:"testcase"`
	}
	junitCase struct {
		Class   string        `xml:"classname,attr"`
		Name    string        `xml:"name,attr"`
		Failure *junitMessage `xml:"failure"`
		Error   *junitMessage `xml:"error"`
		Skipped *junitMessage `xml:"skipped"`
		Output  string        `xml:"system-out,omitempty"`
	}
	junitMessage struct {
		Message string `xml:"message,attr"`
		Type    string `xml:"type,attr,omitempty"`
		Text    string `xml:",chardata"`
	}
)

func writeJUnit(w io.Writer, r *run.Result, o Options) error {
	all := junitSuites{Name: "pintle"}
	index := map[string]int{}
	suite := func(file string) *junitSuite {
		i, ok := index[file]
		if !ok {
			i = len(all.Suites)
			index[file] = i
			all.Suites = append(all.Suites, junitSuite{Name: escape.Line(file)})
		}
		return &all.Suites[i]
	}
	for _, file := range r.Files {
		suite(file)
	}
	for i := range r.Verdicts {
		suite(nameOf(r.Verdicts[i].Place)).verdict(&r.Verdicts[i], r.Findings, o.FailOn)
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		suite(nameOf(f.Place)).add(f, o.FailOn)
	}
	for _, f := range r.Failures {
		s := suite(f.File)
		s.Errors++
		s.Cases = append(s.Cases, junitCase{Class: s.Name, Name: "check", Error: &junitMessage{Message: escape.Lines(f.What)}})
	}
	for i := range all.Suites {
		s := &all.Suites[i]
		if len(s.Cases) == 0 {
			s.Cases = append(s.Cases, junitCase{Class: s.Name, Name: "check"})
		}
		s.Tests = len(s.Cases)
		all.Tests += s.Tests
		all.Failures += s.Failures
		all.Errors += s.Errors
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	enc := xml.NewEncoder(w)
	enc.Indent("", "  ")
	if err := enc.Encode(all); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

func (s *junitSuite) add(f *diag.Finding, failOn diag.Severity) {
	c := junitCase{Class: s.Name, Name: f.Rule + ": " + escape.Line(f.Message)}
	switch {
	case f.Waived != nil:
		s.Skipped++
		c.Skipped = &junitMessage{Message: "accepted: " + escape.Line(f.Waived.Reason)}
	case f.Severity >= failOn:
		s.Failures++
		c.Failure = &junitMessage{Message: escape.Line(f.Message), Type: f.Rule, Text: junitText(f)}
	default:
		c.Output = f.Severity.String() + "\n" + junitText(f)
	}
	s.Cases = append(s.Cases, c)
}

func junitText(f *diag.Finding) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", position(f.Place))
	if f.Follows != nil {
		fmt.Fprintf(&b, "%s: %s\n", follows(f), f.Follows.Message)
	}
	for _, l := range []struct{ label, text string }{{"in", f.Where}, {"why", f.Why}, {"do", f.Help}} {
		if l.text != "" {
			fmt.Fprintf(&b, "%s: %s\n", l.label, l.text)
		}
	}
	for _, e := range f.Evidence {
		for _, l := range lines(e) {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	return escape.Lines(b.String())
}
