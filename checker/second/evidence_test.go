package second_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/settings"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// replay works the evidence of all findings about a text out again, and says where it is
// otherwise; what is not exactly led to by its moves is listed in near.
func replay(text string, sum *evidence.Tally) (how string, near []string) {
	catalogue, err := rules.All()
	if err != nil {
		return "catalogue: " + err.Error(), nil
	}
	designs := map[string]*model.Design{}
	got := run.File(context.Background(), run.FileRequest{
		Plan: run.Plan{Catalogue: catalogue}, Root: syntax.Parse(source.NewFile("drawn.pintle", text), nil), Settings: settings.Default(),
		Keep: func(p *rule.Pass) { designs[p.Design.Name] = p.Design },
	})
	// Where two things race, or never settle, a drive takes one order of several.
	if slices.ContainsFunc(got.Findings, func(f diag.Finding) bool { return f.Rule == "race" || f.Rule == "hunting" }) {
		return "", nil
	}
	for i := range got.Findings {
		f := &got.Findings[i]
		d := designs[f.Design]
		if d == nil {
			continue
		}
		tally, wrong, err := evidence.Replay(context.Background(), d, f)
		if err != nil {
			return f.Rule + ": " + err.Error(), nil
		}
		sum.Add(tally)
		if len(wrong) > 0 {
			return fmt.Sprintf("%s: %s\n%s", f.Rule, f.Message, strings.Join(wrong, "\n")), nil
		}
		for _, e := range f.Evidence {
			if e.State != nil {
				near = append(near, e.State.Near...)
			}
		}
	}
	return "", near
}

// TestEvidence works out again what all rules tell of drawn designs: the moves are driven and
// the numbers solved from what the findings carry.
func TestEvidence(t *testing.T) {
	var sum evidence.Tally
	hold(t, 20, func(c *tape) (text, how string) {
		text = draw(c, true).text()
		how, _ = replay(text, &sum)
		return text, how
	})
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.Moves, sum.Events, sum.Numbers))
}

// TestEvidenceOfWhatIsLeftOut holds designs that were drawn once, made shorter: what a trace
// leaves out, or a drive of its moves does otherwise, is said with the state.
func TestEvidenceOfWhatIsLeftOut(t *testing.T) {
	for _, c := range []struct{ name, near, text string }{
		{"a fuse blows that the claim does not depend on", "F0 blows on the way", `title "Shorted"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: body to feed, make, made when not (K1 is energised)
coil K1: body to feed, 80 ohm, pulls in at 2.2 V, drops out at 1.5 V
contact C1: body rests on feed, goes to feed, by K1
contact C2: body to feed, make, by K1
require r3: always K1 is energised
`},
		{"a memory turns on what may be made at first", "E1.relay is made at first; a drive cannot say so", `title "Latched"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
node n2
load L1: n2 to feed, 1 A to 3 A at 12 V, glows from 15 %, lit from 60 %
load L2: feed to n1, 10 W at 12 V, glows from 15 %, lit from 60 %
coil A1_set: body to feed, 60 ohm, pulls in at 7 V
coil A1_reset: n2 to body, 60 ohm, pulls in at 6 V
armature A1: set by A1_set, released by A1_reset
contact C1: n1 to n2, break, by A1
fit E1: elsewhere {
    pin 1, 2, 3
    load draw: 1 to 2, 2 A to 2 A at 12 V, awake from 50 %
    contact relay: 1 to 3, make, made sometimes
}
wire W1: n1 to E1.1
wire W2: body to E1.2
wire W3: body to E1.3
require r1: L1 is glowing whenever current through A1_reset above 0.13 A
`},
		{"a box has its volts through what may be made at first", "E1.relay is made at first; a drive cannot say so", `title "Starved"
ground body
setting knob1: a, b, c
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
contact S1: feed to n1, make, made when knob1 is a
contact S2: body to feed, make, made when knob1 is a
fit E1: elsewhere {
    pin 1, 2, 3
    contact relay: 1 to 3, make, made sometimes
}
wire W1: n1 to E1.1
fit box: {
    pin 15, 31, in, told, out
    powered 15 to 31: works from 6.13 V
}
wire W4: E1.3 to box.15
wire W5: body to box.31
`},
	} {
		how, near := replay(c.text, &evidence.Tally{})
		assert.Empty(t, how, c.name)
		assert.Contains(t, near, c.near, c.name)
	}
}
