package oracle_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/soak"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// draw draws a design.
func draw(t *tape, exact bool) *drawing {
	d := &drawing{tape: t, world: &world{ends: map[string][]string{}}, count: map[string]int{}, exact: exact}
	d.tolerant, d.timeless = t.yes(4), t.yes(2)
	d.inputs()
	d.remembered()
	d.circuits()
	if t.yes(4) {
		d.fluids()
	}
	if t.yes(3) {
		d.controller()
	}
	if t.yes(4) {
		d.watching()
	}
	for _, f := range d.last {
		f()
	}
	for i := 0; i < len(d.later); i++ {
		d.later[i]()
	}
	d.conditions()
	d.assumptions()
	d.require()
	d.failure = d.add(variable{name: "failure", sort: failure, size: 3, starts: []int{2}})
	return d
}

// compared are the rules whose findings are held against the second reading.
var compared = []string{
	"requirement-violated", "requirement-vacuous", "never-possible", "not-apart", "depends-on-tolerance", "depends-on-warmth", "hunting", "race", "supply-to-ground-short",
	"scenario-failed",
}

// check is what the checker says of a text.
func check(text string) ([]diag.Finding, error) {
	catalogue, err := rules.All()
	if err != nil {
		return nil, err
	}
	root := syntax.Parse(source.NewFile("drawn.pintle", text), nil)
	got := run.File(context.Background(), run.FileRequest{
		Plan: run.Plan{Catalogue: catalogue, Only: compared}, Root: root, Settings: settings.Default(),
	})
	for _, f := range got.Failures {
		return nil, fmt.Errorf("%v\n%s", f, f.Stack)
	}
	return got.Findings, nil
}

// tally counts what was compared.
type tally struct {
	designs, large, ties, blocked, claims, fail, undecided, nominal, hunts, races int
}

// differ draws a design and tells where the checker and the second reading differ: the
// text and how; "" if they do not.
func differ(choices *tape, sum *tally) (text, how string) {
	var d *drawing
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			sum.ties++
			text, how = "", ""
		}
	}()
	d = draw(choices, false)
	text = d.text()
	if len(d.starts()) == 0 {
		sum.blocked++ // no start is allowed, or none settles
		return "", ""
	}
	most := 30000
	if d.tolerant { // it is looked at again in every corner
		most = 3000
	}
	d.net.solid = true // hunting and races are looked for with fuses that hold
	holding, ok := d.judge(nil, most)
	d.net.solid = false
	if !ok {
		sum.large++
		return "", ""
	}
	nominal, ok := d.judge(nil, most)
	if !ok {
		sum.large++
		return "", ""
	}
	within := make([]bool, len(d.claims)) // fails in some corner
	hunts := nominal.hunts || nominal.circles || holding.hunts || holding.circles
	nominal.hunts, nominal.races, nominal.circles = holding.hunts, holding.races, holding.circles
	if d.tolerant {
		for _, corner := range d.net.corners() {
			v, ok := d.judge(corner, most)
			if !ok {
				sum.large++
				return "", ""
			}
			hunts = hunts || v.hunts || v.circles
			for i := range within {
				within[i] = within[i] || v.fails[i]
			}
		}
	}
	found, err := check(text)
	if err != nil {
		return text, err.Error()
	}
	said := map[string][]string{} // by subject
	shorted := slices.ContainsFunc(found, func(f diag.Finding) bool { return f.Rule == "supply-to-ground-short" })
	for _, f := range found {
		if !slices.Contains(compared, f.Rule) && f.Rule != "undecided" {
			if f.Severity >= diag.Error {
				return text, "not meant to be drawn: " + f.Rule + ": " + f.Message
			}
			continue
		}
		said[f.Subject] = append(said[f.Subject], f.Rule)
	}
	var wrong []string
	for i, c := range d.claims {
		// Whatever hunts: what contradicts each other is never proved together, and what
		// fails in a state that everything comes to rest in is never proved.
		if c.opposes != "" && !nominal.vacuous[i] && said[c.name] == nil && said[c.opposes] == nil {
			wrong = append(wrong, c.name+": both it and its opposite are proved")
		}
		if hunts {
			if nominal.fails[i] && c.form != "possible" && said[c.name] == nil && d.bad(c) != nil {
				wrong = append(wrong, c.name+": proved, and fails where everything rests")
			}
			continue // what has no part in the hunting goes on, and is no concern of the second reading
		}
		sum.claims++
		got := said[c.name]
		if slices.Contains(got, "undecided") {
			sum.undecided++
			continue
		}
		want := ""
		switch {
		case nominal.fails[i] && c.form == "possible":
			want = "never-possible"
		case nominal.fails[i] && c.form == "apart":
			want = "not-apart"
		case nominal.fails[i]:
			want = "requirement-violated"
		case within[i]:
			want = "depends-on-tolerance"
			sum.nominal++
		case nominal.vacuous[i]:
			want = "requirement-vacuous"
		}
		if nominal.fails[i] {
			sum.fail++
		}
		if shorted && (want == "depends-on-tolerance" || want == "requirement-vacuous") {
			continue // the short is reported instead
		}
		if i := slices.Index(got, "depends-on-warmth"); i >= 0 {
			got[i] = "depends-on-tolerance" // the second reading does not tell the two apart
		}
		if strings.Contains(text, ", cold ") && d.lasting(c) {
			continue // what lasts is asked of warm filaments only
		}
		got = slices.DeleteFunc(got, func(s string) bool { return s == "requirement-vacuous" && c.form != "whenever" })
		if have := strings.Join(got, " "); have != want {
			wrong = append(wrong, fmt.Sprintf("%s: expected %q, found %q", c.name, want, have))
		}
	}
	hunting, racing, circling := false, false, false
	for _, f := range found {
		round := strings.Contains(f.Message, "cycles through its modes")
		hunting = hunting || f.Rule == "hunting" && !round
		circling = circling || f.Rule == "hunting" && round
		racing = racing || f.Rule == "race"
	}
	if hunting != nominal.hunts {
		wrong = append(wrong, fmt.Sprintf("hunting: expected %v, found %v", nominal.hunts, hunting))
	}
	if circling != nominal.circles && !nominal.hunts {
		wrong = append(wrong, fmt.Sprintf("modes that go round: expected %v, found %v", nominal.circles, circling))
	}
	if racing && !nominal.races && !hunts {
		wrong = append(wrong, "a race is found that is none")
	}
	if nominal.hunts {
		sum.hunts++
	}
	if nominal.races {
		sum.races++
	}
	sum.designs++
	return text, strings.Join(wrong, "\n")
}

// corners lists where open values may stand: at their ends, a supply also on the way.
func (n *network) corners() (out [][]float64) {
	out = [][]float64{make([]float64, n.open)}
	for _, e := range n.elements {
		if e.spread == nil {
			continue
		}
		steps := 1
		if e.volt != 0 {
			steps = 16
		}
		var more [][]float64
		for _, c := range out {
			for k := range steps + 1 {
				c := slices.Clone(c)
				c[e.spread.index] = float64(k) / float64(steps)
				more = append(more, c)
			}
		}
		out = more
	}
	return out
}

// hold draws designs and shows the first few that differ, made shorter.
func hold(t *testing.T, designs int, differ func(*tape) (text, how string)) {
	failed := 0
	first := soak.Seed() + 1
	for seed := first; seed < first+soak.Times(designs) && failed < 5; seed++ {
		choices := drawn(uint64(seed))
		_, how := differ(choices)
		if how == "" {
			continue
		}
		failed++
		short := shorter(choices.given[:choices.at], func(c []int) bool {
			_, h := differ(&tape{given: c})
			return h != "" && kind(h) == kind(how)
		}, 600)
		text, how := differ(&tape{given: short})
		t.Errorf("seed %d: %s\n%s", seed, how, text)
	}
}

// kind of a difference: what stays when a design is made shorter.
func kind(how string) string {
	line, _, _ := strings.Cut(how, "\n")
	_, what, _ := strings.Cut(line, ":")
	return what
}

// TestSecondReading holds verdicts, hunting and races against the second reading.
func TestSecondReading(t *testing.T) {
	var sum tally
	hold(t, 220, func(c *tape) (string, string) { return differ(c, &sum) })
	t.Logf("%+v", sum)
	require.Greater(t, sum.claims, 100)
	require.Positive(t, min(sum.fail, sum.claims-sum.fail, sum.hunts))
	require.Less(t, sum.undecided, sum.claims/20)
}

// TestDespite holds the sweep of single faults against the second reading.
func TestDespite(t *testing.T) {
	var sum faultTally
	hold(t, 30, func(c *tape) (string, string) { return differDespite(c, &sum) })
	t.Logf("%+v", sum)
	require.Greater(t, sum.faults, 100)
	require.Positive(t, min(sum.fail, sum.holds, sum.chosen))
}

// TestDrives holds drives against the second reading.
func TestDrives(t *testing.T) {
	var sum rideTally
	hold(t, 400, func(c *tape) (string, string) { return differDrives(c, &sum) })
	t.Logf("%+v", sum)
	require.Greater(t, sum.drives, 100)
}
