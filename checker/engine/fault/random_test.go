package fault

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// small draws the text of a design of two circuits that share nothing but ground: relays,
// lamps, contacts and wires between a few nodes.
func small(t *rapid.T) string {
	var b strings.Builder
	b.WriteString("title \"Drawn\"\nsetting a: off, on\nsetting b: off, on\nground block\n")
	for _, side := range []string{"x", "y"} {
		nodes := []string{side + "1", side + "2", side + "3", side + "rail"}
		fmt.Fprintf(&b, "supply bat%s: 12 V, from block to stud, inside 10 mohm\n", side)
		fmt.Fprintf(&b, "node %s\nfuse F%s: bat%s.stud to %srail, 10 A\n", strings.Join(nodes, ", "), side, side, side)
		ends := append(slices.Clone(nodes), "block")
		two := func(name string) string {
			from := rapid.IntRange(0, len(ends)-1).Draw(t, name+" from")
			to := rapid.IntRange(0, len(ends)-2).Draw(t, name+" to")
			if to >= from {
				to++
			}
			return ends[from] + " to " + ends[to]
		}
		for i := range rapid.IntRange(2, 4).Draw(t, "wires") {
			fmt.Fprintf(&b, "wire W%s%d: %s\n", side, i, two("wire"))
		}
		for i := range rapid.IntRange(1, 2).Draw(t, "contacts") {
			when := rapid.SampledFrom([]string{"a is on", "b is on", "a is on and b is on", "a is off"}).Draw(t, "when")
			fmt.Fprintf(&b, "contact S%s%d: %s, make, made when %s\n", side, i, two("contact"), when)
		}
		fmt.Fprintf(&b, "coil K%s: %s, 80 ohm, pulls in at 8 V, drops out at 2 V\n", side, two("coil"))
		form := rapid.SampledFrom([]string{"make", "break"}).Draw(t, "form")
		fmt.Fprintf(&b, "contact C%s: %s, %s, by K%s\n", side, two("relay contact"), form, side)
		fmt.Fprintf(&b, "load L%s: %s, 10 W at 12 V, lit from 60 %%\n", side, two("lamp"))
	}
	if rapid.Bool().Draw(t, "linked") { // a contact of one relay in the circuit of the other
		b.WriteString("contact link: xrail to x1, make, by Ky\n")
	}
	for i, c := range []string{"Lx is lit and a is off", "Lx is lit and b is off", "Kx is energised and a is off", "a is on and not Lx is lit", "Kx is energised and b is on"} {
		fmt.Fprintf(&b, "require r%d: never (%s), despite any one fault\n", i, c)
	}
	return b.String()
}

// protected is a design in which fuses open.
func protected(t require.TestingT, d *model.Design) *model.Design {
	out, err := Protect(context.Background(), d)
	require.NoError(t, err)
	return out
}

// beyondDrives reports whether a fault may short a supply with no fuse that opens: the drive
// solves that, the search leaves it out.
func beyondDrives(w *Faulted) bool { return w.Shorted != nil }

// settles reports whether the sound design and the one with the fault settle in one way: a
// race may end for the drive in one way and hold for the search in another.
func settles(t require.TestingT, s *system.System) bool {
	hunts, err := s.Hunts(context.Background())
	require.NoError(t, err)
	races, err := s.Races(context.Background())
	require.NoError(t, err)
	return len(hunts)+len(races) == 0
}

// A requirement that holds despite any one fault is not violated by any drive in which a
// fault comes at some moment; where it does not hold, the way there, written as a drive,
// violates it.
func TestAgainstDrives(t *testing.T) {
	ctx := context.Background()
	held, replayed := 0, 0
	compare := func(t *rapid.T) {
		d := elaboratetest.Designs(t, "drawn.pintle", small(t))[0]
		s := NewSweep(d, Options{})
		var all []int
		sound, err := system.Build(ctx, protected(t, d), system.Options{})
		require.NoError(t, err)
		for i := range d.Requirements {
			v, err := sound.Decide(ctx, &sound.Design().Requirements[i])
			require.NoError(t, err)
			if v.Outcome == system.Holds && !v.NominalOnly {
				all = append(all, i)
			}
		}
		results, err := s.Despite(ctx, all)
		require.NoError(t, err)
		g := rapid.IntRange(0, len(s.groups)-1).Draw(t, "group")
		f := &s.faults[rapid.SampledFrom(s.groups[g]).Draw(t, "fault")]
		sys, err := Build(ctx, d, f, false, system.Options{})
		require.NoError(t, err)
		comparable := !beyondDrives(sys.Faulted) && settles(t, sys.System)
		for i := range results {
			r := &d.Requirements[all[i]]
			bad := r.A
			k := slices.IndexFunc(results[i].Failures, func(x Failure) bool { return x.Faults[0].Words == s.faults[s.groups[g][0]].Words })
			if k < 0 && results[i].Outcome != Undecided && comparable {
				held++
				steps := moves(t, d, f)
				got := runs(t, d, steps, bad)
				require.NotContains(t, got, true, "%s with %s after %v", r.Name, f.Words, steps)
			}
			for k := range results[i].Failures {
				x := &results[i].Failures[k]
				way, notes := x.System.AsDrive(x.Verdict.Trace, "way")
				if len(notes) > 0 || x.Corner != "" || beyondDrives(x.System.Faulted) || !settles(t, x.System.System) {
					continue
				}
				// A drive has the sound design settle first, and fuses blow then, before a fault comes.
				if sound.Design() != d && strings.Contains(x.Moves[0].Text, x.Faults[0].Words) {
					continue
				}
				replayed++
				got := runs(t, d, way.Steps, bad)
				require.True(t, got[len(got)-1], "%s with %s\n%v", r.Name, x.Faults[0].Words, x.Moves)
			}
		}
	}
	// Few draws have a failure that a drive can replay exactly.
	for range 4 {
		if rapid.Check(t, compare); held > 0 && replayed > 0 {
			break
		}
	}
	t.Logf("%d held, %d replayed", held, replayed)
	if held == 0 || replayed == 0 {
		t.Error("nothing was compared")
	}
}

// moves draws a few moves of the settings with the fault among them.
func moves(t *rapid.T, d *model.Design, f *Fault) []model.Step {
	n := rapid.IntRange(1, 5).Draw(t, "moves")
	at := rapid.IntRange(0, n-1).Draw(t, "when")
	var out []model.Step
	for i := range n {
		st := model.Step{}
		if i == at {
			st.Faults = f.Actions
		} else {
			st.Sets = []model.SetAction{{
				Setting: model.SettingID(rapid.IntRange(0, len(d.Settings)-1).Draw(t, "setting")), Position: rapid.IntRange(0, 1).Draw(t, "position"),
				Quantity: model.None, Supply: model.None,
			}}
		}
		out = append(out, st)
	}
	return out
}

// runs tells at the end of which steps a condition holds.
func runs(t require.TestingT, d *model.Design, steps []model.Step, c *model.Cond) []bool {
	dr := model.Drive{Info: model.Info{Path: "drawn", Fit: model.None}, After: model.None}
	for _, st := range steps {
		st.Fit = model.None
		st.Sees = []model.See{{Cond: c, When: model.AtEnd}}
		dr.Steps = append(dr.Steps, st)
	}
	got, err := scenario.Run(context.Background(), d, &dr, scenario.Options{})
	require.NoError(t, err)
	out := make([]bool, len(steps))
	for i := range out {
		out[i] = true
	}
	for _, f := range got.Failures {
		out[f.Step] = false
	}
	return out
}

// Faults of one group have the same effect, and what lies outside of the cone of a
// requirement has none.
func TestGroupsAndCones(t *testing.T) {
	ctx := context.Background()
	outside, alike := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := elaboratetest.Designs(t, "drawn.pintle", small(t))[0]
		s := NewSweep(d, Options{})
		sound, err := system.Build(ctx, protected(t, d), system.Options{})
		require.NoError(t, err)
		r := &d.Requirements[rapid.IntRange(0, len(d.Requirements)-1).Draw(t, "requirement")]
		cone := ConeOf(d, []*model.Cond{r.A, r.B})
		want, err := sound.Decide(ctx, &sound.Design().Requirements[slices.IndexFunc(d.Requirements, func(x model.Requirement) bool { return x.Path == r.Path })])
		require.NoError(t, err)
		for g, group := range s.groups {
			first := system.Outcome(0)
			for k, i := range group {
				sys, err := Build(ctx, d, &s.faults[i], false, system.Options{})
				require.NoError(t, err)
				got, _, err := sys.Requirement(ctx, r)
				require.NoError(t, err)
				if k == 0 {
					first = got.Outcome
				} else {
					alike++
				}
				require.Equal(t, first, got.Outcome, "%s and %s", s.faults[s.groups[g][0]].Words, s.faults[i].Words)
				// What hunts may keep a fuse whole that waits for rest, and the claim open: a fault
				// that ends the hunting then decides more, and nothing else.
				if undecided := want.Outcome == system.Undecided || got.Outcome == system.Undecided; !undecided && !cone.Holds(sys.Faulted) {
					outside++
					require.Equal(t, want.Outcome, got.Outcome, s.faults[i].Words)
				}
			}
		}
	})
	t.Logf("%d faults outside, %d like another", outside, alike)
	if outside == 0 || alike == 0 {
		t.Error("nothing was compared")
	}
}
