package fault

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// rebuilt changes the text of a drawn design as a fault changes the thing; "" where that can't
// be written:
//
//   - a coil or load that is broken or shorted: what the text asks of it would be asked of nothing;
//   - a plug, a driver, a sender, a passage: the drawn designs have none;
//   - two plugs changed over, and what is declared as a fault: likewise.
func rebuilt(d *model.Design, text string, f *Fault) string {
	a := f.Actions[0]
	lines := strings.Split(text, "\n")
	at := func(kind string) int {
		return slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, kind+" "+a.Thing.Path+":") })
	}
	without := func(i int) string {
		if i < 0 {
			return ""
		}
		return strings.Join(slices.Delete(slices.Clone(lines), i, i+1), "\n")
	}
	switch a.Mode {
	case model.FaultOpen:
		return without(at("wire"))
	case model.FaultBlown:
		return without(at("fuse"))
	case model.FaultStuckOpen:
		return without(at("contact"))
	case model.FaultStuckMade: // metal in its place
		i := at("contact")
		if i < 0 {
			return ""
		}
		_, ends, _ := strings.Cut(lines[i], ": ")
		ends, _, _ = strings.Cut(ends, ",")
		return without(i) + "wire instead: " + ends + ", 1 mm2, 0.29 m\n" // 5 mohm, as the contact
	case model.FaultToGround, model.FaultToFeed: // metal besides
		added, err := circuit.Added(d, f.Actions)
		if err != nil || len(added) != 1 {
			return ""
		}
		return text + "wire chafed: " + d.Nodes[added[0].A].Path + " to " + d.Nodes[added[0].B].Path + ", 1 mm2, 0.058 m\n" // 1 mohm, as the fault
	}
	return ""
}

// TestRebuilt holds designs with a fault that has been there from the start against the same
// designs written with what the fault makes of them, which are read and decided from nothing:
// all claims, at nominal values.
func TestRebuilt(t *testing.T) {
	ctx := context.Background()
	modes := map[model.FaultMode]int{}
	fails := 0
	rapid.Check(t, func(t *rapid.T) {
		text := small(t)
		d := elaboratetest.Designs(t, "drawn.pintle", text)[0]
		s := NewSweep(d, Options{})
		for range 4 {
			f := &s.faults[rapid.IntRange(0, len(s.faults)-1).Draw(t, "fault")]
			other := rebuilt(d, text, f)
			if other == "" {
				continue
			}
			faulted, err := Build(ctx, d, f, true, system.Options{})
			if err != nil || faulted.Shorted != nil || !settles(t, faulted.System) {
				continue // beyond the search, which says so
			}
			again := protected(t, elaboratetest.Designs(t, "rebuilt.pintle", other)[0])
			fresh, err := system.Build(ctx, again, system.Options{})
			require.NoError(t, err)
			if !settles(t, fresh) {
				continue
			}
			for i := range d.Requirements {
				got, err := faulted.PossibleHere(ctx, system.On(faulted.Of(d.Requirements[i].A)))
				require.NoError(t, err)
				want, err := fresh.PossibleHere(ctx, system.On(again.Requirements[i].A))
				require.NoError(t, err)
				require.Equal(t, want.Outcome, got.Outcome, "%s with %s\n%s", d.Requirements[i].Name, f.Words, other)
				modes[f.Actions[0].Mode]++
				if got.Outcome == system.Holds {
					fails++
				}
			}
		}
	})
	t.Logf("%v, %d of them violated", modes, fails)
	require.Len(t, modes, 6, "of each way that can be written some were compared")
	require.Positive(t, fails)
}
