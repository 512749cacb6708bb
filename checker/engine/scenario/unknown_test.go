package scenario_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

func run(t *testing.T, d *model.Design, i int) *scenario.Result {
	t.Helper()
	out, err := scenario.Run(context.Background(), d, &d.Drives[i], scenario.Options{})
	require.NoError(t, err)
	return out
}

// lamps is two lamps behind switches, of which one depends on what DOUBT says.
const lamps = `ground body
supply battery: 12 V, from body to stud
setting key: off, run
setting door: shut, open
quantity coolant: -40 to 150 degC
node a, b, c, e
contact k: battery.stud to a, made when key is run
contact u: a to b, made when DOUBT
load plain: a to body, 5 W at 12 V, lit from 60 %
load behind: b to body, 5 W at 12 V, lit from 60 %
fit relay: {
    pin 1, 2, 3, 4
    coil winding: 1 to 2, 85 ohm, pulls in at 8 V, drops out at 2 V
    contact main: 3 to 4, make
}
wire W1: b to relay.1
wire W2: relay.2 to body
timer late: runs while b is live, lasts 2 s
beat flash: on 1 s, off 1 s, while b is live
modes m: starts in rest {
    mode rest, busy
    from rest to busy: when b is live
    from busy to rest: when not b is live
}
condition named: b is live
`

// TestUnknownIsSilent: what depends on something that could not be read is neither seen nor
// missed, and what does not is judged as ever.
func TestUnknownIsSilent(t *testing.T) {
	for _, test := range []struct {
		name, steps string
		failures    int
		sees        int
	}{
		{"what can't be known", "step: set key run, see behind is lit", 0, 0},
		{"nor its opposite", "step: set key run, see not behind is lit", 0, 0},
		{"what does not turn on it", "step: set key run, see not plain is lit", 1, 1},
		{"known where the way to it is open", "step: set key off, see behind is lit", 1, 1},
		{"and met there", "step: set key off, see not behind is lit", 0, 1},
		{"a coil behind it", "step: set key run, see relay.winding is energised", 0, 0},
		{"known again without volts", "step: set key run\nstep: set key off, see relay.winding is energised", 1, 1},
		{"a timer", "step: set key run, wait 3 s, see late is idle", 0, 0},
		{"a timer that is back", "step: set key run, wait 3 s\nstep: set key off, see late is done", 1, 1},
		{"a beat", "step: set key run, wait 1.5 s, see flash is on", 0, 0},
		{"modes", "step: set key run, see m is rest", 0, 0},
		{"a named condition", "step: set key run, see named", 0, 0},
		{"throughout", "step: set key run, wait 1 s, see behind is lit throughout", 0, 0},
		{"from a moment that may not come", "step: set key run, wait 1 s, see not plain is lit once behind is lit", 0, 0},
		{"either way", "step: set key run, see (behind is lit or not behind is lit) and not plain is lit", 1, 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, doubt := range []string{"nobody", "coolant above 5 V", "key is of"} {
				text := replaceDoubt(doubt) + "drive d {\n" + test.steps + "\n}\n"
				d := elaboratetest.Read("t.pintle", text).Designs[0]
				out := run(t, d, 0)
				assert.Len(t, out.Failures, test.failures, doubt)
				assert.Equal(t, test.sees, out.Sees, doubt)
			}
		})
	}
}

func replaceDoubt(with string) string {
	before, after, _ := strings.Cut(lamps, "DOUBT")
	return before + with + after
}

// A step that could not be read, and what comes after it, is not run: nobody knows how the
// inputs stand. Neither is a drive that goes on from there.
func TestStepsThatCannotBeRead(t *testing.T) {
	for _, step := range []string{"set key of", "set key run, set coolant 900 degC", "wait 1 V", "fail nothing open", "see plain is lit, sett key run"} {
		text := replaceDoubt("key is run") + `drive d {
    step: set key run, see not plain is lit
    step: ` + step + `
    step: see not plain is lit
}
drive after: from the state of d {
    step: see not plain is lit
}
`
		d := elaboratetest.Read("t.pintle", text).Designs[0]
		out := run(t, d, 0)
		assert.True(t, out.Unread, step)
		assert.Len(t, out.Failures, 1, step)
		assert.Len(t, out.Ends, 1, step)
		out = run(t, d, 1)
		assert.True(t, out.Unread, step)
		assert.Empty(t, out.Failures, step)
	}
}

// Something that is not in the design because it could not be read may be what feeds it.
func TestWhatIsLeftOutIsMissed(t *testing.T) {
	for _, line := range []string{"fit x: Relay", "wire W9: battery.stud to nowhere", "supply other: 0 V, from body to q", "resistor r: battery.stud to a, 1 V"} {
		text := replaceDoubt("key is run") + line + "\ndrive d {\n    step: see plain is lit\n    step: set key run, see key is off\n}\n"
		out := run(t, elaboratetest.Read("t.pintle", text).Designs[0], 0)
		require.Len(t, out.Failures, 1, line)
		assert.Equal(t, 1, out.Failures[0].Step, line)
	}
}

type seen struct{ step, see int }

func failures(t *testing.T, d *model.Design, i int) map[seen]bool {
	out, err := scenario.Run(context.Background(), d, &d.Drives[i], scenario.Options{})
	if err != nil {
		return nil // hardware that hunts: no verdict of any kind
	}
	found := map[seen]bool{}
	for _, f := range out.Failures {
		found[seen{f.Step, f.See}] = true
	}
	return found
}

// with is a copy of a design in which one element conducts when c says so.
func with(d *model.Design, e int, c *model.Cond) *model.Design {
	out := *d
	out.Elements = slices.Clone(d.Elements)
	out.Elements[e].Closed = c
	return &out
}

// contrary is a copy of a design in which every expectation is turned round.
func contrary(d *model.Design) *model.Design {
	out := *d
	out.Drives = slices.Clone(d.Drives)
	for i := range out.Drives {
		out.Drives[i].Steps = slices.Clone(out.Drives[i].Steps)
		for j := range out.Drives[i].Steps {
			s := &out.Drives[i].Steps[j]
			s.Sees = slices.Clone(s.Sees)
			for k := range s.Sees {
				s.Sees[k].Cond = model.Not(s.Sees[k].Cond)
			}
		}
	}
	return &out
}

// TestUnknownCoversAllWays: where it is not known how a switch stands, what fails fails as
// well with the switch always closed, and with it always open.
func TestUnknownCoversAllWays(t *testing.T) {
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	told, both := 0, 0
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, d := range elaboratetest.Read(f, string(text)).Designs {
			for _, d := range []*model.Design{d, contrary(d)} {
				for e := range d.Elements {
					if d.Elements[e].Closed == nil {
						continue
					}
					for i := range d.Drives {
						unknown := failures(t, with(d, e, model.Unknown), i)
						closed := failures(t, with(d, e, nil), i)
						open := failures(t, with(d, e, model.False), i)
						if closed == nil || open == nil {
							continue
						}
						for s := range unknown {
							told++
							assert.True(t, closed[s] && open[s], "%s %s, drive %s, step %d: fails with %s unknown, closed %v, open %v", f, d.Name,
								d.Drives[i].Path, s.step+1, d.Elements[e].Path, closed[s], open[s])
						}
						for s := range closed {
							if open[s] {
								both++
							}
						}
					}
				}
			}
		}
	}
	require.Positive(t, told)
	t.Logf("%d told with a switch unknown, of %d that fail either way", told, both)
}
