package oracle_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// peakTally counts what was compared.
type peakTally struct{ designs, currents, none int }

// differPeaks draws a design and tells where the highest current of an element, as an editor
// tells it, is not the highest of all states that the second reading comes to.
func differPeaks(choices *tape, sum *peakTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			text, how = "", ""
		}
	}()
	d := draw(choices, false)
	text = d.text()
	if len(d.starts()) == 0 || strings.Contains(text, "is blown") {
		return "", "" // no start is allowed, or fuses open: then it is another system that is asked
	}
	d.net.solid = true
	want := make([]float64, len(d.net.elements))
	_, ok := d.reach(nil, 0, func(x string) {
		for i := range want {
			want[i] = max(want[i], math.Abs(d.net.through(x, i)))
		}
	}, 3000)
	if !ok || d.hunts || d.circles {
		return "", ""
	}
	p, err := passOf(text)
	if err != nil || p == nil {
		return text, fmt.Sprint("no design: ", err)
	}
	sum.designs++
	var wrong []string
	for i, e := range d.net.elements {
		id := slices.IndexFunc(p.Design.Elements, func(x model.Element) bool { return x.Path == e.name })
		if e.name == "" || id < 0 {
			continue
		}
		got, err := highest(p, model.ElementID(id))
		if err != nil {
			return text, err.Error()
		}
		sum.currents++
		if want[i] == 0 {
			sum.none++
		}
		if math.Abs(got-want[i]) > 1e-6*max(got, want[i])+1e-9 {
			wrong = append(wrong, fmt.Sprintf("current through %s: expected %.6g A at most, found %.6g A", e.name, want[i], got))
		}
	}
	return text, strings.Join(wrong, "\n")
}

// passOf is the design of a text as rules and editors ask about it.
func passOf(text string) (out *rule.Pass, err error) {
	catalogue, err := rules.All()
	if err != nil {
		return nil, err
	}
	run.File(context.Background(), run.FileRequest{
		Plan: run.Plan{Catalogue: catalogue, Only: []string{"hunting"}}, Settings: settings.Default(),
		Root: syntax.Parse(source.NewFile("drawn.pintle", text), nil),
		Keep: func(p *rule.Pass) { out = p },
	})
	return out, nil
}

// highest is the most that runs through an element in any state at nominal values.
func highest(p *rule.Pass, e model.ElementID) (float64, error) {
	x, err := p.System().Search(context.Background(), model.Measure{
		Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None,
	}, system.On(nil))
	if err != nil {
		return 0, err
	}
	best, err := x.Ascend(context.Background(), nil)
	if err != nil || best == nil {
		return 0, err
	}
	return math.Abs(best.Amps(e)), nil
}

// TestPeaks holds the highest currents that are reported against the second reading.
func TestPeaks(t *testing.T) {
	var sum peakTally
	hold(t, 60, func(c *tape) (string, string) { return differPeaks(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.designs, sum.currents-sum.none, sum.none))
}
