package rules_test

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/checktest/soak"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// everyDesign runs a test on a bad fixture of every rule and on every faulty example; with
// PINTLE_SOAK on all fixtures and examples.
func everyDesign(t *testing.T, f func(t *testing.T, c *rule.Catalogue, fsys fs.FS, file string)) {
	c, err := rules.All()
	require.NoError(t, err)
	all := soak.Times(1) > 1
	for _, g := range c.Groups() {
		for _, r := range g.Rules {
			for i, file := range checktest.Fixtures(t, g, r.Name) { // the bad ones come first
				if all || i == 0 {
					t.Run(g.Name+"/"+strings.TrimSuffix(file, run.Extension), func(t *testing.T) { f(t, c, g.Fixtures, file) })
				}
			}
		}
	}
	examples := os.DirFS("../../examples")
	require.NoError(t, fs.WalkDir(examples, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && path.Ext(name) == run.Extension && (all || path.Dir(name) == "faulty") {
			t.Run("examples/"+strings.TrimSuffix(name, run.Extension), func(t *testing.T) { f(t, c, examples, name) })
		}
		return err
	}))
}

// foundIn is what all rules, the quiet ones too, say of a text, with the designs that it
// comes to by name.
func foundIn(t *testing.T, c *rule.Catalogue, fsys fs.FS, file, text string) ([]diag.Finding, map[string]*model.Design) {
	t.Helper()
	designs := map[string]*model.Design{}
	tree := syntax.Parse(source.NewFile(file, text), nil)
	got := run.File(t.Context(), run.FileRequest{
		Plan: run.Plan{Catalogue: c, Quiet: true, Today: checktest.Today},
		Root: tree, Settings: settings.Default(), Loader: run.NewLoader(run.InFS(fsys), tree),
		Keep: func(p *rule.Pass) { designs[p.Design.Name] = p.Design },
	})
	require.Empty(t, got.Failures)
	return got.Findings, designs
}

// Moves, numbers and causes are those of the state and of the corner that a finding names:
// all are worked out again from what the finding carries.
func TestEvidenceIsTrue(t *testing.T) {
	var all evidence.Tally
	everyDesign(t, func(t *testing.T, c *rule.Catalogue, fsys fs.FS, file string) {
		text, err := fs.ReadFile(fsys, file)
		require.NoError(t, err)
		texts := string(text) + withParts(t, fsys) + fmt.Sprintf("%g %%", settings.DefaultLimits().FeedDrop.Percent)
		fs, designs := foundIn(t, c, fsys, file, string(text))
		for i := range fs {
			d := designs[fs[i].Design]
			if d == nil {
				continue
			}
			tally, wrong, err := evidence.Replay(t.Context(), d, &fs[i])
			require.NoError(t, err)
			all.Add(tally)
			for _, w := range append(wrong, untold(&fs[i], texts)...) {
				t.Errorf("%s %q: %s", fs[i].Rule, fs[i].Message, w)
			}
		}
	})
	t.Logf("%+v", all)
}

// withParts are the texts of the parts that examples are made of.
func withParts(t *testing.T, fsys fs.FS) (out string) {
	names, err := fs.Glob(fsys, "parts/*"+run.Extension)
	require.NoError(t, err)
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		require.NoError(t, err)
		out += string(text)
	}
	return out
}

// solvedText finds the numbers of the circuit in a text.
var solvedText = regexp.MustCompile(`\d[\d.]* (?:[muk]?V|[muk]?A|At)\b`)

// tabled are the rules that tell numbers which stand in a table or are assumed.
var tabled = map[string]bool{"value-assumed": true, "wire-overload": true, "fuse-above-wire": true}

// untold lists the numbers of the circuit that a finding tells without what it takes to
// solve them again, and that nobody wrote in the texts that it is about either.
func untold(f *diag.Finding, texts string) (wrong []string) {
	if tabled[f.Rule] {
		return nil
	}
	all := slices.Clone(f.Numbers)
	for _, e := range f.Evidence {
		for _, l := range e.Lines {
			all = append(all, l.Numbers...)
		}
	}
	look := func(text string, ns []diag.Number) {
		for _, x := range solvedText.FindAllString(text, -1) {
			told := slices.ContainsFunc(ns, func(n diag.Number) bool { return n.Text == x })
			if !told && !stated(texts, x) && !difference(all, texts, x) {
				wrong = append(wrong, fmt.Sprintf("%s in %q can't be solved again", x, text))
			}
		}
	}
	look(f.Message, f.Numbers)
	for _, e := range f.Evidence {
		look(e.Title, nil)
		for _, l := range e.Lines {
			look(l.Text, l.Numbers)
		}
	}
	return wrong
}

// difference reports whether a value is that between a solved number and another one or a
// stated one.
func difference(ns []diag.Number, texts, value string) bool {
	want, unit := amount(value)
	var others []float64
	for _, n := range ns {
		others = append(others, n.Value)
	}
	for _, m := range statedText.FindAllString(texts, -1) {
		if x, u := amount(m); u == unit {
			others = append(others, x)
		}
	}
	for _, n := range ns {
		for _, o := range others {
			if _, u := amount(n.Text); u == unit && math.Abs(math.Abs(n.Value-o)-want) <= 5e-4*want {
				return true
			}
		}
	}
	return false
}

// stated reports whether a text states a value, or a share of one and that share.
func stated(text, value string) bool {
	want, unit := amount(value)
	shares := []float64{1}
	for _, m := range sharesText.FindAllStringSubmatch(text, -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		shares = append(shares, x/100)
	}
	for _, m := range statedText.FindAllString(text, -1) {
		x, u := amount(m)
		for _, s := range shares {
			if u == unit && math.Abs(x*s-want) <= 5e-4*want {
				return true
			}
		}
	}
	return false
}

var (
	statedText = regexp.MustCompile(`\d[\d.]* ?(?:[muk]?V|[muk]?A|At)\b`)
	sharesText = regexp.MustCompile(`(\d[\d.]*) ?%`)
)

// amount reads "12.6 mV" as 0.0126 and "V".
func amount(s string) (float64, string) {
	i := strings.LastIndexAny(s, "0123456789.")
	x, _ := strconv.ParseFloat(s[:i+1], 64)
	u := strings.TrimSpace(s[i+1:])
	if scale, ok := map[byte]float64{'m': 1e-3, 'u': 1e-6, 'k': 1e3}[u[0]]; ok {
		return x * scale, u[1:]
	}
	return x, u
}
