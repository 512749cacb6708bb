package fault

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// stretch is a design of so many relays on one fused rail, each with a switch, a lamp and a
// claim: six elements each.
func stretch(relays int) string {
	var b strings.Builder
	b.WriteString("title \"Lamps on a rail\"\nground body\nsupply battery: 12.6 V, from body to stud, inside 10 mohm\n" +
		"node rail\nfuse F0: battery.stud to rail, 60 A\n")
	for i := range relays {
		fmt.Fprintf(&b, "setting s%d: off, on\nnode a%d, b%d, c%d, d%d\n", i, i, i, i, i)
		fmt.Fprintf(&b, "fuse F%d: rail to a%d, 10 A\ncontact S%d: a%d to b%d, make, made when s%d is on, up to 5 A\n", i+1, i, i, i, i, i)
		fmt.Fprintf(&b, "wire W%d: b%d to c%d, red, 1 mm2, 2 m\ncoil K%d: c%d to body, 80 ohm, pulls in at 8 V, drops out at 2 V\n", i, i, i, i, i)
		fmt.Fprintf(&b, "contact C%d: a%d to d%d, make, by K%d, up to 20 A\nload H%d: d%d to body, 21 W at 12 V, lit from 60 %%\n", i, i, i, i, i, i)
		fmt.Fprintf(&b, "require r%d: never (H%d is lit and s%d is off)\n", i, i, i)
	}
	return b.String()
}

// workOf is what it costs to try all faults on the first claims: networks solved and decision nodes made.
func workOf(t testing.TB, d *model.Design, claims int) (faults, work int) {
	ctx := context.Background()
	s := NewSweep(d, Options{Memo: circuit.NewMemo()})
	counted := 0
	for _, g := range s.groups {
		w, err := s.inject(ctx, d, &s.faults[g[0]], false)
		require.NoError(t, err)
		sys, err := s.opts.build(ctx, w, true)
		require.NoError(t, err)
		for i := range claims {
			_, _, err := sys.requirement(ctx, &d.Requirements[i], true)
			require.NoError(t, err)
		}
		n := sys.Circuit().Stats()
		counted += int(n.Solves+n.Bounds) + int(sys.Engine().Made())
	}
	// What the sound side decides is remembered for all faults, with the share that each has, too.
	hits, misses := s.opts.Memo.Counts()
	require.Greater(t, 2*hits, misses)
	return len(s.groups), counted
}

// TestWork guards what a fault costs by counted work: a design of twice the size costs each
// fault on one claim hardly more, because the claim depends on no more.
func TestWork(t *testing.T) {
	few, a := workOf(t, elaboratetest.Designs(t, "few.pintle", stretch(4))[0], 1)
	many, b := workOf(t, elaboratetest.Designs(t, "many.pintle", stretch(8))[0], 1)
	each, later := float64(a)/float64(few), float64(b)/float64(many)
	t.Logf("%d groups: %.0f each; %d groups: %.0f each", few, each, many, later)
	require.Less(t, later, 2*each)
}

// BenchmarkElements tries all faults of designs of 50 to 400 elements on one claim, and on
// claims in proportion: faults per second, and the exponent by which counted work grows.
func BenchmarkElements(b *testing.B) {
	for _, claims := range []int{1, 4} {
		first, firstAt := 0.0, 0.0
		for _, relays := range []int{8, 16, 33, 66} {
			d := elaboratetest.Designs(b, "stretch.pintle", stretch(relays))[0]
			b.Run(fmt.Sprintf("claims=%d/elements=%d", claims, len(d.Elements)), func(b *testing.B) {
				faults, work := 0, 0
				for b.Loop() {
					faults, work = workOf(b, d, claims)
				}
				b.ReportMetric(float64(faults)*float64(b.N)/b.Elapsed().Seconds(), "faults/s")
				b.ReportMetric(float64(work)/float64(faults), "work/fault")
				if first == 0 {
					first, firstAt = float64(work), float64(len(d.Elements))
				} else {
					b.ReportMetric(math.Log(float64(work)/first)/math.Log(float64(len(d.Elements))/firstAt), "exponent")
				}
			})
		}
	}
}
