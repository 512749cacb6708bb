package main

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report"
	"pintle/checker/run/report/reporttest"
	"pintle/lang/diag"
)

// A plate of 4 ohm on 12 V carries 3 A, on 10 V and 4.4 ohm 2.3 A: of each claim it can be worked
// out on paper how it stands.
const judged = `title "Heater plate, judged"
setting key: off, run
quantity speed: 0 to 40 rpm
ground body
supply battery: 12 V, from body to stud, inside 1 mohm, anywhere between 10 V and 15 V
fuse F1: battery.stud to rail, 10 A
node rail, on, feed
wire W1: rail to on_1, 1 mm2
node on_1
contact S1: on_1 to on, make, made when key is run
contact K1_main: rail to feed, make, by K1
coil K1: on to body, 100 ohm, pulls in at 7 V, drops out at 2 V
resistor plate: feed to body, 4 ohm +-10 %
assume slow: never speed above 30 rpm
assume idle: key moves to run only while always
require warms: current through plate above 2 A whenever key is run
require plenty: current through plate above 2.8 A whenever key is run
require cool: never current through plate above 1 A
require both: K1 is energised whenever (key is run and key is off)
require slower: never speed above 35 rpm
require strong: K1 is energised whenever key is run, despite any one fault
symptom cold "stays cold": key is run and current through plate below 1 A
symptom fast "races": speed above 35 rpm
drive passing {
    step: set key run, see K1 is energised
}
drive failing {
    step: set key run, see K1 is released
}
accept requirement-violated: on cool, because "known", until 2026-12-04
accept pin-unused: on the design, because "spare", until 2026-11-01
accept symptom-unexplained: on fast, because "for the book"
`

func judge(t *testing.T) *run.Result {
	t.Helper()
	catalogue, err := rules.All()
	require.NoError(t, err)
	r, err := run.Check(context.Background(), run.Request{
		Plan:  run.Plan{Catalogue: catalogue, Verdicts: true, Today: time.Date(2026, 12, 1, 15, 0, 0, 0, time.UTC)},
		Paths: []string{run.StandardInput}, Input: []byte(judged),
	})
	require.NoError(t, err)
	return r
}

func TestVerdicts(t *testing.T) {
	r := judge(t)
	got := map[string]run.Verdict{}
	for _, v := range r.Verdicts {
		got[v.Name] = v
	}
	for name, want := range map[string]run.Outcome{
		"warms": run.Proved, "plenty": run.NominalOnly, "cool": run.Fails, "both": run.Vacuous, "slower": run.Proved, "strong": run.Fails,
		"cold": run.Proved, "fast": run.Fails, "passing": run.Proved, "failing": run.Fails, "slow": run.Proved, "idle": run.Vacuous,
	} {
		assert.Equal(t, want.String(), got[name].Outcome.String(), name)
	}
	assert.Len(t, r.Verdicts, 12)
	assert.Contains(t, got["plenty"].Corner, "battery at 10 V")
	assert.Equal(t, []string{"slow"}, got["slower"].Assumptions)
	assert.Empty(t, got["warms"].Assumptions)
	assert.Contains(t, got["warms"].Assumed, "length of W1: 1 m")
	assert.Empty(t, got["slower"].Assumed, "it is computed from no circuit")
	assert.Equal(t, "2", got["warms"].States.String(), "off, and run with K1 energised")
	// The same answers as the summary counts.
	count := func(o run.Outcome) (n int) {
		for _, v := range r.Verdicts {
			if v.Kind == "requirement" && v.Outcome == o {
				n++
			}
		}
		return n
	}
	c := r.Summary.Claims
	assert.Equal(t, [4]int{c.Proved, c.Vacuous, c.Nominal, c.Failed}, [4]int{count(run.Proved), count(run.Vacuous), count(run.NominalOnly), count(run.Fails)})
	// The register.
	require.Len(t, r.Accepted, 3)
	assert.Equal(t, "known", r.Accepted[0].Reason)
	assert.Equal(t, 4, *r.Accepted[0].DaysLeft, "the last day included")
	assert.Len(t, r.Accepted[0].Takes, 1)
	assert.True(t, r.Accepted[1].Lapsed)
	assert.Empty(t, r.Accepted[1].Takes)
	assert.Nil(t, r.Accepted[2].DaysLeft)
	assert.Len(t, r.Accepted[2].Takes, 1)
}

func TestVerdictsWritten(t *testing.T) {
	r := judge(t)
	write := func(as string) []byte {
		var b bytes.Buffer
		require.NoError(t, report.Write(&b, as, r, report.Options{Verdicts: true, FailOn: diag.Error}))
		return b.Bytes()
	}
	var doc struct{ Verdicts json.RawMessage }
	require.NoError(t, json.Unmarshal(write("json"), &doc))
	reporttest.Conforms(t, filepath.Join(packageFolder, "../../checker/run/report/verdicts.schema.json"), doc.Verdicts)

	text := string(write("text"))
	for _, want := range []string{
		"  proved             requirement warms\n", "  nominal only       requirement plenty\n", "not with battery at 10 V",
		"  can show           symptom cold (stays cold)\n", "  passes             drive passing\n", "depends on the assumption slow",
		"requirement-violated on cool: known\n", "until 2026-12-04, 4 days left", "ended on 2026-11-01", "takes nothing\n",
	} {
		assert.Contains(t, text, want)
	}
	var suites struct {
		Suites []struct {
			Cases []struct {
				Name   string   `xml:"name,attr"`
				Failed []string `xml:"failure"`
				Left   []string `xml:"skipped"`
			} `xml:"testcase"`
		} `xml:"testsuite"`
	}
	require.NoError(t, xml.Unmarshal(write("junit"), &suites))
	outcome := map[string]string{}
	for _, c := range suites.Suites[0].Cases {
		outcome[c.Name] = "passes"
		if c.Failed != nil {
			outcome[c.Name] = "fails"
		}
		if c.Left != nil {
			outcome[c.Name] = "skipped"
		}
	}
	for name, want := range map[string]string{
		"requirement warms": "passes", "requirement plenty": "passes", // a warning, and --fail-on is error
		"requirement cool": "skipped", "requirement strong": "fails", "drive failing": "fails", "drive passing": "passes",
		"symptom fast": "skipped", "assumption idle": "passes",
	} {
		assert.Equal(t, want, outcome[name], name)
	}
}

// A form that has no place for them says so.
func TestVerdictsNotInSARIF(t *testing.T) {
	var out, errs bytes.Buffer
	status := execute(t.Context(), []string{"check", "--verdicts", "--as", "sarif", "."}, stdio{in: strings.NewReader(""), out: &out, err: &errs})
	assert.Equal(t, 2, status)
	assert.Contains(t, errs.String(), "--verdicts goes with --as text, json or junit")
	assert.Empty(t, out.String())
}
