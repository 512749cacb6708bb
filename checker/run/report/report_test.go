package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math/big"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/source"
)

const lamps = `title "Lamps"
setting stalk: dipped, main
fit left: {
	pin 56a, 56b, 31
    load dipped: 56b to 31, 55 W at 12 V, lit from 60 %  # the µ-lamp
}
splice earth
wire W9: left.31 to earth, brown
accept wire-colours-repeat: on C12, because "labelled"
`

// at finds a text in the file, for places in the tests.
func at(f *source.File, s string) diag.Place {
	i := strings.Index(f.Text, s)
	if i < 0 {
		panic(fmt.Sprintf("%q does not stand in %s", s, f.Name))
	}
	return diag.Place{File: f, Span: source.Span{Start: i, End: i + len(s)}}
}

func sample(t *testing.T) (*run.Result, *rule.Catalogue) {
	file := source.NewFile("lamps & co/lamps.pintle", lamps)
	parts := source.NewFile("parts.pintle", "part Bulb {\n    pin a, b\n}\n")
	return &run.Result{
		Files: []string{"clean.pintle", file.Name, parts.Name},
		Findings: []diag.Finding{
			{
				Rule: "sneak-path", Severity: diag.Error, Message: "left.dipped is lit although stalk is main",
				Why: "both filaments run and the bulb melts", Help: "give the lamp an earth of its own",
				Place: at(file, "dipped: 56b"), Subject: "left.dipped", Where: "steering left",
				Related: []diag.Related{
					{Place: at(file, "earth"), Note: "the earths meet here"},
					{Place: at(parts, "Bulb"), Note: "the bulb's part"},
				},
				Evidence: []diag.Evidence{
					{Kind: diag.Path, Lines: []diag.Line{
						{Text: "battery.stud"}, {Text: "W9, brown", Place: at(file, "wire W9")}, {Text: "a pin of the bulb", Place: at(parts, "pin")},
					}},
					{Kind: diag.Trace, Lines: []diag.Line{{Text: "set stalk main", Step: "set stalk main"}}},
					{Kind: diag.Values, Title: "solved", Lines: []diag.Line{{Text: "8.3 V across left.dipped"}}},
				},
				Fixes: []diag.Fix{{Title: "join W9 to the block", Edits: []diag.Edit{
					{Place: at(file, "earth, brown"), New: "block, brown"}, {Place: at(parts, "a, b"), New: "a"},
				}}},
			},
			{
				Rule: "wire-colours-repeat", Severity: diag.Warning, Message: "two brown wires in C12",
				Place: at(file, "brown"), Subject: "C12",
				Waived: &diag.Waiver{Reason: "labelled", Place: at(file, "accept")},
			},
			{
				Rule: "voltage-class-b", Severity: diag.Note, Message: "a\x1b[2J\tname\nwith <tricks>", Why: "caution",
				Place: at(parts, "part"),
			},
		},
		Failures: []run.Failure{{File: "gone.pintle", What: "no such file"}, {File: parts.Name, What: "rule no-feed failed: boom", Stack: "goroutine"}},
		Summary: run.Summary{
			Files: 3, Designs: 5, Benches: 1, States: big.NewInt(41213),
			Claims: run.Claims{Proved: 23, Nominal: 1, Undecided: 2}, Drives: 9, DrivesFailed: 1, Assumed: 14,
			Errors: 1, Notes: 1, Accepted: 1,
		},
	}, catalogue(t)
}

func catalogue(t *testing.T) *rule.Catalogue {
	fixtures := fstest.MapFS{}
	var rules []rule.Rule
	for _, name := range []string{"sneak-path", "wire-colours-repeat", "voltage-class-b"} {
		fixtures[name+"/good.pintle"], fixtures[name+"/bad.pintle"] = &fstest.MapFile{}, &fstest.MapFile{}
		rules = append(rules, rule.Rule{
			Name: name, Severity: diag.Warning, Summary: "finds " + name, Why: "it matters", Doc: "A page.\n",
			Source: "a handbook", Needs: rule.Design, Run: func(*rule.Pass) {},
		})
	}
	c, err := rule.NewCatalogue(rule.Group{Name: "circuits", Title: "Circuits", Rules: rules, Fixtures: fixtures})
	require.NoError(t, err)
	return c
}

func TestOutputs(t *testing.T) {
	r, c := sample(t)
	for _, format := range Formats() {
		for _, colour := range []bool{false, true} {
			if colour && format != "text" {
				continue
			}
			var b bytes.Buffer
			o := Options{Version: "v0.1.0", Catalogue: c, FailOn: diag.Error, Colour: colour, Elapsed: 1234 * time.Millisecond}
			require.NoError(t, Write(&b, format, r, o))
			name := "testdata/" + format
			if colour {
				name += "-colour"
			}
			golden.Check(t, name+".golden", b.String())
			if !colour {
				assert.NotContains(t, b.String(), "\x1b", "what a design says draws nothing on a terminal")
			}
		}
	}
	assert.ErrorContains(t, Write(nil, "yaml", r, Options{}), `no output called "yaml"`)
}

func TestNothingFound(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, "text", &run.Result{Summary: run.Summary{Files: 1, Designs: 1, States: big.NewInt(1)}}, Options{}))
	assert.Equal(t, "Nothing wrong found in 1 file.\n  1 design\n  1 state reached\n", b.String())
}

// The outputs for programs never depend on how long it took, and stay well-formed
// whatever a design says.
func TestOutputsForProgramsAreWellFormed(t *testing.T) {
	r, c := sample(t)
	for _, format := range []string{"json", "sarif", "junit"} {
		var a, b bytes.Buffer
		require.NoError(t, Write(&a, format, r, Options{Catalogue: c}))
		require.NoError(t, Write(&b, format, r, Options{Catalogue: c, Elapsed: time.Hour}))
		assert.Equal(t, a.String(), b.String())
		if format == "junit" {
			var suites junitSuites
			require.NoError(t, xml.Unmarshal(a.Bytes(), &suites))
			assert.Len(t, suites.Suites, 4)
			continue
		}
		assert.True(t, json.Valid(a.Bytes()))
		assert.NotContains(t, a.String(), ": null", "lists are lists even when they are empty")
	}
}

func TestEmptyResult(t *testing.T) {
	for _, format := range Formats() {
		var b bytes.Buffer
		require.NoError(t, Write(&b, format, &run.Result{}, Options{}))
		golden.Check(t, "testdata/empty-"+format+".golden", b.String())
	}
}

// A finding without any place is still written.
func TestNoPlace(t *testing.T) {
	r := &run.Result{Findings: []diag.Finding{{Rule: "undecided", Severity: diag.Note, Message: "m",
		Related:  []diag.Related{{Note: "n"}},
		Evidence: []diag.Evidence{{Kind: diag.Trace, Lines: []diag.Line{{Text: "x"}}}},
		Fixes:    []diag.Fix{{Title: "t", Edits: []diag.Edit{{New: "x"}}}},
		Waived:   &diag.Waiver{Reason: "r"}}}}
	for _, format := range Formats() {
		var b bytes.Buffer
		require.NoError(t, Write(&b, format, r, Options{}))
		r.Findings[0].Waived = nil
	}
}
